"""Who asks what, for each log, in the order of asking."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

import pandas as pd

from corrosion.common import formatting
from corrosion.data_entry.ask_hours import (
    hire_hours,
    hours_over_outing,
    meter_apart,
    meter_ran_back,
)
from corrosion.data_entry.ask_registers import places_doubted
from corrosion.data_entry.ask_sizes import (
    change_seen,
    decimal_point,
    depth_for_remaining,
    grown,
    other_position,
    other_unit,
    radius_for_diameter,
    unlike_forecast,
)
from corrosion.data_entry.ask_usual import beyond_usual, dear_hire, long_ago, potential_unit
from corrosion.data_entry.ask_water import conductivity, magnesium, salinity, temperature
from corrosion.data_entry.drafts import Draft
from corrosion.data_entry.known import Desk
from corrosion.data_entry.questions import About, Asker, Question, confirm, twice
from corrosion.data_entry.trial import objections_to

LOG: Final = ("exact-duplicate", "double-entry")

ASKERS: Final[Mapping[str, tuple[Asker, ...]]] = {
    "readings": (
        twice(LOG, "reading"),
        long_ago,
        potential_unit,
        beyond_usual,
        other_unit,
        decimal_point,
        radius_for_diameter,
        depth_for_remaining,
        other_position,
        change_seen,
        grown,
        confirm("far-above-new", "That is far above the size of a new part. Is it this position?"),
        confirm("above-new", "That is larger than a new part: crust? Was it cleaned before?"),
        confirm("size-zero", "Zero means that nothing is left of it. Is it gone?"),
        confirm("verdict-against-size", "Verdict and size do not fit each other."),
        confirm(
            "too-fast",
            "It would have lost more since the last look than any wear takes. Measure again; if it "
            "is so, have the berth tested by a qualified marine electrician.",
        ),
        unlike_forecast,
    ),
    "outings": (
        twice(LOG, "outing"),
        long_ago,
        hours_over_outing,
        meter_ran_back,
        meter_apart,
        beyond_usual,
        confirm("outings-overlap", "The hull was out already at that time. Is it this hull?"),
        confirm("outing-over-three-days", "That is an outing of more than three days."),
        confirm("outing-over-a-day", "That is an outing of more than a day."),
    ),
    "flushes": (
        twice(LOG, "flush"),
        long_ago,
        beyond_usual,
        confirm("flush-during-outing", "The hull was out at that time. Is it this hull?"),
    ),
    "berths": (
        twice(LOG, "berth"),
        long_ago,
        magnesium,
        confirm("zinc-in-fresh", "Zinc crusts in fresh water and stops protecting while it looks "
                "new: clean it at every look, and see the manual for the alloy there."),
        confirm("berths-at-once", "Another berth begins at the same moment."),
    ),
    "water_samples": (
        twice(LOG, "sample"), long_ago, conductivity, salinity, temperature,
    ),
    "bookings": (
        twice(LOG, "hire"),
        long_ago,
        hire_hours,
        beyond_usual,
        dear_hire,
        confirm("bookings-overlap", "The hull is booked already at that time."),
    ),
    "anode_positions": (places_doubted,),
    "moorings": (confirm("in-register-twice", "This mooring is in the register already."),),
    "meters": (twice(LOG, "entry"), long_ago),
    "engine_swaps": (twice(LOG, "engine"), long_ago),
    "fittings": (
        twice(LOG, "fitting"),
        long_ago,
        confirm("fitted-twice", "A new anode went in within the hour already."),
        confirm("fitted-size-impossible", "No new part of this position has that size. In inches?"),
        confirm("fitted-near-limit", "That is at or below the limit already: is it a new part?"),
    ),
}  # fmt: skip


def next_question(draft: Draft, desk: Desk, instead_of: int | None = None) -> Question | None:
    """Ask the next question about a draft, if there is one.

    Parameters
    ----------
    draft : Draft
        Nothing wrong in it.
    desk : Desk
        The logs and the moment.
    instead_of : int, optional
        `log_row` of the row whose place it takes; the draft is judged without that row.

    Returns
    -------
    Question or None
        None: the draft can be written. Each answer carries the draft that it makes; ask again
        about that one, since a changed value may raise another question.
    """
    if not draft.rows:
        return None
    if draft.twice:
        return _which_of_two(draft, desk)
    if draft.main.log not in ASKERS:
        return None
    rules = objections_to(desk, draft.rows, instead_of)
    about = About(draft, desk, frozenset(rules))
    for ask in ASKERS[draft.main.log]:
        question = ask(about)
        if question is not None and question.name not in draft.asked:
            return question
    return None


def _which_of_two(draft: Draft, desk: Desk) -> Question:
    """The clocks were put back, and the time came twice."""
    zone = desk.logbook.settings.timezone
    cell, second = next(iter(draft.twice.items()))
    rest = {name: moment for name, moment in draft.twice.items() if name != cell}
    first = draft.main.cells[cell]
    first_moment = formatting.moment(first, zone) if isinstance(first, pd.Timestamp) else ""
    about = About(replace(draft, twice=rest), desk, frozenset())
    name = f"twice-{cell}"
    asks = f"{first_moment} came twice that night: the clocks were put back. Which one was it?"
    before = about.stays(name, "The first, before they were put back")
    after = about.answer(name, "The second, after they were put back", **{cell: second})
    return Question(name, asks, (before, after))
