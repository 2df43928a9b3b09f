"""What the programme may choose from: hull by day by bay, a later week, or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

import numpy as np

from corrosion.common import Codes, Floats
from corrosion.workshop.plan.away import Away
from corrosion.workshop.plan.cases import Case, Flags, choices
from corrosion.workshop.plan.hire import LostHire
from corrosion.workshop.plan.horizon import LATER_WEEKS, Horizon
from corrosion.workshop.plan.packages import Best, Weighed, best_choices, weigh
from corrosion.workshop.plan.prospects import Prospects
from corrosion.workshop.plan.stock import Stock
from corrosion.workshop.plan.yard import Yard

NONE = -1
EARLIER_IS_BETTER = 1e-3
"""Currency a day: where two days cost the same, the earlier one is taken."""
PIN_DROPPED = 10.0
"""A pin that is not kept costs so many times the dearest choice, and a day between it and what is
planned instead costs that once: nothing is worth it, and the nearest plan is near."""


@dataclass(frozen=True)
class Option:
    """One hull over all its times: days of the horizon, weeks beyond, and far ahead.

    Attributes
    ----------
    case : Case
    place : int, row of the hull in `Away`
    times : ndarray, shape (t,), days ahead; those of the horizon's days first
    weighed : Weighed
    best : Best, over the same times
    penalty : ndarray, shape (t,), price of standing past the pull-by, currency
    """

    case: Case
    place: int
    times: Floats
    weighed: Weighed
    best: Best
    penalty: Floats

    @property
    def cost(self) -> Floats:
        """Return the cost at each time with the price of the pull-by, shape (t,)."""
        return self.best.cost + self.penalty

    @property
    def least(self) -> float:
        """Return the cost of the best time of all, whoever stands in the bay."""
        return float(self.cost.min())


@dataclass(frozen=True)
class Setting:
    """Everything that the hulls of a plan share."""

    horizon: Horizon
    yard: Yard
    away: Away
    stock: Stock
    ahead: Prospects
    hire: LostHire


@dataclass(frozen=True)
class Columns:
    """The programme's yes-or-no variables, n of them.

    Attributes
    ----------
    option : ndarray of int, which hull (of the list of options)
    day : ndarray of int, which day of the horizon, NONE beyond it
    place : ndarray of int, which bay, NONE beyond the horizon
    later : ndarray of int, which week beyond the horizon, NONE otherwise
    choice : ndarray of int, which anodes are replaced, row of the hull's `Best.replace`
    pinned : bool ndarray, the day on which the manager wants the hull out
    dropped : bool ndarray, the pin of that hull is not kept
    cost, hours : ndarray, currency above the hull's best time, h
    parts : mapping of part number to pieces, ndarray
    """

    option: Codes
    day: Codes
    place: Codes
    later: Codes
    choice: Codes
    pinned: Flags
    dropped: Flags
    cost: Floats
    hours: Floats
    parts: dict[str, Floats]

    @property
    def count(self) -> int:
        """Return how many there are."""
        return int(self.option.size)


def weigh_hull(
    case: Case, place: int, setting: Setting, overdue: tuple[Floats, Floats], *, pinned: bool
) -> Option:
    """Weigh one hull on every day of the horizon and at times beyond.

    Parameters
    ----------
    case : Case
    place : int, its row in `setting.away`
    setting : Setting
    overdue : (ndarray, ndarray), days ahead and the price of standing past the pull-by until then
    pinned : bool, whether a visit that replaces nothing counts

    Returns
    -------
    Option
    """
    horizon = setting.horizon
    times = np.concatenate([horizon.ahead, horizon.later, horizon.far])
    days = len(horizon.days)
    hire = np.full(times.size, case.hire)
    hire[:days] = setting.hire.by_day[place]
    replace = choices(case)
    weighed = weigh(case, setting.ahead, times, hire, replace)
    best = best_choices(
        case, weighed, replace,
        _most_hours(place, setting, times.size, float(case.hours(replace)[1:].min())),
        _missing(case, place, setting, times), empty=pinned,
    )  # fmt: skip
    return Option(case, place, times, weighed, best, np.interp(times, *overdue))


def _most_hours(place: int, setting: Setting, times: int, shortest: float) -> Floats:
    """Return the longest job that any bay of the hull's mooring takes at each time, h.

    Beyond the horizon it is that of the best day in it, unless not even the shortest job fits.
    """
    most = np.full(times, np.inf)
    for at, mooring in enumerate(setting.away.mooring[place]):
        hours = [bay.hours[at] for bay in setting.yard.at(mooring)]
        most[at] = max(hours, default=0.0)
    days = len(setting.horizon.days)
    most[days:] = most[:days].max() if shortest <= most[:days].max() else np.inf
    return most


def _missing(case: Case, place: int, setting: Setting, times: Floats) -> Flags:
    """Return which parts are not there at each time, not a single piece, shape (t, k)."""
    table = np.zeros((times.size, case.rows.size), dtype=bool)
    moorings, horizon, stock = setting.away.mooring[place], setting.horizon, setting.stock
    for k, part in enumerate(case.part_numbers):
        if part is not None and stock.counted(part):
            before = times < horizon.days_until(stock.arrives[part])
            none = [not stock.within_reach(part, str(mooring)) for mooring in moorings]
            beyond = [none[-1]] * (times.size - len(none))
            table[:, k] = before & np.array([*none, *beyond])
            near = range(len(horizon.days))
            table[near, k] = [stock.missing(part, moorings[at], horizon.days[at]) for at in near]
    return table


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
    cost, hours = (np.array(each, dtype=float) for each in fields[7:])
    dear = 1.0 + cost.max(initial=0.0)
    cost += dear * _from_pin(option_, day, options, setting)
    cost[dropped] = PIN_DROPPED * dear
    parts = _parts(option_, day, choice, options, setting)
    return Columns(option_, day, place, later, choice, pinned, dropped, cost, hours, parts)


class _Row(NamedTuple):
    """One choice while they are listed; the fields of `Columns`."""

    option: int
    day: int = NONE
    place: int = NONE
    later: int = NONE
    choice: int = NONE
    pinned: bool = False
    dropped: bool = False
    cost: float = 0.0
    hours: float = 0.0


def _pull_outs(number: int, option: Option, setting: Setting, pin: date | None) -> list[_Row]:
    rows = []
    free, hours = setting.away.free[option.place], option.case.hours(option.best.replace)
    for at, day in enumerate(setting.horizon.days):
        if not (free[at] and np.isfinite(option.cost[at])):
            continue
        for choice in _worth_a_place(option, at, day, setting):
            cost = option.best.costs[at, choice] + option.penalty[at] - option.least
            cost, work = float(cost) + EARLIER_IS_BETTER * at, float(hours[choice])
            bays = _bays_for(setting, setting.away.mooring[option.place, at], at, work)
            rows += [
                _Row(number, at, bay, NONE, choice, day == pin, False, cost, work) for bay in bays
            ]
    return rows


def _worth_a_place(option: Option, at: int, day: date, setting: Setting) -> list[int]:
    """Return the best choice of anodes on a day, and the best that spares each scarce part."""
    best = option.best
    found = [int(best.choice[at])]
    for k, part in enumerate(option.case.part_numbers):
        if part is not None and best.replace[found[0], k] and setting.stock.short(part, day):
            spares = np.where(best.replace[:, k], np.inf, best.costs[at])
            other = int(spares.argmin())
            if np.isfinite(spares[other]) and other not in found:
                found.append(other)
    return found


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


def _bays_for(setting: Setting, mooring: object, at: int, hours: float) -> list[int]:
    """Return the bays that can take a job on a day."""
    return [
        number
        for number, bay in enumerate(setting.yard.places)
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
