"""Rules for who and where: every row must belong to a hull, a position, a mooring of the fleet."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from corrosion.records.checks.evidence import SET_ASIDE, Evidence, Flags, Rule, flags_of
from corrosion.records.checks.lookback import layout_of


def hull_unknown(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """The hull is not in the register."""
    return ~rows["hull_id"].isin(evidence["hulls"]["hull_id"].dropna())


def mooring_unknown(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """The mooring is not in the register."""
    return ~rows["mooring_id"].isin(evidence["moorings"]["mooring_id"].dropna())


def position_unknown(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """The hull's layout has no such position (a hull that is unknown is another rule)."""
    known = _on_layout(rows, evidence, evidence.logged["anode_positions"])
    return ~known & ~hull_unknown(rows, evidence)


def position_not_used(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """The position is in the register, but its row there was set aside."""
    entered, used = evidence.logged["anode_positions"], evidence["anode_positions"]
    if len(entered) == len(used):
        return flags_of(np.zeros(len(rows)), rows)
    return _on_layout(rows, evidence, entered) & ~_on_layout(rows, evidence, used)


def _on_layout(rows: pd.DataFrame, evidence: Evidence, positions: pd.DataFrame) -> Flags:
    register = set(_places(positions["layout"], positions["position"]))
    # the same hull and position again and again: each is looked up once
    group = pd.factorize(rows["spot_no"])[0]
    first = rows[~pd.Series(group, index=rows.index).duplicated()]
    places = _places(layout_of(first, evidence), first["position"])
    known = np.array([place in register for place in places], dtype=bool)
    return flags_of(known[group], rows)


def _places(layouts: pd.Series, positions: pd.Series) -> Iterator[tuple[object, object]]:
    """Layout and position of each row; unknown is like unknown, whatever stands for it."""
    named = (column.astype(object).where(column.notna(), None) for column in (layouts, positions))
    return zip(*named, strict=True)


IDENTITY_RULES: tuple[Rule, ...] = (
    Rule(
        "hull-unknown",
        (
            *("berths", "outings", "flushes", "fittings", "readings", "bookings"),
            *("meters", "engine_swaps"),
        ),
        SET_ASIDE,
        "Check the spelling; if the hull was sold or renamed, enter it in the hulls log with its "
        "dates.",
        hull_unknown,
    ),
    Rule(
        "mooring-unknown",
        ("berths", "water_samples"),
        SET_ASIDE,
        "Check the spelling, or enter the mooring in the moorings log.",
        mooring_unknown,
        ("mooring_id",),
    ),
    Rule(
        "position-unknown",
        ("fittings", "readings"),
        SET_ASIDE,
        "Check the position's name against the layout of this hull.",
        position_unknown,
    ),
    Rule(
        "position-set-aside",
        ("fittings", "readings"),
        SET_ASIDE,
        "Correct this position in the anode_positions log; its rows are used again then.",
        position_not_used,
    ),
)
