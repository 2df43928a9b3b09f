"""Parts: laws of the counts, stock, and what follows from them for an order."""

from datetime import date
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest
from scipy import stats
from scipy.special import ndtr
from scipy.stats import poisson_binom

from corrosion.records.logbook import read_fleet
from corrosion.workshop.parts.counts import LEVEL_SD, Counted, Course, count_by, count_visits
from corrosion.workshop.parts.habit import ENOUGH_CHANGES, Habit, replacing_habit
from corrosion.workshop.parts.orders import order_parts
from corrosion.workshop.stock import pieces_on_hand
from tests.fleets import FleetLogs

WEEKS = 26
AT_LIMIT = Habit(np.ones(1), 0)


def course(
    pace: list[float],
    hull: list[int] | None = None,
    *,
    own: float = 0.05,
    shared: float = 0.0,
    fleet: float = 0.0,
    now: float = 0.5,
    seen: float = np.nan,
) -> Course:
    """Anodes that wear by `pace` of the allowance a week."""
    weeks = 1.0 + np.arange(WEEKS)
    worn = now + np.outer(pace, weeks)
    k = len(pace)
    return Course(
        worn=worn,
        worn_now=np.full(k, now),
        own_sd=np.full_like(worn, own),
        hull_sd=np.full_like(worn, shared),
        fleet_sd=np.full_like(worn, fleet),
        seen_worn=np.full(k, seen),
        hull=np.array(hull or range(k)),
    )


def counted(way: Course, habit: Habit = AT_LIMIT) -> Counted:
    (one,) = count_by(way, habit, pd.Series(["P"] * way.hull.size)).values()
    return one


def test_without_anything_shared_the_count_is_poisson_binomial() -> None:
    way = course([0.02, 0.03, 0.05, 0.01])
    chances = ndtr((way.worn[:, 3] - 1.0) / np.hypot(0.05, LEVEL_SD))
    theirs = poisson_binom.pmf(np.arange(5), chances)
    assert counted(way).chance[3][:5] == pytest.approx(theirs, abs=1e-9)


def test_expected_counts_never_fall_and_chances_add_up() -> None:
    one = counted(course([0.02, 0.08, 0.3], shared=0.1, fleet=0.1))
    assert (np.diff(one.expected()) >= -1e-12).all()
    assert one.chance.sum(axis=1) == pytest.approx(np.ones(WEEKS), abs=1e-9)
    assert (one.chance >= 0).all()


def test_a_fast_anode_takes_several_parts() -> None:
    # one allowance in ten weeks from half worn: due at weeks 5, 15 and 25
    one = counted(course([0.1], own=0.01))
    assert [round(float(one.expected()[week - 1])) for week in (4, 7, 13, 17, 26)] == [
        *(0, 1, 1, 2, 3)
    ]


def test_an_anode_far_past_its_limit_is_one_part_not_three() -> None:
    one = counted(course([0.001], now=3.0, seen=2.9))
    assert one.quantile(1, 0.5) == 1
    assert one.quantile(26, 0.99) == 1


@pytest.mark.parametrize("shared", ["shared", "fleet"])
def test_what_anodes_share_widens_the_range_and_keeps_its_middle(shared: str) -> None:
    apart = counted(course([0.04] * 20, [0] * 20, own=0.05))
    together = counted(course([0.04] * 20, [0] * 20, own=0.05, **{shared: 0.2}))
    wide = together.quantile(12, 0.9) - together.quantile(12, 0.1)
    assert wide > apart.quantile(12, 0.9) - apart.quantile(12, 0.1)
    assert together.expected()[12] == pytest.approx(apart.expected()[12], abs=1.5)


def test_hulls_are_apart_from_each_other_but_for_the_fleet() -> None:
    one, other = course([0.04, 0.03], [0, 0], shared=0.2), course([0.05], [0], shared=0.2)
    both = course([0.04, 0.03, 0.05], [0, 0, 1], shared=0.2)
    summed = np.convolve(counted(one).chance[9], counted(other).chance[9])
    size = counted(both).chance.shape[1]
    assert counted(both).chance[9] == pytest.approx(summed[:size], abs=1e-9)


def test_counts_by_simulation_are_those_worked_out() -> None:
    # brute force: 40,000 fleets of three anodes on two hulls, luck drawn hull by hull
    way = course([0.05, 0.04, 0.06], [0, 0, 1], shared=0.15, fleet=0.1)
    rng = np.random.default_rng(3)
    draws = 40_000
    hull = 0.15 * rng.normal(size=(draws, 2))[:, way.hull]
    worn = way.worn[:, 9] + hull + 0.1 * rng.normal(size=(draws, 1))
    worn = worn + np.hypot(0.05, LEVEL_SD) * rng.normal(size=(draws, 3))
    happened = np.bincount((worn >= 1).sum(axis=1), minlength=4) / draws
    assert counted(way).chance[9][:4] == pytest.approx(happened, abs=0.02)


def test_many_anodes_are_added_up_as_few_are() -> None:
    # by Fourier transform beyond some count; against scipy's binomial, which is exact
    way = course([0.05] * 300)
    (chance,) = set(np.round(ndtr((way.worn[:, 9] - 1.0) / np.hypot(0.05, LEVEL_SD)), 12))
    summed = counted(way).chance[9]
    exact = stats.binom.pmf(np.arange(summed.size), 300, chance)
    assert summed == pytest.approx(exact, abs=1e-9)


def test_an_anode_left_in_at_a_look_is_replaced_at_a_level_above_it() -> None:
    habit = Habit(np.array([0.6, 0.8, 1.0]), 30)
    fresh = counted(course([0.001], now=0.85, seen=np.nan), habit)
    left_in = counted(course([0.001], now=0.85, seen=0.84), habit)
    assert left_in.expected()[0] < fresh.expected()[0]


def test_looks_come_at_the_rate_that_the_gaps_say() -> None:
    (one,) = count_visits(
        course([0.0, 0.0], [0, 1]), np.full(2, 14.0), pd.Series(["P", "P"])
    ).values()
    assert one.expected()[13] == pytest.approx(2 * 14 * 7 / 14, rel=0.01)


@pytest.mark.parametrize("level", [0.8, 0.95])
def test_stock_lasts_as_long_as_the_chance_holds(level: float) -> None:
    one = counted(course([0.03] * 10))
    order = order_parts(one, 4, date(2031, 5, 1), 14.0, level)
    assert order.by is not None
    assert order.lasts_until is not None
    week = (order.lasts_until - date(2031, 5, 1)).days // 7
    assert one.chance[week - 1, :5].sum() >= level
    assert one.chance[week, :5].sum() < level
    assert (order.lasts_until - order.by).days == 14


def test_an_order_brings_the_stock_up_to_what_the_cover_needs() -> None:
    one = counted(course([0.03] * 10))
    order = order_parts(one, 4, date(2031, 5, 1), 14.0, 0.95)
    assert order.lasts_until is not None
    last = (order.lasts_until - date(2031, 5, 1)).days
    week = min(int(np.ceil((last + 91) / 7)), WEEKS)
    assert 4 + order.pieces == one.quantile(week, 0.95)


def test_an_order_that_comes_too_late_says_with_what_chance_stock_runs_out() -> None:
    one = counted(course([0.2] * 10, own=0.02))
    order = order_parts(one, 0, date(2031, 5, 1), 21.0, 0.95)
    assert order.by == date(2031, 5, 1)
    assert order.short_before == pytest.approx(1 - one.chance[2, 0], abs=1e-9)


def test_plenty_on_hand_needs_no_order() -> None:
    order = order_parts(counted(course([0.03] * 4)), 40, date(2031, 5, 1), 14.0, 0.95)
    assert order.by is None
    assert order.pieces == 0


def test_quantities_follow_the_critical_ratio() -> None:
    # the newsvendor's rule on Poisson demand: the least quantity that suffices with the level
    given = np.tile(stats.poisson.pmf(np.arange(30), 6.0), (WEEKS, 5, 1))
    assert Counted(given).quantile(1, 0.8) == int(stats.poisson.ppf(0.8, 6.0)) == 8


def test_stock_is_what_was_said_and_what_came_and_went(tmp_path: Path) -> None:
    fleet = FleetLogs().hull("H1").mooring("M1").berth("H1", "M1").position("jacket")
    fleet.add("stock_moves", part_number="P-1", pieces=4.0, moved_at="2031-04-02 09:00")
    fleet.add(
        "stock_moves", part_number="P-1", pieces=-9.0, moved_at="2031-04-03 09:00", mooring_id="M1"
    )
    fleet.add("stock_moves", part_number="P-2", pieces=3.0, moved_at="2031-06-03 09:00")
    logbook = read_fleet(fleet.write(tmp_path), on="2031-05-01")
    settings = SimpleNamespace(stock={"P-1": 2, "P-3": {"M1": 5}})
    held = pieces_on_hand(settings, logbook.tables["stock_moves"])  # type: ignore[arg-type]
    pieces = {(r.part_number, r.mooring_id): r.pieces for r in held.itertuples()}
    assert pieces == {("P-1", ""): 6, ("P-1", "M1"): 0, ("P-3", "M1"): 5}


def test_a_fleet_that_counted_nothing_has_nothing_on_hand_known(tmp_path: Path) -> None:
    fleet = FleetLogs().hull("H1").mooring("M1").berth("H1", "M1").position("jacket")
    logbook = read_fleet(fleet.write(tmp_path), on="2031-05-01")
    held = pieces_on_hand(logbook.settings, logbook.tables["stock_moves"])
    assert held.empty
    assert list(held.columns) == ["part_number", "mooring_id", "pieces"]


def lives_replaced_at(worn: list[float]) -> SimpleNamespace:
    k = len(worn)
    lives = pd.DataFrame({"stop_h": np.full(k, 100.0), "ended": "replaced"})
    looks = pd.DataFrame({"life": range(k), "at_h": 99.5, "worn": worn})
    return SimpleNamespace(lives=lives, looks=looks)


def test_the_habit_is_what_was_measured_when_anodes_came_out() -> None:
    habit = replacing_habit(lives_replaced_at([0.8, 0.9, 1.0] * 10))  # type: ignore[arg-type]
    assert habit.changes == 30
    assert habit.usual == pytest.approx(0.9, abs=0.02)


def test_too_few_changes_tell_no_habit() -> None:
    few = lives_replaced_at([0.5] * (ENOUGH_CHANGES - 1))
    assert replacing_habit(few) == Habit(pytest.approx(np.ones(1)), 0)  # type: ignore[arg-type]
