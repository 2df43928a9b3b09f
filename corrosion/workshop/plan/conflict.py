"""Where the manager's pins do not fit: which rule is in the way, and what the nearest plan is."""

from __future__ import annotations

from datetime import date, tzinfo

import numpy as np

from corrosion.common import formatting
from corrosion.workshop.plan.options import NONE, Option, Setting
from corrosion.workshop.plan.programme import Programme
from corrosion.workshop.plan.solving import Solved, solve

MAY_BE_IN_THE_WAY = {
    "hulls a bay takes in a day": "the bay takes no more hulls that day",
    "hours of the bay": "the bay has no hours left that day",
    "the slot kept for the unplanned": "a slot is to be kept free for the unplanned that week",
    "hours of the mechanics": "the mechanics have no hours left that day",
    "parts in stock": "the parts in stock do not suffice",
}
LONGEST_SEARCH_S = 1.0


def say_conflict(programme: Programme, solved: Solved) -> str:
    """Say which pins are not kept, which rule is in the way, and what is planned instead.

    Parameters
    ----------
    programme : Programme
    solved : Solved

    Returns
    -------
    str, empty where every pin is kept
    """
    columns = programme.columns
    dropped = [int(each) for each in solved.chosen if columns.dropped[each]]
    return " ".join(_say(programme, solved, int(columns.option[each])) for each in dropped)


def _say(programme: Programme, solved: Solved, number: int) -> str:
    option, setting = programme.options[number], programme.setting
    hull, zone = option.case.hull_id, setting.horizon.zone
    pin = setting.away.pins[hull]
    why = _blocked(option, setting, pin) or _rule_in_the_way(programme, number)
    return (
        f"{hull} can't come out on {formatting.day(pin, zone)} as pinned: {why}. "
        f"The nearest plan {_instead(programme, solved, number, zone)}."
    )


def _blocked(option: Option, setting: Setting, pin: date) -> str:
    """Say what rules the day itself out for the hull; empty where only others are in the way."""
    if pin not in setting.horizon.days:
        return "that day is over, or its hour to begin is"
    at = setting.horizon.days.index(pin)
    away, mooring = setting.away, setting.away.mooring[option.hull_row, at]
    for held, why in (
        (away.booked, "it is on hire that day"),
        (away.out, "it is still out"),
        (away.gone, "it has left the fleet by then"),
        (away.skipped, "it is held back that week"),
    ):
        if held[option.hull_row, at]:
            return why
    places = setting.yard.at(mooring)
    if not places:
        return f"no bay serves {mooring}"
    if not any(place.open[at] for place in places):
        return f"{mooring}: {places[0].closed[at]}"
    if not np.isfinite(option.cost[at]):
        return "the work takes longer than the bay has hours that day"
    return ""


def _rule_in_the_way(programme: Programme, number: int) -> str:
    """Find the rule without which the pin would be kept; all of them where none does it alone."""
    columns = programme.columns
    pinned = set(np.flatnonzero((columns.option == number) & columns.pinned))
    for rule, words in MAY_BE_IN_THE_WAY.items():
        without = solve(programme, (rule,), gap=0.01, time_limit_s=LONGEST_SEARCH_S)
        if pinned & set(without.chosen):
            return words
    return "several rules together are in the way"


def _instead(programme: Programme, solved: Solved, number: int, zone: tzinfo) -> str:
    columns = programme.columns
    for column in solved.chosen:
        if columns.option[column] == number and columns.day[column] != NONE:
            day = programme.setting.horizon.days[columns.day[column]]
            return f"takes it out on {formatting.day(day, zone)}"
    return "leaves it where it is"
