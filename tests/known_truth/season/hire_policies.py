"""One policy through a season in which hires may move: the plan, the plan before it, the rules."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from unittest.mock import patch

import numpy as np
import pandas as pd

from tests.known_truth.season.hiring import HireYard, Shut, own_fleet
from tests.known_truth.season.ours import Program
from tests.known_truth.season.outings import LOST, read_outings
from tests.known_truth.season.past_limit import Belief, belief_of, days_past
from tests.known_truth.season.rules import CUSTOMARY, placed, wanted
from tests.known_truth.season.run import let_through
from tests.known_truth.season.worlds import Prices, World
from tests.known_truth.season.yard import PullOut, inspection_days, open_yard
from tests.known_truth.simulator import books

OPENS_H, REPLAN_H, USUAL_VISIT_H = 8.0, 7.75, 3.0
LOOK_OF_DAY_H = 7.0


@dataclass
class Orders:
    """What a plan says until the next one.

    Attributes
    ----------
    made_h : float, hour of the plan since the fleet's start
    visits : list of (pull-out, start, end), hours since the fleet's start
    changes : list of (hour, hull booked, hull that takes it or LOST)
    looks : list of (day, hull_id, positions), before a hire of that day
    stops : mapping of hull_id to the hour at which its stop is lifted, inf for not at all
    waits : hulls whose stop the look may take away
    """

    made_h: float
    visits: list[tuple[PullOut, float, float]] = field(default_factory=list)
    changes: list[tuple[float, str, str | int]] = field(default_factory=list)
    looks: list[tuple[int, str, tuple[str, ...]]] = field(default_factory=list)
    stops: dict[str, float] = field(default_factory=dict)
    waits: set[str] = field(default_factory=set)


Asked = Callable[[HireYard, float, int], Orders]
"""Yard, hour of the question, day of the week's Monday."""


@dataclass
class Planner:
    """The program, asked on the logs as they stand; `hires_move` or the plan that knew no hires."""

    program: Program
    hires_move: bool
    again: bool = True
    seconds: float = 0.0
    plans: int = 0
    widest_gap: float = 0.0
    beliefs: list[Belief] = field(default_factory=list)

    def __call__(self, yard: HireYard, now_h: float, monday: int) -> Orders:
        """Write the logs, plan, and read the orders off the plan."""
        from corrosion.forecast import appraise
        from corrosion.workshop.plan import make_plan

        world, folder = yard.world, self.program.folder
        self.program.write(yard, monday)
        _write_hires(world, folder, now_h)
        appraisal = appraise(folder, world.moment(now_h), 7)
        week = world.moment(now_h).date()
        if self.hires_move:
            plan = make_plan(appraisal, week=week)
        else:
            with patch("corrosion.workshop.plan.making.open_desk", return_value=None):
                plan = make_plan(appraisal, week=week)
        self.seconds, self.plans = self.seconds + plan.seconds, self.plans + 1
        self.widest_gap = max(self.widest_gap, plan.gap)
        self.beliefs.append(belief_of(appraisal, plan, world, now_h, (monday + 7) * 24.0))
        return _orders(yard, appraisal, plan, now_h, monday, self.hires_move)


def _orders(
    yard: HireYard, appraisal: Any, plan: Any, now_h: float, monday: int, hires_move: bool
) -> Orders:
    world, orders = yard.world, Orders(now_h)
    until_h, start = (monday + 7) * 24.0, world.fleet.start
    hull = appraisal.forecast.hulls.set_index("hull_id")["stop"]
    orders.stops = {str(each): np.inf for each in hull.index[hull != ""]}
    for row in plan.pulls.itertuples():
        day = int((pd.Timestamp(row.day, tz="UTC") - start) / pd.Timedelta(days=1) + 1e-9)
        begins = 24.0 * day + OPENS_H if pd.isna(row.starts) else world.fleet.hours(row.starts)
        if 24.0 * day >= until_h:
            continue
        ends = begins + float(row.hours)
        pull = PullOut(day, row.hull_id, tuple(row.replace), freed=hires_move)
        orders.visits.append((pull, begins, ends))
        if row.hull_id in orders.stops and row.lifts_stop:
            orders.stops[row.hull_id] = ends
    ids = {each.hull_id: n for n, each in enumerate(world.fleet.hulls)}
    stopping = appraisal.forecast.anodes
    stopping = stopping[stopping["stop"] != ""]
    for row in plan.hires.itertuples():
        at_h = world.fleet.hours(row.starts)
        if at_h >= until_h:
            continue
        if row.change == "look-first":
            own = tuple(stopping.loc[stopping["hull_id"] == row.hull_id, "position"])
            orders.looks.append((int(at_h // 24), row.hull_id, own))
            orders.waits.add(row.hull_id)
        else:
            to = ids[row.to_hull_id] if row.change == "move" else LOST
            orders.changes.append((at_h, row.hull_id, to))
    return orders


def _write_hires(world: World, folder: Path, now_h: float) -> None:
    """Write who went out, what was rinsed and the book, as it stands at an hour."""
    tables = world.fleet.tables
    for log in ("outings", "flushes"):
        tables[log].to_parquet(folder / log / f"{log}.parquet", index=False)
    book = tables["bookings"]
    known = book[book[books.TAKEN] <= now_h].drop(columns=books.TAKEN)
    known.to_parquet(folder / "bookings" / "bookings.parquet", index=False)
    kinds = tables["hulls"]["hull_id"].map(kinds_of(world))
    tables["hulls"].assign(hire_kind=kinds).to_parquet(folder / "hulls" / "hulls.parquet")


def kinds_of(world: World) -> dict[str, str]:
    """Return what is hired out as one kind: the fleet's hulls by turns, whatever their engine."""
    names = ("day boat", "sport boat")
    return {hull.hull_id: names[n // 2 % 2] for n, hull in enumerate(world.fleet.hulls)}


@dataclass
class Rule:
    """A rule of thumb at its customary mark, asked on Mondays."""

    rule: str
    again: bool = False
    seconds: float = 0.0
    plans: int = 0
    widest_gap: float = 0.0

    def __call__(self, yard: HireYard, now_h: float, monday: int) -> Orders:
        """Return the week's pull-outs by the rule."""
        wishes = wanted(yard, now_h, self.rule, CUSTOMARY[self.rule])
        pulls = placed(yard.world, monday, wishes)
        starts = [24.0 * each.day + OPENS_H for each in pulls]
        return Orders(
            now_h, [(p, s, s + USUAL_VISIT_H) for p, s in zip(pulls, starts, strict=True)]
        )


@dataclass(frozen=True)
class Season:
    """What came of a season: its sums, and each day on hire past a limit, as `days_past`."""

    sums: dict[str, float]
    days: pd.DataFrame


POLICIES = ("plan", "earlier", "calendar", "hours", "reading")


def season_of(world: World, policy: str, folder: Path) -> Season:
    """Work a season through under one policy and sum it up."""
    planner: Planner | Rule
    if policy in CUSTOMARY:
        planner = Rule(policy)
    else:
        planner = Planner(Program(folder, "plan", Prices()), hires_move=policy == "plan")
    yard, looks = _open(world), 0
    routine = inspection_days(world)
    for week in range(world.weeks):
        monday = int(world.first_h / 24) + 7 * week
        orders = _keep(yard, planner(yard, monday * 24.0, monday), monday)
        for day in range(monday, monday + 7):
            looks += _looks(yard, orders, day, routine)
            if planner.again and _at_limit(yard, day):
                hour = day * 24.0 + REPLAN_H
                orders = _keep(yard, planner(yard, hour, monday), monday)
            _work(yard, orders, day)
    yard.close()
    days = days_past(yard, planner.beliefs) if isinstance(planner, Planner) else pd.DataFrame()
    return Season(_sums(yard, planner, looks), days)


def _open(world: World) -> HireYard:
    """Open a yard that writes in no other policy's logs."""
    drawn = open_yard(world)
    yard = HireYard(
        own_fleet(world), drawn.places, drawn.anodes, drawn.last_share,
        outings=read_outings(world), kind=kinds_of(world), base=tuple(drawn.places),
    )  # fmt: skip
    yard.places = list(drawn.places)
    return yard


def _keep(yard: HireYard, orders: Orders, monday: int) -> Orders:
    """Let through the visits that keep to the bays."""
    allowed = let_through(yard, [each[0] for each in orders.visits], monday)
    chosen = {(each.day, each.hull_id) for each in allowed}
    orders.visits = [v for v in orders.visits if (v[0].day, v[0].hull_id) in chosen]
    return orders


def _looks(yard: HireYard, orders: Orders, day: int, routine: dict[str, Any]) -> int:
    """Look at what is due that morning; a look that passes takes away the stop that waits."""
    out = {pull.hull_id for pull, *_ in orders.visits if pull.day == day}
    before = len(yard.looks)
    for hull_id, days in routine.items():
        if day in days and hull_id not in out:
            yard.inspect(hull_id, day)
    for on, hull_id, positions in orders.looks:
        if on == day and hull_id not in out and yard.look(hull_id, day, positions):
            orders.stops.pop(hull_id, None)
    return len(yard.looks) - before


def _at_limit(yard: HireYard, day: int) -> bool:
    """Tell whether a look of that morning showed an anode at its limit that is still in service."""
    hour = day * 24.0 + LOOK_OF_DAY_H
    fresh = {
        (look.hull_id, look.position.position)
        for look in yard.looks[-200:]
        if look.read_h == hour and not look.removed
    }
    return any(
        yard.last_share[at] >= 1.0
        for at, place in enumerate(yard.places)
        if (place.hull.hull_id, place.position.position) in fresh
    )


def _work(yard: HireYard, orders: Orders, day: int) -> None:
    """Sail and haul one day: hires as decided, then visits at their hours."""
    world = yard.world
    ids = {each.hull_id: n for n, each in enumerate(world.fleet.hulls)}
    visits = [each for each in orders.visits if each[0].day == day]
    shut = [Shut(ids[p.hull_id], s, e, stop=False) for p, s, e in visits]
    shut += [
        Shut(ids[hull], orders.made_h, until, stop=True) for hull, until in orders.stops.items()
    ]
    book = world.fleet.tables["bookings"]
    starts = ((book["starts"] - world.fleet.start) / pd.Timedelta(hours=1)).to_numpy(float)
    changes = []
    for at_h, hull_id, to in orders.changes:
        if int(at_h // 24) == day:
            rows = np.flatnonzero(
                (book["hull_id"] == hull_id).to_numpy() & (np.abs(starts - at_h) < 1e-3)
            )
            changes += [(int(row), int(to)) for row in rows[:1]]
    failed = frozenset(ids[hull] for hull in orders.waits if hull in orders.stops)
    yard.sail(day, changes, shut, orders.made_h, failed)
    rebook(book, changes, [each.hull_id for each in world.fleet.hulls])
    for pull, begins, _ in visits:
        # the hour of the work as a share of the day: the yard counts from its usual hour
        at = day + (begins - 24.0 * day - LOOK_OF_DAY_H) / 24.0
        yard.pull(PullOut(at, pull.hull_id, pull.replace, pull.freed))  # type: ignore[arg-type]


def rebook(book: pd.DataFrame, changes: list[tuple[int, int]], ids: list[str]) -> None:
    """Write moved hires under the hull that took them; a hire called off stands under none."""
    for row, to in changes:
        book.iloc[row, book.columns.get_loc("hull_id")] = ids[to] if to >= 0 else "called off"


def _sums(yard: HireYard, planner: Planner | Rule, looks: int) -> dict[str, float]:
    tally = yard.tally
    return {
        "past_days": sum(each.past_days for each in yard.removed),
        "hire_past_days": yard.days_on_hire_past(),
        "pull_outs": len(yard.pull_outs),
        "replaced": sum(each.replaced for each in yard.removed),
        **{name: float(value) for name, value in vars(tally).items()},
        "looks": looks,
        "refused": yard.refused,
        "plans": planner.plans,
        "plan_s": planner.seconds / max(planner.plans, 1),
        "gap": planner.widest_gap,
    }
