"""Looking through a season: the schedule of looks beside a look every so many days.

Every policy has the same plan, made anew each Monday on what it has seen itself; they differ by
where they look. Costs are those of the prices that the fleet entered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import timedelta
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from tests.known_truth.season.ours import Program
from tests.known_truth.season.run import let_through
from tests.known_truth.season.worlds import Prices, World, priced
from tests.known_truth.season.yard import PullOut, Yard, open_yard
from tests.known_truth.simulator.craft import ENGINE

HAUL_H, SWAP_H, MEASURE_H, LATE_DAYS = 0.75, 0.25, 5.0 / 60.0, 30.0
"""What the program assumes of a fleet that does not say."""
NEAR_DAYS = 28
Round = Iterable[tuple[int, str, tuple[str, ...] | None]]
"""Day, hull, and positions to look at; None: all of them."""


@dataclass
class Seen:
    """What came of a policy besides the wear: work, coverage, and when strays were told."""

    look_cost: float = 0.0
    pull_cost: float = 0.0
    looks: int = 0
    openings: int = 0
    near: int = 0
    covered: int = 0
    told_berth: float = np.nan
    looks_until_told: dict[tuple[str, str | None], int] = field(default_factory=dict)
    left_at_first: float = 0.0
    table: pd.DataFrame | None = None
    longest_s: float = 0.0
    why: dict[str, int] = field(default_factory=dict)


Looker = Callable[[Any, Any, World, int, Seen], Round]


def every(days: int) -> Looker:
    """Look at every anode of each hull every so many days; the hulls take turns."""

    def round_of_week(appraisal: Any, plan: Any, world: World, monday: int, seen: Seen) -> Round:
        first = int(world.first_h / 24)
        for number, hull in enumerate(world.fleet.hulls):
            start = first + int(days * ((number * 0.618) % 1.0))
            for day in range(monday, monday + 7):
                if day >= start and (day - start) % days == 0:
                    yield day, hull.hull_id, None

    return round_of_week


def scheduled(appraisal: Any, plan: Any, world: World, monday: int, seen: Seen) -> Round:
    """Look where and when the program says."""
    from corrosion.workshop.looks import schedule_looks

    looks = schedule_looks(appraisal, plan)
    seen.longest_s = max(seen.longest_s, looks.seconds)
    first = world.moment(monday * 24.0).date()
    for (hull, day), rows in looks.round.groupby(["hull_id", "look_by"]):
        for why, count in rows["why"].value_counts().items():
            seen.why[str(why)] = seen.why.get(str(why), 0) + int(count)
        yield monday + max((day - first).days, 0), str(hull), tuple(rows["position"])
    seen.table = looks.table


def look_through(world: World, looker: Looker, folder: Path, prices: Prices) -> tuple[Yard, Seen]:
    """Work a season through, Monday by Monday, planned by the program, looked at by `looker`."""
    from corrosion.forecast import appraise, odd_ones
    from corrosion.workshop import make_plan

    yard, seen, program = open_yard(world), Seen(), Program(folder, "plan", prices)
    seen.left_at_first = _metal_left(yard, prices)
    for week in range(world.weeks):
        monday = int(world.first_h / 24) + 7 * week
        program.write(yard, monday)
        on = world.moment(monday * 24.0)
        appraisal = appraise(folder, on, 7)
        plan = make_plan(appraisal, week=on.date())
        pulls = let_through(yard, _pulls(plan, world, monday), monday)
        looks = list(looker(appraisal, plan, world, monday, seen))
        _cover(yard, plan, seen.table, monday, seen)
        if world.fleet.strays:
            _strays(yard, odd_ones(appraisal), monday, seen)
        _week(yard, pulls, looks, monday, prices, seen)
    yard.close()
    return yard, seen


def _pulls(plan: Any, world: World, monday: int) -> list[PullOut]:
    first = world.moment(monday * 24.0).date()
    days = pd.to_datetime(plan.pulls["day"]).dt.date
    week = plan.pulls[days < first + timedelta(days=7)]
    return [
        PullOut(monday + (pd.Timestamp(row.day).date() - first).days, row.hull_id,
                tuple(row.replace), freed=True)
        for row in week.itertuples()
    ]  # fmt: skip


def _week(
    yard: Yard, pulls: list[PullOut], looks: list[Any], monday: int, prices: Prices, seen: Seen
) -> None:
    for day in range(monday, monday + 7):
        out = [each for each in pulls if each.day == day]
        for each in out:
            yard.pull(each)
            seen.pull_cost += _pull_cost(yard, each, prices)
        gone = {each.hull_id for each in out}
        for _, hull, positions in [each for each in looks if each[0] == day]:
            if hull not in gone and hull in yard.by_hull:
                before = len(yard.looks)
                yard.inspect(hull, day, positions)
                seen.looks += len(yard.looks) - before
                cost, opened = look_cost(yard, hull, positions, prices)
                seen.look_cost, seen.openings = seen.look_cost + cost, seen.openings + opened


def look_cost(
    yard: Yard, hull: str, positions: tuple[str, ...] | None, prices: Prices
) -> tuple[float, int]:
    """Return what looking at some anodes of a hull costs, and how many covers come off for it."""
    places = [yard.places[at].position for at in yard.by_hull[hull]]
    measured = [each for each in places if positions is None or each.position in positions]
    opened = len({each.access_group for each in measured})
    seals = sum(each.circuit == ENGINE for each in measured) * prices.seal
    return prices.wage * (0.5 * opened + MEASURE_H * len(measured)) + seals, opened


def _pull_cost(yard: Yard, pull: PullOut, prices: Prices) -> float:
    table = _priced(yard.world, prices)
    places = [yard.places[at].position for at in yard.by_hull[pull.hull_id]]
    swapped = [each for each in places if each.position in pull.replace]
    opened = {each.access_group for each in swapped}
    parts = sum(
        float(table.loc[(each.layout, each.position), ["part_cost", "seal_cost"]].sum())
        for each in swapped
    )
    return prices.wage * (HAUL_H + 0.5 * len(opened) + SWAP_H * len(swapped)) + parts


def _cover(yard: Yard, plan: Any, table: Any, monday: int, seen: Seen) -> None:
    """Count anodes that truly reach their limit soon, and those with something due before."""
    if table is None:
        return
    start, due = yard.world.moment(monday * 24.0), {}
    for row in table.itertuples():
        if row.asks or row.with_pull_out is not None:
            due[row.hull_id, row.position] = row.look_by
    for pull in plan.pulls.itertuples():
        for position in pull.replace:
            key = (pull.hull_id, position)
            due[key] = min(due.get(key, pull.day), pull.day)
    for at, anode in enumerate(yard.anodes):
        reached = anode.crossing_h()
        if not monday * 24.0 < reached <= (monday + NEAR_DAYS) * 24.0:
            continue
        place = yard.places[at]
        if reached > min(place.hull.leaves_day * 24.0, yard.world.last_h):
            continue
        on = (start + pd.Timedelta(hours=reached - monday * 24.0)).date()
        seen.near += 1
        by = due.get((place.hull.hull_id, place.position.position))
        seen.covered += by is not None and by <= on


def _strays(yard: Yard, odd: pd.DataFrame, monday: int, seen: Seen) -> None:
    """Note when a hot berth is told, and by which look an anode that does not wear is."""
    for stray in yard.world.fleet.strays:
        if monday * 24.0 < stray.from_h:
            continue
        told_hot = stray.kind == "hot-berth" and bool((odd["kind"] == "hot-berth").any())
        if told_hot and np.isnan(seen.told_berth):
            seen.told_berth = monday - stray.from_h / 24.0
        if stray.kind == "unbonded":
            key = (stray.hull_id, stray.position)
            alarms = odd[(odd["kind"] == "not-wearing") & (odd["hull_id"] == key[0])]
            if (alarms["position"] == key[1]).any() and key not in seen.looks_until_told:
                seen.looks_until_told[key] = _looks_since_begun(yard, stray)


def _looks_since_begun(yard: Yard, stray: Any) -> int:
    key = (stray.hull_id, stray.position)
    return sum(
        look.read_h > stray.from_h
        for look in yard.looks
        if (look.hull_id, look.position.position) == key
    )


@lru_cache(maxsize=2)
def _priced(world: World, prices: Prices) -> pd.DataFrame:
    """Return what each position costs, by layout and position."""
    return priced(world.fleet, prices).set_index(["layout", "position"])


def _metal_left(yard: Yard, prices: Prices) -> float:
    """Return what the metal left in the anodes in service is worth at the price of a change."""
    now_h = yard.world.first_h
    shares = [max(1.0 - anode.worn_at(now_h), 0.0) for anode in yard.anodes]
    units = [_unit(yard, at, prices) for at in range(len(yard.places))]
    return float(np.dot(shares, units))


def _unit(yard: Yard, at: int, prices: Prices) -> float:
    position = yard.places[at].position
    row = _priced(yard.world, prices).loc[(position.layout, position.position)]
    return float(row["part_cost"] + row["seal_cost"]) + prices.wage * SWAP_H


def outcome(yard: Yard, seen: Seen, prices: Prices) -> dict[str, float]:
    """Sum a season up: looks, anode-days past the limit, what it cost.

    Metal that is gone from the anodes in service between the first day and the last is charged at
    the price of a change (metal that is there instead is credited), so that who renewed much in the
    last weeks does not pay for what comes after the season.
    """
    table = _priced(yard.world, prices)
    late, left, past = 0.0, 0.0, 0.0
    for each in yard.removed:
        position = yard.places[each.place].position
        row = table.loc[(position.layout, position.position)]
        late += each.past_days * float(row["late_cost"]) / LATE_DAYS
        past += each.past_days
        if not each.replaced:
            left += max(1.0 - each.worn, 0.0) * _unit(yard, each.place, prices)
    unbonded = [s for s in yard.world.fleet.strays if s.kind == "unbonded"]
    begun = [s for s in unbonded if s.from_h < yard.world.last_h - 24 * 28]
    still = seen.looks_until_told
    shown = [
        s for s in begun if (s.hull_id, s.position) in still or _looks_since_begun(yard, s) >= 3
    ]
    return {
        "looks": seen.looks, "openings": seen.openings, "past_days": past,
        "pull_outs": len(yard.pull_outs), "look_cost": seen.look_cost,
        "pull_cost": seen.pull_cost, "late_cost": late, "metal": seen.left_at_first - left,
        "cost": seen.look_cost + seen.pull_cost + late + seen.left_at_first - left,
        "near": seen.near, "covered": seen.covered, "told_berth": seen.told_berth,
        "hot": float(any(s.kind == "hot-berth" for s in yard.world.fleet.strays)),
        "unbonded": len(begun), "still_told": len(still), "still_shown": len(shown),
        "still_by_third": sum(count <= 3 for count in still.values()),
        "seconds": seen.longest_s,
        **{f"why_{name}": count for name, count in seen.why.items()},
    }  # fmt: skip
