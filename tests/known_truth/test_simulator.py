"""The exam itself is right: its truth adds up, and its outcomes are counterfactual."""

from __future__ import annotations

import ast
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from tests.known_truth.simulator import (
    TrueFleet,
    habit_rates,
    mooring_ratios,
    share_saved,
    simulate,
)
from tests.known_truth.simulator.physics import shrinking, unit_effects, wet_hours
from tests.known_truth.simulator.timeline import build_timeline
from tests.known_truth.small import SMALL, small

pytestmark = pytest.mark.slow


def test_the_simulator_knows_nothing_of_the_program_under_test():
    for file in (Path(__file__).parent / "simulator").glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text())):
            names = [each.name for each in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            assert not [name for name in names if name.split(".")[0] == "corrosion"], file.name


def test_worn_starts_at_nought_and_never_falls(fleet):
    for life in fleet.lives:
        assert life.worn[0] == 0
        assert (np.diff(life.worn) >= 0).all()
        assert life.bound_h[0] == pytest.approx(life.fitted_h)


def test_every_life_goes_on_to_the_simulated_end_whatever_the_yard_did(fleet):
    end_h = 24.0 * (fleet.plan.days + fleet.plan.tail_days)
    assert {life.bound_h[-1] for life in fleet.lives} == {end_h}


def test_lives_of_one_position_follow_on_one_another(fleet):
    lives = pd.DataFrame([vars(each) for each in fleet.lives])
    lives["position"] = [each.position for each in lives["position"]]
    for _, each in lives.groupby(["hull_id", "position"], sort=False):
        assert (each["removed_h"].to_numpy()[:-1] < each["fitted_h"].to_numpy()[1:]).all()
        assert np.isinf(each["removed_h"].iloc[-1])


def test_pieces_of_time_fill_the_calendar_and_states_fit_into_them(fleet):
    for hull, use, line in zip(fleet.hulls, fleet.uses, fleet.timelines, strict=True):
        length = np.diff(line.bound_h)
        assert length.sum() == pytest.approx(24.0 * (fleet.plan.days + fleet.plan.tail_days))
        assert line.running_h.sum() == pytest.approx(use.engine_h.sum())
        assert (line.running_h + line.unflushed_h <= length + 1e-9).all()
        assert (line.afloat_h <= length + 1e-9).all()
        assert (line.wet_h <= line.unflushed_h + 1e-9).all()
        assert not line.afloat_h[line.bound_h[1:] <= hull.joins_day * 24].any()


def test_outings_of_a_hull_do_not_overlap_and_hold_their_engine_hours(fleet):
    for use in fleet.uses:
        assert (use.start_h[1:] >= use.end_h[:-1]).all()
        assert (use.engine_h <= use.end_h - use.start_h).all()


def test_a_rinse_comes_between_two_outings(fleet):
    for use in fleet.uses:
        before = np.searchsorted(use.start_h, use.flush_h, side="right") - 1
        assert (use.flush_h >= use.end_h[before]).all()


def minute_by_minute_mm(fleet: TrueFleet, number: int, until_h: float) -> tuple[float, float]:
    """Mean surface wear of both circuits, added up minute by minute from the events alone."""
    hull, use, physics = fleet.hulls[number], fleet.uses[number], fleet.physics
    engine = outside = 0.0
    step_h = 1 / 60
    for time_h in np.arange(hull.joins_day * 24.0, until_h, step_h) + step_h / 2:
        berth = [each for each in hull.berths if each.since_h <= time_h][-1]
        mooring = fleet.moorings[berth.mooring]
        warm_c = float(mooring.temperature_c(np.array([time_h]))[0]) - 15
        factor = np.exp(physics.warmth_per_c * warm_c) * step_h * mooring.rate_factor
        out = np.flatnonzero((use.start_h <= time_h) & (time_h < use.end_h))
        water = mooring.water
        if len(out):
            water = use.water[out[0]]
            share = use.engine_h[out[0]] / (use.end_h[out[0]] - use.start_h[out[0]])
            engine += factor * physics.running_mm_per_h[water] * share
        else:
            engine += factor * wetness(fleet, number, time_h)
        if len(out) or berth.afloat:
            outside += factor * physics.afloat_mm_per_h[water]
    return engine, outside


def wetness(fleet: TrueFleet, number: int, time_h: float) -> float:
    """Unflushed wear in mm an hour at a moment when the hull is in."""
    use, physics = fleet.uses[number], fleet.physics
    back = np.flatnonzero(use.end_h <= time_h)
    if not len(back):
        return 0.0
    stopped = use.end_h[back[-1]]
    if ((use.flush_h >= stopped) & (use.flush_h <= time_h)).any():
        return 0.0
    rate = physics.unflushed_mm_per_h[use.water[back[-1]]]
    return float(rate * np.exp(-(time_h - stopped) / physics.tau_h))


@pytest.mark.parametrize("number", [0, 1, 2])
def test_mean_wear_is_what_adding_up_minute_by_minute_gives(number):
    fleet, until_h = small("standard"), 30 * 24.0
    line = fleet.timelines[number]
    past = line.bound_h[1:] <= until_h
    modelled_mm = [line.circuit_mm(circuit)[past].sum() for circuit in (0, 1)]
    assert modelled_mm == pytest.approx(minute_by_minute_mm(fleet, number, until_h), rel=2e-3)


def test_cutting_time_finer_changes_no_mean_wear(fleet):
    hull, use, line = fleet.hulls[0], fleet.uses[0], fleet.timelines[0]
    finer = build_timeline(
        hull,
        use,
        np.empty(0),
        float(line.bound_h[-1]),
        fleet.plan,
        fleet.physics,
        fleet.moorings,
        step_h=0.5,
    )
    for circuit in (0, 1):
        expected = pytest.approx(finer.circuit_mm(circuit).sum(), rel=5e-3)
        assert line.circuit_mm(circuit).sum() == expected


@pytest.mark.parametrize("law", ["exponential", "linear", "two-stage"])
def test_effective_wet_hours_start_hour_for_hour_never_fall_and_end(law):
    age = np.linspace(0, 2000, 20001)
    wet = wet_hours(age, law, 24.0)
    assert wet[0] == 0
    assert wet[1] == pytest.approx(0.1, rel=0.01)
    assert (np.diff(wet) >= 0).all()
    assert wet[-1] - wet[-2] < 1e-9


def test_exponential_drying_holds_tau_hours_in_all():
    assert wet_hours(np.array([24.0, 1e6]), "exponential", 24.0) == pytest.approx(
        [24 * (1 - np.exp(-1)), 24.0]
    )


@pytest.mark.parametrize("law", ["gamma", "lognormal"])
def test_hulls_differ_by_the_spread_laid_down_about_a_mean_of_one(law):
    paces = unit_effects(law, 0.25, 200_000, 0.7, np.random.default_rng(3))
    assert paces.mean(axis=0) == pytest.approx([1, 1], abs=0.005)
    assert paces.std(axis=0) == pytest.approx([0.25, 0.25], abs=0.005)
    assert np.corrcoef(paces.T)[0, 1] == pytest.approx(0.7, abs=0.02)


def test_a_shrinking_anode_still_crosses_where_an_even_one_does():
    assert shrinking(np.array([0.0, 1.0]), 0.8) == pytest.approx([0, 1])
    steps = np.diff(shrinking(np.array([0.0, 0.1, 0.9, 1.0]), 0.8))
    assert steps[2] / steps[0] == pytest.approx(1.8, rel=0.06)


def test_gamma_increments_scatter_about_their_mean_as_laid_down():
    fleet = simulate("gamma", 4)
    worn, mean = [], []
    for life in fleet.lives:
        number = int(life.hull_id[1:]) - 1
        line = fleet.timelines[number]
        first = int(np.searchsorted(line.bound_h, life.fitted_h))
        gathered = np.cumsum(line.circuit_mm(life.position.circuit)[first:]) * life.pace
        at = int(np.searchsorted(gathered, 0.5))
        if at < len(gathered):
            mean.append(gathered[at])
            worn.append(life.worn[at + 1])
    left = (np.array(worn) - mean) / np.sqrt(mean)
    assert abs(left.mean()) < 4 * left.std() / np.sqrt(len(left))
    assert left.std() == pytest.approx(fleet.physics.process_sd, rel=0.15)


def test_outcomes_are_what_the_lives_say(fleet):
    on = fleet.dates(3)[1]
    fates = fleet.outcome(on, 28)
    assert not fates.duplicated(["hull_id", "position"]).any()
    assert (fates["crossed"] == (fates["worn_then"] >= 1)).all()
    assert (fates["crossed"] == (fates["days_left"] <= 28)).all()
    assert ((fates["worn_true"] >= 1) == (fates["days_left"] == 0)).all()
    assert (fates["days_left"][np.isfinite(fates["days_left"])] <= fates["seen_days"].max()).all()


def test_an_outcome_does_not_hang_on_the_yard_changing_the_anode_meanwhile():
    fleet = simulate("standard", 2)
    on = fleet.dates(6)[2]
    on_h, later_h = fleet.hours(on), fleet.hours(on) + 28 * 24
    changed = [each for each in fleet.lives if each.fitted_h < on_h <= each.removed_h < later_h]
    fates = fleet.outcome(on, 28).set_index(["hull_id", "position"])
    assert len(changed) > 5
    for life in changed:
        fate = fates.loc[(life.hull_id, life.position.position)]
        assert fate["worn_then"] == pytest.approx(life.worn_at(later_h))
        assert fate["worn_then"] > life.worn_at(life.removed_h)


def test_the_same_kind_and_seed_give_the_same_logs_and_another_seed_gives_others():
    first, again, other = simulate("small8", 5), simulate("small8", 5), simulate("small8", 6)
    for log, table in first.tables.items():
        pd.testing.assert_frame_equal(table, again.tables[log])
    assert not first.tables["readings"].equals(other.tables["readings"])
    assert first.physics.tau_h != other.physics.tau_h


def test_hard_worked_hulls_are_flushed_less_where_that_is_the_trap():
    fleet = simulate("confounded", 1)
    busy = [each.popularity for each in fleet.hulls]
    flushed = [each.flush_chance for each in fleet.hulls]
    assert np.corrcoef(busy, flushed)[0, 1] < -0.7
    afloat = {each.hull_id for each in fleet.hulls if all(b.afloat for b in each.berths)}
    done = fleet.tables["flushes"].query("done == 'yes'")
    assert afloat
    assert not set(done["hull_id"]) & afloat


def test_flushing_saves_nothing_where_it_does_nothing():
    assert share_saved(small("null_flush"), small("null_flush").end) == 0.0
    assert share_saved(small("null_confounded"), small("null_confounded").end) == 0.0


def test_the_share_saved_falls_as_the_rinse_comes_later():
    fleet = small("standard")
    shares = [share_saved(fleet, fleet.end, delay_h) for delay_h in (0.0, 0.5, 1.0, 6.0)]
    assert shares == sorted(shares, reverse=True)
    assert 0.05 < shares[-1] < shares[0] < 0.8


def test_true_habit_rates_give_back_the_rates_that_were_drawn():
    """At one pace and 15 °C throughout, realised wear an hour is the rate itself."""
    plan = replace(SMALL, hull_spread=(1e-6, 1e-6), layouts=(1, 1), late_share=0, moved_share=0)
    fleet = simulate("even", 3, plan)
    cold = replace(fleet.physics, warmth_per_c=0.0)
    line = [
        build_timeline(hull, use, np.empty(0), float(old.bound_h[-1]), plan, cold, fleet.moorings)
        for hull, use, old in zip(fleet.hulls, fleet.uses, fleet.timelines, strict=True)
    ]
    rates = habit_rates(replace(fleet, physics=cold, timelines=line), fleet.end)
    worn = rates["worn_per_100_effective_h"]
    assert worn.to_numpy() == pytest.approx(rates["worn_per_100_effective_h_15c"], rel=1e-3)
    dry = rates["state"] != "unflushed"
    assert (rates["hours"] == rates["effective_hours"])[dry].all()


def test_adjusted_mooring_ratios_average_to_one_over_hull_days():
    ratios = mooring_ratios(small("many_moorings"), small("many_moorings").end)
    for column in ("raw_ratio", "adjusted_ratio"):
        assert np.average(ratios[column], weights=ratios["hull_days"]) == pytest.approx(1)
