"""What the programme may choose from: hull by day by bay, a later week, or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

import numpy as np

from corrosion.common import Codes, Floats
from corrosion.workshop.plan.cases import Flags
from corrosion.workshop.plan.horizon import LATER_WEEKS, Horizon
from corrosion.workshop.plan.options import EARLIER_IS_BETTER, NONE, PIN_DROPPED, Option, Setting
from corrosion.workshop.plan.yard import Yard


@dataclass(frozen=True)
class Columns:
    """The programme's yes-or-no variables, n of them.

    Attributes
    ----------
    option : ndarray of int, which hull (of the list of options)
    day : ndarray of int, which day of the horizon, NONE beyond it
    bay : ndarray of int, which bay, NONE beyond the horizon
    later : ndarray of int, which week beyond the horizon, NONE otherwise
    choice : ndarray of int, which anodes are replaced, row of the hull's `Best.replace`
    pinned : bool ndarray, the day on which the manager wants the hull out
    dropped : bool ndarray, the pin of that hull is not kept
    cost, hours : ndarray, currency above the hull's best time, h
    displaces : bool ndarray, a hire of the hull must move or be cancelled for it
    parts : mapping of part number to pieces, ndarray
    """

    option: Codes
    day: Codes
    bay: Codes
    later: Codes
    choice: Codes
    pinned: Flags
    dropped: Flags
    cost: Floats
    hours: Floats
    displaces: Flags
    parts: dict[str, Floats]

    @property
    def count(self) -> int:
        """Return how many there are."""
        return int(self.option.size)


def lay_out_columns(options: Sequence[Option], setting: Setting) -> Columns:
    """List what the programme may choose from.

    Parameters
    ----------
    options : the hulls
    setting : Setting

    Returns
    -------
    Columns
    """
    rows: list[_Row] = []
    for number, option in enumerate(options):
        pin = setting.away.pins.get(option.case.hull_id)
        rows += _pull_outs(number, option, setting, pin)
        rows += _beyond(number, option, setting.horizon)
        if pin is not None:
            rows.append(_Row(number, dropped=True))
    fields = list(zip(*rows, strict=True)) if rows else [()] * len(_Row._fields)
    option_, day, place, later, choice = (np.array(each, dtype=np.intp) for each in fields[:5])
    pinned, dropped = (np.array(each, dtype=bool) for each in fields[5:7])
    cost, hours = (np.array(each, dtype=float) for each in fields[7:9])
    displaces = np.array(fields[9], dtype=bool)
    dear = 1.0 + cost.max(initial=0.0)
    cost += dear * _from_pin(option_, day, options, setting)
    cost[dropped] = PIN_DROPPED * dear
    cost += setting.churn * _changes_issued(option_, day, options, setting)
    parts = _parts(option_, day, choice, options, setting)
    return Columns(
        option_, day, place, later, choice, pinned, dropped, cost, hours, displaces, parts
    )


class _Row(NamedTuple):
    """One choice while they are listed; the fields of `Columns`."""

    option: int
    day: int = NONE
    bay: int = NONE
    later: int = NONE
    choice: int = NONE
    pinned: bool = False
    dropped: bool = False
    cost: float = 0.0
    hours: float = 0.0
    displaces: bool = False


def _pull_outs(number: int, option: Option, setting: Setting, pin: date | None) -> list[_Row]:
    rows = []
    free, hours = setting.free_days(option.hull_row), option.case.hours(option.best.replace)
    for at, day in enumerate(setting.horizon.days):
        if not (free[at] and np.isfinite(option.cost[at])):
            continue
        for choice in _worth_a_place(option, at, day, setting):
            cost = option.best.costs[at, choice] + option.penalty[at] - option.least
            cost, work = float(cost) + EARLIER_IS_BETTER * at, float(hours[choice])
            bays = _bays_for(setting, setting.away.mooring[option.hull_row, at], at, work)
            for bay in bays:
                freed = setting.release_cost(option.hull_row, at, bay, work)
                if np.isfinite(freed):
                    rows.append(
                        _Row(
                            number, at, bay, NONE, choice, day == pin, False, cost + freed, work,
                            freed > 0.0,
                        )
                    )  # fmt: skip
    return rows


def _worth_a_place(option: Option, at: int, day: date, setting: Setting) -> list[int]:
    """Return the best choice of anodes on a day, and the best that spares each scarce part."""
    best = option.best
    taken = [int(best.choice[at])]
    for k, part in enumerate(option.case.part_numbers):
        if part is not None and best.replace[taken[0], k] and setting.stock.short(part, day):
            spares = np.where(best.replace[:, k], np.inf, best.costs[at])
            other = int(spares.argmin())
            if np.isfinite(spares[other]) and other not in taken:
                taken.append(other)
    return taken


def _from_pin(option: Codes, day: Codes, options: Sequence[Option], setting: Setting) -> Floats:
    """Return the days between each choice and the pin of its hull; 0 where it has none."""
    last = len(setting.horizon.days)
    apart = np.zeros(option.size)
    for number, each in enumerate(options):
        pin = setting.away.pins.get(each.case.hull_id)
        if pin is not None:
            own = np.flatnonzero(option == number)
            at = (pin - setting.horizon.days[0]).days
            apart[own] = np.abs(np.where(day[own] == NONE, last, day[own]) - at)
    return apart


def _changes_issued(
    option: Codes, day: Codes, options: Sequence[Option], setting: Setting
) -> Flags:
    """Return which choices change the day on which a hull comes out by the issued plan."""
    changes, days = np.zeros(option.size, dtype=bool), setting.horizon.days
    for number, each in enumerate(options):
        hull = each.case.hull_id
        issued = setting.issued.get(hull)
        if issued in days and hull not in setting.away.pins:
            changes |= (option == number) & (day != days.index(issued))
    return changes


def _bays_for(setting: Setting, mooring: object, at: int, hours: float) -> list[int]:
    """Return the bays that can take a job on a day."""
    return [
        number
        for number, bay in enumerate(setting.yard.bays)
        if bay.mooring_id == mooring and bay.open[at] and hours <= bay.hours[at] + 1e-9
    ]


def _beyond(number: int, option: Option, horizon: Horizon) -> list[_Row]:
    days = len(horizon.days)
    cost = option.cost - option.least
    later = [
        _Row(
            number, later=week, choice=int(option.best.choice[days + week]),
            cost=float(cost[days + week] + EARLIER_IS_BETTER * (days + 7 * week)),
            hours=float(option.best.hours[days + week]),
        )
        for week in range(LATER_WEEKS)
        if np.isfinite(cost[days + week])
    ]  # fmt: skip
    return [*later, _Row(number, cost=float(cost[days + LATER_WEEKS :].min()))]


def _parts(
    option: Codes, day: Codes, choice: Codes, options: Sequence[Option], setting: Setting
) -> dict[str, Floats]:
    """Return the pieces of each counted part that a choice takes before more can be there."""
    parts: dict[str, Floats] = {}
    for column in np.flatnonzero(day != NONE):
        chosen, at = options[option[column]], setting.horizon.days[day[column]]
        replaced = chosen.best.replace[choice[column]]
        for part, new in zip(chosen.case.part_numbers, replaced, strict=True):
            if new and part is not None and setting.stock.short(part, at):
                parts.setdefault(part, np.zeros(option.size))[column] += 1.0
    return parts


def usual_week(yard: Yard, mooring: str) -> tuple[float, float]:
    """Return the hulls and hours that a mooring's bays take in the fullest week of the horizon."""
    places = yard.at(mooring)
    hulls = sum(_best_week(place.hulls) for place in places)
    return hulls, sum(_best_week(place.hours) for place in places)


def _best_week(daily: Floats) -> float:
    spans = [daily[at : at + 7].sum() for at in range(max(len(daily) - 6, 1))]
    return float(max(spans))
