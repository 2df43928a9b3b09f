"""What may be done with a hull: the pull-outs worth weighing, and staying until later."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from corrosion.common import Floats
from corrosion.workshop.plan.away import Away
from corrosion.workshop.plan.cases import Case, Flags, choices
from corrosion.workshop.plan.hire import LostHire
from corrosion.workshop.plan.hires.desk import Desk
from corrosion.workshop.plan.horizon import Horizon
from corrosion.workshop.plan.packages import Best, Weighed, add_rule_price, best_choices, weigh
from corrosion.workshop.plan.prospects import Prospects
from corrosion.workshop.plan.stock import Stock
from corrosion.workshop.plan.yard import Yard

NONE = -1


EARLIER_IS_BETTER = 1e-3
"""Currency a day: where two days cost the same, the earlier one is taken."""


AFTER_DAYS = 7.0
STILL_IN_DANGER = 0.5
"""A visit that leaves more than this share of the danger of the week after it is in vain."""
PIN_DROPPED = 10.0
"""A pin that is not kept costs so many times the dearest choice, and a day between it and what is
planned instead costs that once: nothing is worth it, and the nearest plan is near."""


@dataclass(frozen=True)
class Option:
    """One hull over all its times: days of the horizon, weeks beyond, and far ahead.

    Attributes
    ----------
    case : Case
    hull_row : int, row of the hull in `Away`
    times : ndarray, shape (t,), days ahead; those of the horizon's days first
    weighed : Weighed
    best : Best, over the same times
    penalty : ndarray, shape (t,), price of standing past the pull-by, currency
    """

    case: Case
    hull_row: int
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
    """Everything that the hulls of a plan share.

    `issued`: the day of each hull by the plan issued last; `churn`: what changing one costs;
    `risen`: hulls whose wear is taken to have risen, times as fast.
    """

    horizon: Horizon
    yard: Yard
    away: Away
    stock: Stock
    ahead: Prospects
    hire: LostHire
    desk: Desk | None = None
    issued: Mapping[str, date] = field(default_factory=dict)
    churn: float = 0.0
    risen: Mapping[str, float] = field(default_factory=dict)

    def free_days(self, place: int) -> Flags:
        """Return the days on which a hull can come out, hires aside where they may move."""
        return np.asarray((self.away.free if self.desk is None else self.away.there)[place])

    def release_cost(self, place: int, at: int, bay: int, work_h: float) -> float:
        """Return what freeing a hull for a visit costs in hires; inf where nothing frees it."""
        if self.desk is None:
            return np.inf if self.away.booked[place, at] else 0.0
        return self.desk.cost(place, at, bay, work_h)


def weigh_hull(
    case: Case,
    place: int,
    setting: Setting,
    overdue: tuple[Floats, Floats],
    *,
    pinned: bool,
    tolerated_risk: float = 1.0,
) -> Option:
    """Weigh one hull on every day of the horizon and at times beyond.

    Parameters
    ----------
    case : Case
    place : int, its row in `setting.away`
    setting : Setting
    overdue : (ndarray, ndarray), days ahead and the price of standing past the pull-by until then
    pinned : bool, whether a visit that replaces nothing counts
    tolerated_risk : float, chance above which an anode left behind makes a visit vain

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
    stop = None if setting.desk is None else setting.desk.stops.get(case.hull_id)
    if stop is not None and setting.desk is not None:
        names = [str(each) for each in setting.ahead.cells["position"][case.rows]]
        lifts = stop.lifted_by(names, replace, case.measured(replace))
        standing = setting.desk.standing(case, place, times, lifts)
        weighed = add_rule_price(weighed, standing)
        pinned = pinned or not stop.look_first
    best = best_choices(
        case, weighed, replace,
        _most_hours(place, setting, times.size, float(case.hours(replace)[1:].min())),
        _missing(case, place, setting, times), empty=pinned,
        in_vain=None if pinned else in_vain(case, setting.ahead, times, replace, tolerated_risk),
    )  # fmt: skip
    return Option(case, place, times, weighed, best, np.interp(times, *overdue))


def in_vain(
    case: Case, ahead: Prospects, times: Floats, replace: Flags, tolerated_risk: float
) -> Flags:
    """Return which visits leave the anode that the hull is in danger for, shape (t, s).

    A hull hauled for one anode, while the one at its limit is left for want of its part, is as
    much in danger as before. Such a visit is none; the part is what stands in the way.

    Parameters
    ----------
    case : Case
    ahead : Prospects
    times : ndarray, shape (t,), days ahead
    replace : bool ndarray, shape (s, k)
    tolerated_risk : float
    """
    by_then = np.array([ahead.chance_at(int(row), times + AFTER_DAYS) for row in case.rows])
    worst = by_then.max(axis=0)
    left = np.where(replace[None, :, :], 0.0, by_then.T[:, None, :]).max(axis=2)
    return np.asarray((left > tolerated_risk) & (left > STILL_IN_DANGER * worst[:, None]))


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
