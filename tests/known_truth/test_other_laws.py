"""Kinds of fleet whose wear, use or yard goes by a law that the life model leaves out."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np

from tests.known_truth.simulator import TrueFleet, simulate
from tests.known_truth.simulator.plans import KINDS, Plan


@cache
def drawn(kind: str) -> TrueFleet:
    return simulate(kind, 5, replace(KINDS[kind], hulls=8, days=200))


def same_but(plan: Plan) -> TrueFleet:
    """The same dice as `drawn('dosed')`, under another plan."""
    return simulate("dosed", 5, replace(plan, hulls=8, days=200))


def worn_by_gauge(fleet: TrueFleet, diameter: bool) -> np.ndarray:
    lives = [x for x in fleet.lives if (x.position.gauge == "diameter") == diameter]
    halves = [
        (x.worn_at(x.fitted_h + (x.crossing_h() - x.fitted_h) / 2))
        for x in lives
        if np.isfinite(x.crossing_h())
    ]
    return np.array(halves)


def test_only_diameters_are_less_than_half_gone_at_half_their_life():
    fleet = drawn("diameters_speed_up")
    growth = fleet.physics.growth
    assert growth > 0.4
    assert (
        np.median(worn_by_gauge(fleet, diameter=True))
        < np.median(worn_by_gauge(fleet, diameter=False)) - 0.02
    )


def test_a_short_rinse_leaves_salt_that_a_long_one_takes():
    dosed, clean = drawn("dosed"), same_but(replace(KINDS["dosed"], dose_minutes=1e-6))
    wet = [sum(line.unflushed_mm.sum() for line in each.timelines) for each in (dosed, clean)]
    assert wet[0] > 1.1 * wet[1]
    assert dosed.tables["flushes"]["minutes"].min() < 3


def test_passages_that_the_engine_warms_do_not_feel_the_season():
    fleet = drawn("warm_passages")
    line = fleet.timelines[0]
    ran = line.running_h > 0
    pace = line.running_mm[ran] / line.running_h[ran]
    by_water = [
        np.ptp(pace[line.running_water[ran] == w]) for w in np.unique(line.running_water[ran])
    ]
    assert max(by_water) < 1e-9


def test_changes_unread_leave_no_look_and_a_storm_moves_every_hull():
    often = replace(drawn("unread_changes").plan, read_every_days=(14, 21))
    fleet = simulate("unread_changes", 5, often)
    looks = {(x.hull_id, x.position.position, x.read_h) for x in fleet.all_looks}
    ended = [x for x in fleet.lives if np.isfinite(x.removed_h)]
    unread = [(x.hull_id, x.position.position, x.removed_h) not in looks for x in ended]
    assert 0.2 < np.mean(unread) < 0.8
    weeks = [
        np.add.reduceat(
            np.bincount(
                (np.concatenate([u.start_h for u in drawn(kind).uses]) // 24).astype(int),
                minlength=196,
            )[:196],
            np.arange(0, 196, 7),
        )
        for kind in ("stormy", "unread_changes")
    ]
    assert np.std(np.diff(np.log(weeks[0] + 1))) > 2 * np.std(np.diff(np.log(weeks[1] + 1)))


def test_crust_makes_a_look_too_large_only_where_nobody_cleaned():
    looks = [x for x in drawn("crusted").all_looks if np.isfinite(x.size_mm)]
    over = np.array(
        [x.size_mm - x.position.new_size_mm + x.worn * x.position.allowance_mm for x in looks]
    )
    cleaned = np.array([bool(x.cleaned) for x in looks])
    assert abs(over[cleaned].mean()) < 0.05
    assert 0.25 < over[~cleaned].mean() < 0.55


def wear_for_hours(fleet: TrueFleet) -> float:
    """Wear of all anodes, over what their hours alone would bring."""
    lines = dict(zip([hull.hull_id for hull in fleet.hulls], fleet.timelines, strict=True))
    due = [
        each.pace
        * lines[each.hull_id].circuit_mm(each.position.circuit)[-len(each.worn) + 1 :].sum()
        for each in fleet.lives
    ]
    return float(sum(each.worn[-1] for each in fleet.lives) / sum(due))


def test_a_spent_anode_drives_its_neighbours():
    driven = drawn("spent_neighbour")
    alone = simulate("spent_neighbour", 5, replace(driven.plan, spent_drives=0.0))
    assert abs(wear_for_hours(alone) - 1) < 0.02
    assert wear_for_hours(driven) > 1.03
