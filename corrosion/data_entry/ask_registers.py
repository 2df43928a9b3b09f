"""Questions about a register's rows: every later answer hangs on them, so a slip is asked about."""

from __future__ import annotations

from typing import Final

from corrosion.data_entry.questions import About, Question
from corrosion.data_entry.trial import objections_by_row

DOUBTS: Final = {
    "limit-far-below-new": "new size {new_size_mm:g} mm, limit {limit_size_mm:g} mm, which no part "
    "has: another unit, or a point lost?",
    "interval-unusual": "a look every {inspect_days} days or {inspect_hours} engine hours, which "
    "manuals seldom ask for",
    "cost-negative": "a cost or minutes below zero",
    "in-register-twice": "is in the register already; this row would not be used",
}
PLACES: Final = "places-doubted"


def places_doubted(about: About) -> Question | None:
    """Ask about every place of a layout that the checks would object to, all at once."""
    rows = [row for row in about.draft.rows if row.log == "anode_positions"]
    # the first may take the place of a row that stands, which `about` knows of
    rules_by_row = [about.rules, *(objections_by_row(about.desk, rows[1:]) if rows[1:] else ())]
    doubts = [
        f"{row.cells['position']}: {DOUBTS[rule].format(**_in_words(row.cells))}"
        for row, rules in zip(rows, rules_by_row, strict=True)
        for rule in DOUBTS
        if rule in rules
    ]
    if not doubts:
        return None
    asks = f"{'; '.join(doubts)}. Look it up in the manual. Every forecast hangs on it."
    return Question(PLACES, asks, (about.stays(PLACES),))


def _in_words(cells: object) -> dict[str, object]:
    given = dict(cells) if isinstance(cells, dict) else {}
    return {
        **given,
        "inspect_days": _number(given.get("inspect_days")),
        "inspect_hours": _number(given.get("inspect_hours")),
    }


def _number(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else "not said how many"
