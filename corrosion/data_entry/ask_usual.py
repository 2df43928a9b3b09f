"""Questions about values beyond what is usual, and about moments long past: asked, never refused.

What cannot be at all is refused in `kinds`; what a rule of the checks objects to is asked there.
The spans are common practice, without a source, and wide: who means it presses once more.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import pandas as pd

from corrosion.common import formatting
from corrosion.data_entry.questions import About, Question
from corrosion.records import LOGS

USUAL: Final[Mapping[tuple[str, str], tuple[float, float, str, str]]] = {
    ("flushes", "minutes"): (1.0, 60.0, "min", "A flush takes"),
    ("outings", "engine_hours"): (0.0, 24.0, "h", "An outing takes engine hours of"),
    ("bookings", "engine_hours"): (0.0, 60.0, "h", "A hire takes engine hours of"),
    ("readings", "bond_ohm"): (0.0, 1000.0, "ohm", "A contact has"),
}
VOLTS: Final = (-2.5, -0.1)
"""Between these a potential was typed in volts: no metal in water lies so near zero in mV."""
SIGN_LOST_MV: Final = (100.0, 2000.0)
LONG_PAST: Final = pd.Timedelta(days=31)
FAR_AHEAD: Final = pd.Timedelta(days=550)
DEAR: Final = 20.0
"""Times the fleet's usual hire value."""


def beyond_usual(about: About) -> Question | None:
    """The first number of the row that lies outside what is usual of it."""
    for (log, column), (least, most, unit, takes) in USUAL.items():
        value = about.row.cells.get(column)
        name = f"unusual-{column}"
        if log != about.row.log or name in about.draft.asked or not isinstance(value, float):
            continue
        if not least <= value <= most:
            asks = (
                f"{takes} {least:g} to {most:g} {unit} as a rule, and {value:g} {unit} are typed. "
                "Is the number right, and the unit?"
            )
            left = about.answer(name, "Not known: leave it out", **{column: None})
            return Question(name, asks, (left, about.stays(name)))
    return None


def potential_unit(about: About) -> Question | None:
    """A potential in volts, or without its sign."""
    value, name = about.row.cells.get("potential_mv"), "potential-unit"
    if not isinstance(value, float):
        return None
    if VOLTS[0] <= value <= VOLTS[1]:
        label, meant = "In volts", 1000.0 * value
    elif -VOLTS[1] <= value <= -VOLTS[0]:
        label, meant = "In volts, without its sign", -1000.0 * value
    elif SIGN_LOST_MV[0] <= value <= SIGN_LOST_MV[1]:
        label, meant = "Without its sign", -value
    else:
        return None
    asks = f"{value:g} mV is not what a metal shows in water. What does the meter show?"
    changed = about.answer(name, f"{label}: {meant:g} mV", potential_mv=meant)
    return Question(name, asks, (changed, about.stays(name)))


def dear_hire(about: About) -> Question | None:
    """A hire that is worth far more than the fleet's hires are."""
    value, name = about.row.cells.get("hire_value"), "unusual-hire_value"
    known = about.desk.checked.bookings["hire_value"].dropna()
    if not isinstance(value, float) or len(known) < 5 or value <= DEAR * float(known.median()):
        return None
    asks = (
        f"{value:g} is {value / float(known.median()):.0f} times the middle of this fleet's hires "
        f"({float(known.median()):g}). Is the point where it belongs?"
    )
    left = about.answer(name, "Not known: leave it out", hire_value=None)
    return Question(name, asks, (left, about.stays(name)))


def long_ago(about: About) -> Question | None:
    """A moment long past, or a hire far ahead: the wrong month or year is soon chosen."""
    at, name = about.row.cells.get(LOGS[about.row.log].event_time), "another-day"
    if not isinstance(at, pd.Timestamp) or about.row.cells.get("corrects") is not None:
        return None
    now, zone = about.desk.now, about.desk.logbook.settings.timezone
    past_d = (now - at).days
    if at < now - LONG_PAST:
        asks = f"{formatting.day(at, zone)} is {past_d} days ago. Is that the day?"
    elif at > now + FAR_AHEAD:
        asks = f"{formatting.day(at, zone)} is {-past_d} days ahead. Is that the day?"
    else:
        return None
    return Question(name, asks, (about.stays(name),))
