"""Seasons in which hires move: wear goes with the hire, and what must not sail is counted."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from tests.known_truth.season.hire_policies import _open, season_of
from tests.known_truth.season.hire_summary import beside, by_policy
from tests.known_truth.season.hiring import HireYard, Shut
from tests.known_truth.season.outings import LOST
from tests.known_truth.season.past_limit import CAUSES, Belief, _cause, pace_before
from tests.known_truth.season.truth import Anode
from tests.known_truth.season.worlds import World, draw_world


@pytest.fixture(scope="module")
def world() -> World:
    return draw_world("standard", 1, hulls=8, weeks=4)


@pytest.fixture
def yard(world: World) -> HireYard:
    return _open(world)


def _busy_day(yard: HireYard) -> tuple[int, int, int]:
    """Return a day, an outing of it that stood in the book, and a sister that is free then."""
    out, first = yard.outings, int(yard.world.first_h / 24)
    for day in range(first, first + 7 * yard.world.weeks):
        todays = out.of_day(day)
        for at in todays[out.booking[todays] >= 0]:
            busy = set(out.hull[todays].tolist())
            free = [hull for hull in yard._sisters(int(out.hull[at]), day) if hull not in busy]
            if free:
                return day, int(at), free[0]
    raise AssertionError("no hire of the season could move")


def test_a_hull_whose_hires_stay_wears_as_it_was_drawn(yard: HireYard) -> None:
    last_h = yard.world.last_h
    before = [anode.worn_at(last_h) for anode in yard.anodes]
    for number in range(len(yard.world.fleet.hulls)):
        yard.redraw(number)
    after = [anode.worn_at(last_h) for anode in yard.anodes]
    np.testing.assert_allclose(after, before, rtol=1e-3, atol=1e-4)


def test_wear_goes_with_the_hire_to_the_hull_that_takes_it(yard: HireYard) -> None:
    day, at, to = _busy_day(yard)
    out, fleet, last_h = yard.outings, yard.world.fleet, yard.world.last_h
    own, hours = int(out.hull[at]), fleet.uses
    engine = [i for i, place in enumerate(yard.places) if place.position.circuit == 0]
    before = {i: yard.anodes[i].worn_at(last_h) for i in engine}
    ran = {hull: hours[hull].engine_h.sum() for hull in (own, to)}
    yard.sail(day, [(int(out.booking[at]), to)], [], 24.0 * day)
    assert yard.tally.moved == 1
    assert fleet.uses[to].engine_h.sum() == pytest.approx(ran[to] + out.engine_h[at])
    assert fleet.uses[own].engine_h.sum() == pytest.approx(ran[own] - out.engine_h[at])
    for i in engine:
        hull = yard.places[i].hull.hull_id
        change = yard.anodes[i].worn_at(last_h) - before[i]
        if hull == fleet.hulls[to].hull_id:
            assert change > 0
        elif hull != fleet.hulls[own].hull_id:
            assert change == 0
    row = fleet.tables["outings"].iloc[out.row[at]]
    assert row["hull_id"] == fleet.hulls[to].hull_id


def test_a_stopped_hull_that_sails_is_counted_and_who_walks_up_is_sent_to_a_sister(
    yard: HireYard,
) -> None:
    day, at, _ = _busy_day(yard)
    out = yard.outings
    own = int(out.hull[at])
    todays = out.of_day(day)
    booked = int(((out.hull[todays] == own) & (out.booking[todays] >= 0)).sum())
    yard.sail(day, [], [Shut(own, 0.0, np.inf, stop=True)], 24.0 * day)
    assert yard.tally.stopped_sailed == booked
    todays = out.of_day(day)
    assert not ((out.hull[todays] == own) & (out.booking[todays] < 0)).any()


def test_a_hire_called_off_is_lost_income(yard: HireYard) -> None:
    day, at, _ = _busy_day(yard)
    row = int(yard.outings.booking[at])
    yard.sail(day, [(row, LOST)], [], 24.0 * day)
    value = yard.world.fleet.tables["bookings"]["hire_value"].iloc[row]
    assert (yard.tally.cancelled, yard.tally.income_lost) == (1, value)
    assert yard.outings.hull[at] == LOST


def test_one_policys_moves_are_not_anothers(world: World) -> None:
    yard = _open(world)
    day, at, to = _busy_day(yard)
    yard.sail(day, [(int(yard.outings.booking[at]), to)], [], 24.0 * day)
    fresh = _open(world)
    assert fresh.outings.hull[at] != to
    assert fresh.anodes[0].worn_at(world.last_h) == _open(world).anodes[0].worn_at(world.last_h)


@pytest.mark.slow
def test_a_short_season_is_worked_by_plan_and_rule(world: World, tmp_path: object) -> None:
    made = {policy: season_of(world, policy, tmp_path / policy) for policy in ("plan", "hours")}
    seasons = pd.DataFrame(
        [{"kind": "standard", "seed": 1, "policy": p, **each.sums} for p, each in made.items()]
    )
    assert len(made["plan"].days) == made["plan"].sums["hire_past_days"]
    assert (seasons["overlaps"] == 0).all()
    assert (seasons["refused"] == 0).all()
    assert seasons["stopped_sailed"].iloc[0] == 0
    assert seasons["hires"].nunique() == 1
    assert len(by_policy(seasons)) == 2
    assert beside(seasons)["seasons"].iloc[0] == 1


def test_each_day_past_a_limit_has_the_cause_that_its_plan_gave_it() -> None:
    grid, key = np.array([0.0, 7.0]), ("H1", "pencil")

    def cause(now: float, then: float, visit_h: float = np.nan, *, looked: bool = False) -> str:
        plan = Belief(0.0, 168.0, {key: np.array([now, then])}, {}, grid, frozenset({"H1"}))
        row = {"chance_now": now, "chance_then": then, "looked_after": looked}
        return _cause(row, key[0] in plan.stopped, visit_h, plan)

    assert cause(0.6, 0.7) == "stopped, and sailed"
    assert cause(0.6, 0.7, looked=True) == "stopped, and a look cleared it"
    assert cause(0.2, 0.3, 60.0) == "doubted, visit later in the week"
    assert cause(0.02, 0.3, 200.0) == "foreseen, visit beyond the week"
    assert cause(0.02, 0.03) == "not foreseen"
    assert cause(np.nan, np.nan) == "never seen"
    every = {cause(a, b, v) for a in (0.0, 0.2, 0.6) for b in (0.05, 0.7) for v in (9.0, 999.0)}
    assert every <= set(CAUSES)


def test_an_anode_that_wore_faster_before_its_limit_is_told_by_its_pace() -> None:
    steady = Anode(1, 0.0, np.array([0.0, 2400.0]), np.array([0.0, 1.2]))
    jumped = Anode(1, 0.0, np.array([0.0, 1664.0, 2000.0]), np.array([0.0, 0.5, 1.0]))
    assert pace_before(steady, steady.crossing_h()) == pytest.approx(1.0)
    assert pace_before(jumped, jumped.crossing_h()) == pytest.approx(0.5 / 336 * 2000)
