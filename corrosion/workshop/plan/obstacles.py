"""Why a hull that ought to come out does not this week: what stands in the way, and the cheapest
thing that would let it come out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any, Final

import numpy as np
import pandas as pd

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.workshop.plan.jobs import Job
from corrosion.workshop.plan.options import Option, Setting
from corrosion.workshop.plan.prices import Prices

OBSTACLES: Final = ("hull_id", "stop", "not_this_week", "release", "release_cost")
WEEK_DAYS = 7
DUE_WITHIN_DAYS = 14.0


@dataclass(frozen=True)
class _Way:
    """One thing in the way on one day: in words, what would take it away, and for how much.

    `release` is empty where what would take it away is under way already.
    """

    what: str
    release: str
    cost: float


def obstacles(
    appraisal: Appraisal, setting: Setting, prices: Prices, options: Sequence[Option],
    jobs: Sequence[Job], sent_for: Collection[str] = (),
) -> pd.DataFrame:  # fmt: skip
    """List the stopped hulls, and those over the tolerated risk, that stay in the week asked for.

    Parameters
    ----------
    appraisal : Appraisal
    setting : Setting
    prices : Prices
    options : every judged hull
    jobs : the pull-outs of the plan
    sent_for : parts that the plan sends for by courier

    Returns
    -------
    DataFrame, one row such a hull
        `hull_id`, `stop` (reasons), `not_this_week` and `release` (words), `release_cost`
        (currency, unknown where nothing in sight would do).
    """
    forecast, settings = appraisal.forecast, appraisal.logbook.settings
    last = setting.horizon.week + timedelta(days=WEEK_DAYS)
    this_week = {job.case.hull_id for job in jobs if setting.horizon.week <= job.day < last}
    at_of = {job.case.hull_id: job for job in jobs}
    until = setting.horizon.until_week_ends(setting.horizon.week)
    of_hull = {option.case.hull_id: option for option in options}
    used = _Used(setting, jobs, sent_for)
    rows = []
    for at, hull in enumerate(forecast.hulls.to_dict("records")):
        name = str(hull["hull_id"])
        risk = float(np.interp(until, forecast.day_grid, forecast.hull_chance[at]))
        over = risk > settings.tolerated_risk
        if name in this_week or not (over or hull["stop"]) or name not in of_hull:
            continue
        option = of_hull[name]
        ways = _least_in_the_way(option, setting, prices, used)
        rows.append((name, hull["stop"], *_said(ways, option, setting, at_of.get(name), settings)))
    return pd.DataFrame(rows, columns=list(OBSTACLES))


def _said(
    ways: list[_Way], option: Option, setting: Setting, job: Job | None, settings: Any
) -> tuple[str, str, float]:
    zone, currency = setting.horizon.zone, settings.currency
    stop = None if setting.desk is None else setting.desk.stops.get(option.case.hull_id)
    then = f"; comes out on {formatting.day(job.day, zone)}" if job is not None else ""
    if stop is not None and stop.look_first:
        names = formatting.listed(sorted(stop.positions)) or "its anodes"
        return (
            f"a look may clear it, so it waits for one before its next hire{then}",
            f"look at {names} before the next hire", 0.0,
        )  # fmt: skip
    if not ways:
        more = _waits_for(option, setting)
        return f"{more}{then}", "pin it to a day of this week", np.nan
    cost = sum(way.cost for way in ways)
    release = " and ".join(way.release for way in ways if way.release)
    price = f": {formatting.price(cost, currency)}" if np.isfinite(cost) and cost > 0 else ""
    return "; ".join(way.what for way in ways) + then, f"{release}{price}", float(cost)


def _waits_for(option: Option, setting: Setting) -> str:
    """Say that waiting is cheaper, by how much."""
    days = len(setting.horizon.days)
    week = [
        at for at, monday in enumerate(setting.horizon.week_of) if monday == setting.horizon.week
    ]
    near = float(option.best.cost[week].min()) if week else np.inf
    least = float(option.best.cost[:days].min())
    if np.isfinite(near) and near - least >= 1.0:
        more = formatting.number(near - least)
        return f"nothing is in the way; this week is expected to cost {more} more than its best day"
    return "nothing is in the way; other hulls come first"


class _Used:
    """What the plan's pull-outs take of bays and mechanics, day by day."""

    def __init__(self, setting: Setting, jobs: Sequence[Job], sent_for: Collection[str]) -> None:
        self.sent_for = frozenset(sent_for)
        days = len(setting.horizon.days)
        self.hulls = np.zeros((len(setting.yard.bays), days))
        self.hours = np.zeros((len(setting.yard.bays), days))
        self.pieces: Counter[str] = Counter()
        for job in jobs:
            for part, new in zip(job.case.part_numbers, job.replace, strict=True):
                if new and part is not None and setting.stock.short(part, job.day):
                    self.pieces[part] += 1
            self.hulls[job.bay, job.at] += 1
            self.hours[job.bay, job.at] += float(job.case.hours(job.replace[None, :])[0])

    def crew_h(self, setting: Setting, mooring: str, at: int) -> float:
        """Return the mechanics' hours that a mooring could still have on a day."""
        crews = setting.yard.crews
        if not crews:
            return np.inf
        all_h = sum(float(each.hours[at]) for each in crews)
        reach = sum(float(e.hours[at]) for e in crews if not e.moorings or mooring in e.moorings)
        here = [n for n, p in enumerate(setting.yard.bays) if p.mooring_id == mooring]
        return float(min(reach - self.hours[here, at].sum(), all_h - self.hours[:, at].sum()))


def _least_in_the_way(option: Option, setting: Setting, prices: Prices, used: _Used) -> list[_Way]:
    """Return what stands in the way on the day of the week on which the least does."""
    horizon = setting.horizon
    candidates: list[tuple[float, int, list[_Way]]] = []
    for at, monday in enumerate(horizon.week_of):
        if monday != horizon.week:
            continue
        mooring = str(setting.away.mooring[option.hull_row, at])
        bays = [n for n, p in enumerate(setting.yard.bays) if p.mooring_id == mooring]
        for bay in bays:
            ways = _in_the_way(option, setting, prices, used, at, bay)
            candidates.append((sum(way.cost for way in ways), len(ways), ways))
    if not candidates:
        place = str(setting.away.mooring[option.hull_row, 0])
        return [_Way(f"no bay serves {place}", f"enter a bay of {place} in fleet.toml", np.inf)]
    return min(candidates, key=lambda each: each[:2])[2]


def _in_the_way(
    option: Option, setting: Setting, prices: Prices, used: _Used, at: int, bay: int
) -> list[_Way]:
    horizon, away, place = setting.horizon, setting.away, option.hull_row
    own = setting.yard.bays[bay]
    day = formatting.day(horizon.days[at], horizon.zone, year=False)
    work, ways = _work_h(option, at), []
    price = prices.wage * work
    if away.skipped[place, at]:
        reason = away.reasons.get(option.case.hull_id, "no reason given")
        ways.append(_Way(f"held back by decision: {reason}", "take the decision back", 0.0))
    if away.out[place, at]:
        ways.append(_Way(f"still out on {day}", "call it in", 0.0))
    if away.gone[place, at]:
        ways.append(_Way("it has left the fleet by then", "keep it in the fleet", np.inf))
    if not own.open[at]:
        closed = own.closed[at] or "the bay is closed"
        ways.append(
            _Way(f"{day}: {closed}", f"open bay {own.bay} on {day} for {work:.1f} h", price)
        )
    else:
        ways += _no_room(own, used, at, bay, day, work, prices)
        ways += _slot_kept(setting, used, own.mooring_id, day) if not ways else []
    ways += _no_crew(setting, used, own.mooring_id, at, day, work, prices)
    ways += _no_part(option, setting, used, own.mooring_id, at)
    freed = setting.release_cost(place, at, bay, work)
    if not np.isfinite(freed):
        ways.append(
            _Way(f"on hire through the bay's hours on {day}", "end that hire early", np.inf)
        )
    elif freed > 0:
        ways.append(_Way(f"on hire on {day}", f"move or cancel its hires of {day}", freed))
    return ways


def _work_h(option: Option, at: int) -> float:
    """Return the hours of the cheapest work that replaces something, parts set aside."""
    some = option.best.replace.any(axis=1)
    costs = np.where(some, option.weighed.cost_with_rules[at], np.inf)
    return float(option.case.hours(option.best.replace[[int(costs.argmin())]])[0])


def _no_room(
    own: Any, used: _Used, at: int, bay: int, day: str, work: float, prices: Prices
) -> list[_Way]:
    if used.hulls[bay, at] + 1 > own.hulls[at]:
        return [
            _Way(
                f"bay {own.bay} has its {own.hulls[at]:.0f} hulls on {day}",
                f"take one hull more in bay {own.bay} on {day} ({work:.1f} h)",
                prices.wage * work,
            )
        ]
    more = used.hours[bay, at] + work - own.hours[at]
    if more > 1e-9:
        return [
            _Way(
                f"bay {own.bay} is full on {day}",
                f"work {more:.1f} h longer in bay {own.bay} on {day}", prices.wage * more,
            )
        ]  # fmt: skip
    return []


def _slot_kept(setting: Setting, used: _Used, mooring: str, day: str) -> list[_Way]:
    """Name the slot of the week that is kept free for the unplanned, where no other is left."""
    horizon, kept = setting.horizon, setting.yard.unplanned
    week = np.array([monday == horizon.week for monday in horizon.week_of])
    bays = [n for n, place in enumerate(setting.yard.bays) if place.mooring_id == mooring]
    hulls = sum(float(setting.yard.bays[n].hulls[week].sum()) for n in bays)
    most = max(hulls - kept, min(hulls, 1.0))
    if not kept or not np.isfinite(hulls) or used.hulls[bays][:, week].sum() < most:
        return []
    slots = "the last slot" if kept == 1 else f"the last {kept} slots"
    what = f"{slots} of the week at {mooring} {'is' if kept == 1 else 'are'} kept for the unplanned"
    return [_Way(what, f"pin it to {day}, which takes one", 0.0)]


def _no_crew(
    setting: Setting, used: _Used, mooring: str, at: int, day: str, work: float, prices: Prices
) -> list[_Way]:
    more = work - used.crew_h(setting, mooring, at)
    if more <= 1e-9:
        return []
    hours = f"{more:.1f} h more of a mechanic on {day}"
    return [_Way(f"no mechanic has {work:.1f} h for it on {day}", hours, prices.wage * more)]


def _no_part(option: Option, setting: Setting, used: _Used, mooring: str, at: int) -> list[_Way]:
    """Name the parts of anodes that are due and cannot be there on a day."""
    horizon, stock, case = setting.horizon, setting.stock, option.case
    due = case.due <= horizon.until_week_ends(horizon.week) + DUE_WITHIN_DAYS
    due[int(case.due.argmin())] = True
    parts = {p for p, one in zip(case.part_numbers, due, strict=True) if one and p is not None}
    ways = []
    for part in sorted(parts):
        left = stock.within_reach(part, mooring) - used.pieces[part]
        if not stock.short(part, horizon.days[at]) or left > 0:
            continue
        others = "; hulls that need it more take the last" if used.pieces[part] else ""
        there = formatting.day(stock.arrives[part], horizon.zone, year=False)
        courier = stock.couriers.get(part)
        if courier is not None and part in used.sent_for:
            day = formatting.day(courier.day, horizon.zone, year=False)
            ways.append(_Way(f"{part} comes by courier on {day}", "", 0.0))
        elif courier is None:
            way = f"send for {part} by courier, which needs a price under [express] in fleet.toml"
            ways.append(_Way(f"no {part} until {there}{others}", way, np.inf))
        else:
            days = formatting.number(courier.days)
            way = f"send for {part} by courier, {days} days"
            ways.append(_Way(f"no {part} until {there}{others}", way, courier.cost))
    return ways
