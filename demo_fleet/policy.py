"""What the truth says of habits, moorings and flushing: expected wear, single chances left out."""

from __future__ import annotations

import numpy as np
import pandas as pd

from demo_fleet.clock import TRUTH_YEAR_H, Floats
from demo_fleet.scenario import WATERS
from demo_fleet.season import could_flush, last_of_day
from demo_fleet.sums_of_truth import against_the_fleet, share_avoided, wear_per_100_hours
from demo_fleet.truth import HullTruth, World
from demo_fleet.yard import (
    Exposure,
    Use,
    by_state_mm,
    expose,
    share_per_surface_mm,
    temperature_factor,
    wet_until_h,
)

STATES = (("engine", "running"), ("engine", "unflushed"), ("engine", "afloat"), ("hull", "afloat"))


def _share_per_mm(truth: HullTruth, circuit: str, world: World) -> float:
    """Worn per mm of surface, mean over the circuit's positions on this hull's layout."""
    places = [p for p in world.scenario.positions_of(truth.hull.layout) if p.circuit == circuit]
    return float(np.mean([share_per_surface_mm(p, world.physics) for p in places]))


def _logged(world: World, since_h: float = 0.0) -> np.ndarray:
    """Hours of the grid between a moment and the last logged one (bool)."""
    hours = world.marks_h[:-1] + 0.5
    return (hours > since_h) & (hours < world.end_h)


def _possible(truth: HullTruth, world: World) -> np.ndarray:
    """Whether a hose reached the hull at each last return of a day (bool)."""
    use = truth.use
    last = last_of_day(world.calendar.day_of(use.start_h)) & (use.end_h < world.end_h)
    return could_flush(use.berths, world.scenario, use.end_h[last])


def could_flush_shares(truths: list[HullTruth], world: World) -> list[float]:
    """Share of each hull's last returns at which a hose reached it."""
    possible = [_possible(truth, world) for truth in truths]
    return [float(each.mean()) if len(each) else np.nan for each in possible]


def _daily_flushes(use: Use, world: World, delay_h: float) -> Floats:
    """The true flushes, and one ``delay_h`` after each day's last return."""
    last = last_of_day(world.calendar.day_of(use.start_h))
    return np.sort(np.concatenate([use.flush_h, use.end_h[last] + delay_h]))


def _salty_wear(truth: HullTruth, exposure: Exposure, world: World) -> float:
    """Engine-circuit wear of the last year in salt and brackish water (worn)."""
    year = _logged(world, world.end_h - TRUTH_YEAR_H)
    states = by_state_mm(exposure, "engine", world.physics)
    surface = np.sum([mm[:, :2].sum(axis=1) for mm in states.values()], axis=0)
    wear = float((surface * truth.warmth)[year].sum())
    return wear * truth.factor * _share_per_mm(truth, "engine", world)


def share_saved(
    truths: list[HullTruth], world: World, only_possible: bool, delay_h: float = 1.0
) -> float:
    """
    Share of salt and brackish engine-circuit wear that daily flushing would have avoided.

    Parameters
    ----------
    truths : list of HullTruth
        The fleet.
    world : World
        What the hulls share.
    only_possible : bool
        Leave out the hulls that a hose reached on at most half of their last returns.
    delay_h : float
        From the last return of the day to its flush (h).

    Returns
    -------
    float
        0 to 1; 0 where there was no such wear.
    """
    was = flushed = 0.0
    for truth in truths:
        possible = _possible(truth, world)
        if only_possible and (not len(possible) or possible.mean() <= 0.5):
            continue
        added = _daily_flushes(truth.use, world, delay_h)
        other = expose(truth.use, world.mooring_water, world.physics.drying_h, world.marks_h, added)
        was += _salty_wear(truth, truth.exposure, world)
        flushed += _salty_wear(truth, other, world)
    return share_avoided(was, flushed)


def _clock_hours(truth: HullTruth, circuit: str, state: str, world: World) -> Floats:
    """Hours by the clock in a state, by water (3,), in the logged span."""
    logged = _logged(world)
    if (circuit, state) == ("engine", "unflushed"):
        use = truth.use
        until = np.minimum(wet_until_h(use, use.flush_h), world.end_h)
        hours = np.clip(until - use.end_h, 0.0, None)
        by_water = np.bincount(use.water, weights=hours, minlength=len(WATERS))
        return np.asarray(by_water, dtype=np.float64)
    exposure = truth.exposure
    by_state = {
        ("engine", "running"): exposure.running_h,
        ("engine", "afloat"): exposure.lying_h,
        ("hull", "afloat"): exposure.lying_h + exposure.under_way_h,
    }
    return np.asarray(by_state[circuit, state][logged].sum(axis=0), dtype=np.float64)


def _reference_rate(circuit: str, state: str, water: str, world: World) -> float:
    """Surface wear at 15 C of a hull of factor 1 (mm per effective hour)."""
    rates = world.physics.rates[water]
    return {
        ("engine", "running"): rates.running_mm_per_h,
        ("engine", "unflushed"): rates.unflushed_mm_per_h,
        ("engine", "afloat"): rates.flooded_mm_per_day / 24.0,
        ("hull", "afloat"): rates.afloat_mm_per_day / 24.0,
    }[circuit, state]


def _habit(
    truths: list[HullTruth], circuit: str, state: str, world: World
) -> list[dict[str, object]]:
    clock, effective, worn = np.zeros(3), np.zeros(3), np.zeros(3)
    for truth in truths:
        hours = _clock_hours(truth, circuit, state, world)
        wet = truth.exposure.wet_h[_logged(world)].sum(axis=0)
        clock += hours
        effective += wet if state == "unflushed" else hours
        mm = truth.states_mm(circuit, world.physics)[state][_logged(world)].sum(axis=0)
        worn += mm * _share_per_mm(truth, circuit, world)
    mean_share = float(np.mean([_share_per_mm(truth, circuit, world) for truth in truths]))
    return [
        {
            "circuit": circuit,
            "water": water,
            "state": state,
            **wear_per_100_hours(float(clock[w]), float(effective[w]), float(worn[w])),
            "worn_per_100_effective_h_15c": 100
            * mean_share
            * _reference_rate(circuit, state, water, world),
        }
        for w, water in enumerate(WATERS)
        if clock[w] > 0
    ]


def habit_rates(truths: list[HullTruth], world: World) -> pd.DataFrame:
    """True wear by operating state; states that do not wear in this world are at zero."""
    return pd.DataFrame([row for each in STATES for row in _habit(truths, *each, world)])


def _at_home(truth: HullTruth, world: World) -> np.ndarray:
    """Mooring of the hull in each hour of the grid, -1 when it is not of the fleet (int)."""
    berths = truth.use.berths
    hours = world.marks_h[:-1] + 0.5
    row = np.maximum(np.searchsorted(berths.since_h, hours, side="right") - 1, 0)
    return np.where(hours < 24.0 * truth.hull.last_day, berths.mooring[row], -1)


def _worn_hourly(truth: HullTruth, world: World) -> Floats:
    """Expected worn per hour, both circuits added (hours,)."""
    total = np.zeros(len(world.marks_h) - 1)
    for circuit in ("engine", "hull"):
        for mm in truth.states_mm(circuit, world.physics).values():
            total += mm.sum(axis=1) * _share_per_mm(truth, circuit, world)
    return total


def _in_water(exposure: Exposure, water: int) -> Exposure:
    """The same hours, all of them in one water."""

    def all_in(hours: Floats) -> Floats:
        out = np.zeros_like(hours)
        out[:, water] = hours.sum(axis=1)
        return out

    return Exposure(
        all_in(exposure.running_h), all_in(exposure.wet_h),
        all_in(exposure.under_way_h), all_in(exposure.lying_h),
    )  # fmt: skip


def _worn_equal(truths: list[HullTruth], number: int, world: World) -> float:
    """Worn of the whole fleet's hours, had they all been spent at one mooring."""
    mooring = world.scenario.moorings[number]
    days = world.calendar.day_of(world.marks_h[:-1] + 0.5)
    warmth = temperature_factor(
        world.weather.temperature_c[mooring.mooring_id][days], world.physics
    )
    logged, total = _logged(world), 0.0
    for truth in truths:
        moved = _in_water(truth.exposure, int(world.mooring_water[number]))
        for circuit in ("engine", "hull"):
            states = by_state_mm(moved, circuit, world.physics).values()
            mm = np.sum([each.sum(axis=1) for each in states], axis=0)
            total += float((mm * warmth)[logged].sum()) * _share_per_mm(truth, circuit, world)
    return total


def mooring_ratios(truths: list[HullTruth], world: World) -> pd.DataFrame:
    """True wear at each mooring against the fleet's mean, as `against_the_fleet` says it."""
    logged = _logged(world)
    count = len(world.scenario.moorings)
    worn, days = np.zeros(count), np.zeros(count)
    for truth in truths:
        home, hourly = _at_home(truth, world), _worn_hourly(truth, world)
        for number in range(count):
            there = logged & (home == number)
            worn[number] += hourly[there].sum()
            days[number] += there.sum() / 24.0
    moorings = world.scenario.moorings
    return against_the_fleet(
        [mooring.mooring_id for mooring in moorings],
        [mooring.water for mooring in moorings],
        days,
        worn,
        [_worn_equal(truths, number, world) for number in range(count)],
    )
