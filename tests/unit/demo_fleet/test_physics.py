"""How the demo fleet's anodes wear: drying, drift, warmth, salt, the calendar."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

import gsw
import numpy as np
import pandas as pd
import pytest

from demo_fleet import yard
from demo_fleet.clock import Calendar
from demo_fleet.maker import make_fleet
from demo_fleet.policy import share_saved
from demo_fleet.salt import conductivity_ms_per_cm
from demo_fleet.scenario import HARBOUR, smaller, without_stories
from demo_fleet.season import Habits

CALM = yard.Physics(hull_spread=0.0, anode_spread=0.0, process_spread=0.0)


def one_hull(start_h: list[float], end_h: list[float], flush_h: list[float]) -> yard.Use:
    start, end = np.array(start_h), np.array(end_h)
    berths = yard.Berthing(np.array([0.0]), np.array([0]), np.array([True]), ("north",))
    water = np.zeros(len(start), dtype=np.int64)
    return yard.Use("H01", start, end, 0.8 * (end - start), water, np.array(flush_h), berths)


def exposed(use: yard.Use, hours: int = 240) -> yard.Exposure:
    return yard.expose(use, np.array([0]), 25.0, np.arange(hours + 1.0))


def test_wet_hours_until_a_flush_follow_the_drying_law() -> None:
    wet = exposed(one_hull([10.2], [12.2], [22.2])).wet_h.sum()
    assert wet == pytest.approx(25.0 * (1 - np.exp(-10.0 / 25.0)), rel=1e-12)


def test_wet_hours_are_those_of_a_numerical_integral() -> None:
    use = one_hull([3.3, 9.4, 40.0], [5.1, 11.7, 42.0], [12.0, 60.5])
    seconds = (np.arange(240 * 3600) + 0.5) / 3600.0
    pace = np.zeros_like(seconds)
    for end, until in ((5.1, 9.4), (11.7, 12.0), (42.0, 60.5)):
        inside = (seconds >= end) & (seconds < until)
        pace[inside] = np.exp(-(seconds[inside] - end) / 25.0)
    hourly = pace.reshape(240, 3600).mean(axis=1)
    np.testing.assert_allclose(exposed(use).wet_h[:, 0], hourly, atol=2e-4)


def test_a_flush_before_the_return_changes_nothing() -> None:
    early, never = one_hull([10.0], [12.0], [11.0]), one_hull([10.0], [12.0], [])
    np.testing.assert_array_equal(exposed(early).wet_h, exposed(never).wet_h)


def test_hours_afloat_and_under_way_add_up_to_the_calendar() -> None:
    exposure = exposed(one_hull([3.3, 9.4], [5.1, 11.7], []))
    np.testing.assert_allclose((exposure.lying_h + exposure.under_way_h).sum(axis=1), 1.0)
    assert exposure.running_h.sum() == pytest.approx(0.8 * (1.8 + 2.3))


def test_a_hull_that_never_went_out_has_no_engine_wear() -> None:
    states = yard.by_state_mm(exposed(one_hull([], [], [])), "engine", CALM)
    assert sum(mm.sum() for mm in states.values()) == 0.0


def test_flooded_passages_wear_with_the_hours_afloat() -> None:
    flooded = replace(CALM, rates={**CALM.rates, "salt": yard.Rates(0, 0, 0.012, 0.0024)})
    states = yard.by_state_mm(exposed(one_hull([], [], [])), "engine", flooded)
    assert states["afloat"].sum() == pytest.approx(0.0024 * 10)


def test_wear_never_goes_back_and_has_the_promised_mean_and_spread() -> None:
    rng = np.random.default_rng(1)
    steps = np.full(200, 1.0 / 200)
    paths = np.array([yard.wear_path(steps, 0.05, rng) for _ in range(2000)])
    assert (np.diff(paths, axis=1) >= 0).all()
    assert paths[:, -1].mean() == pytest.approx(1.0, abs=4 * 0.05 / np.sqrt(2000))
    assert paths[:, -1].std() == pytest.approx(0.05, rel=0.08)


def test_without_chance_wear_is_the_expected_wear() -> None:
    steps = np.array([0.1, 0.0, 0.3])
    path = yard.wear_path(steps, 0.0, np.random.default_rng(1))
    np.testing.assert_allclose(path, [0.0, 0.1, 0.1, 0.4])


def test_a_diameter_loses_twice_its_surface() -> None:
    button = HARBOUR.positions_of("outboard")[0]
    rod = replace(button, gauge="diameter")
    twice = 2 * yard.share_per_surface_mm(button, CALM)
    assert yard.share_per_surface_mm(rod, CALM) == pytest.approx(twice)


@pytest.mark.slow
def test_estuary_lives_are_those_that_the_scenario_was_drawn_for() -> None:
    # invented data: about 160 engine hours for a jacket pencil, 440 to 560 for a block button
    calm = make_fleet(1, without_stories(HARBOUR), CALM, faults=None)
    hours: dict[str, list[float]] = {"jacket-pencil": [], "block-button-upper": []}
    for truth, record in zip(calm.truths, calm.records, strict=True):
        run_h = np.cumsum(truth.use.engine_h)
        for life in record.lives:
            crossing = life.crossing_h()
            if truth.hull.mooring_id == "estuary" and np.isfinite(crossing):
                spent = np.interp([life.fitted_h, crossing], truth.use.end_h, run_h)
                hours.get(life.position.position, []).append(float(np.diff(spent)[0]))
    assert 140 < np.median(hours["jacket-pencil"]) < 190
    assert 430 < np.median(hours["block-button-upper"]) < 570


def test_conductivity_is_that_of_gsw() -> None:
    # gsw 3.6, PSS-78; absolute salinity taken as S 35.16504/35
    salinity, temperature = np.array([3.0, 8.0, 26.0, 33.0]), np.array([5.0, 20.0, 12.0, 17.0])
    practical = salinity * 35.0 / 35.16504
    expected = gsw.C_from_SP(practical, temperature, 0.0)
    np.testing.assert_allclose(conductivity_ms_per_cm(salinity, temperature), expected, rtol=1e-6)


@pytest.mark.parametrize("day", [0, 100, 195, 196, 197, 300, 349, 350, 351, 420])
def test_the_calendar_agrees_with_the_time_zone(day: int) -> None:
    calendar = Calendar(HARBOUR.first_day, HARBOUR.timezone, 430)
    stamp = calendar.stamps(calendar.hours([day], 7.5))[0]
    there = pd.Timestamp(HARBOUR.first_day) + pd.Timedelta(days=day, hours=7.5)
    expected = datetime(*there.timetuple()[:6], tzinfo=ZoneInfo(HARBOUR.timezone))
    assert stamp == pd.Timestamp(expected)
    assert calendar.day_of(calendar.hours([day], 7.5))[0] == day


def test_flushing_saves_nothing_where_salt_does_not_stay() -> None:
    rates = {w: replace(r, unflushed_mm_per_h=0.0) for w, r in yard.Physics().rates.items()}
    dry = make_fleet(3, smaller(HARBOUR, 10), yard.Physics(rates=rates), faults=None)
    assert share_saved(dry.truths, dry.world, only_possible=False) == 0.0


def test_flushing_saves_little_where_everybody_flushes() -> None:
    tidy = Habits(flush_share=1.0, flush_drop_when_busy=0.0, late_flush_share=0.0)
    never = Habits(flush_share=-1.0, flush_drop_when_busy=0.0)
    lone = replace(without_stories(HARBOUR), groups=HARBOUR.groups[:2])
    saved = [
        share_saved(made.truths, made.world, only_possible=False)
        for made in (make_fleet(3, lone, habits=h, faults=None) for h in (tidy, never))
    ]
    assert saved[0] < 0.02
    assert 0.4 < saved[1] < 0.7
