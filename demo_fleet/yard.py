"""The physics: what an anode truly loses, hour by hour, from what its hull truly did.

Wear follows three clocks. An engine-circuit anode wears while the engine runs and, after it stops
in salt or brackish water, while the passages stay wet with salt: at a pace that falls off
exponentially as they dry, until the next flush or the next outing. A hull-circuit anode wears in
all the hours that the hull is in the water. Every hour's loss is a gamma draw, so it is never
negative, and its variance grows with the wear itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from demo_fleet.clock import Floats, Ints
from demo_fleet.scenario import WATERS, Position


@dataclass(frozen=True)
class Rates:
    """Surface wear in one water at the reference temperature."""

    running_mm_per_h: float
    unflushed_mm_per_h: float
    """Per effective hour: an hour of fully wet, salty passages."""
    afloat_mm_per_day: float
    """Hull circuit, per 24 h in the water."""
    flooded_mm_per_day: float = 0.0
    """Engine circuit, per 24 h that the hull lies afloat with the engine stopped."""


def _default_rates() -> dict[str, Rates]:
    return {
        "salt": Rates(0.0055, 0.0009, 0.012),
        "brackish": Rates(0.0030, 0.00045, 0.007),
        "fresh": Rates(0.0004, 0.0, 0.0018),
    }


@dataclass(frozen=True)
class Physics:
    """Every number of the true wear law."""

    rates: Mapping[str, Rates] = field(default_factory=_default_rates)
    drying_h: float = 25.0
    """Time constant with which rinsed-by-nobody passages dry (h)."""
    hull_spread: float = 0.22
    """Standard deviation of the hull factors about 1."""
    anode_spread: float = 0.08
    """Standard deviation of the anode factors about 1."""
    process_spread: float = 0.03
    """Standard deviation of worn after one whole median life, from hour-to-hour chance alone."""
    per_degree: float = 0.025
    """Relative change of wear per degree of water temperature."""
    reference_c: float = 15.0
    diameter_factor: float = 2.0
    """A rod loses surface on both sides."""
    magnesium_in_salt: float = 8.0
    """A magnesium anode in salt or brackish water wears this many times faster."""


@dataclass(frozen=True)
class Berthing:
    """Where the hull lives: from ``since_h`` on, at that mooring, afloat or lifted."""

    since_h: Floats
    mooring: Ints
    afloat: np.ndarray
    pontoon: tuple[str, ...]


@dataclass(frozen=True)
class Use:
    """What one hull truly did: outings in time order, true flushes in time order, berths."""

    hull_id: str
    start_h: Floats
    end_h: Floats
    engine_h: Floats
    water: Ints
    """Where each outing ran, an index into WATERS."""
    flush_h: Floats
    berths: Berthing


@dataclass(frozen=True)
class Exposure:
    """Hours in each state during each hour of the grid; every array is (hours, waters)."""

    running_h: Floats
    wet_h: Floats
    """Effective unflushed hours."""
    under_way_h: Floats
    lying_h: Floats
    """Lying afloat at the berth."""


def berth_at(berths: Berthing, at_h: Floats) -> Ints:
    """Which row of the berths holds at each moment."""
    return np.asarray(np.maximum(np.searchsorted(berths.since_h, at_h, side="right") - 1, 0))


def _between_marks(knots_h: Floats, cumulative: Floats, marks_h: Floats) -> Floats:
    """Differences between marks of a quantity that is linear between its knots."""
    if len(knots_h) == 0:
        return np.zeros(len(marks_h) - 1)
    return np.diff(np.interp(marks_h, knots_h, cumulative))


def _spread_over(start_h: Floats, end_h: Floats, amount: Floats, marks_h: Floats) -> Floats:
    """Amounts, each spread evenly over its own interval, per hour of the grid."""
    knots = np.column_stack([start_h, end_h]).ravel()
    steps = np.column_stack([np.zeros(len(amount)), amount]).ravel()
    return _between_marks(knots, np.cumsum(steps), marks_h)


def wet_until_h(use: Use, flush_h: Floats) -> Floats:
    """When the salt left by each outing ends: at the next flush or the next outing (h)."""
    next_start = np.append(use.start_h[1:], np.inf)
    at = np.searchsorted(flush_h, use.end_h, side="left")
    next_flush = np.append(flush_h, np.inf)[at]
    return np.asarray(np.minimum(next_start, next_flush), dtype=np.float64)


def _effective_wet_h(end_h: Floats, until_h: Floats, drying_h: float, marks_h: Floats) -> Floats:
    """Effective hours per hour of the grid: tau (1 - exp(-t / tau)) after each stop."""
    if len(end_h) == 0:
        return np.zeros(len(marks_h) - 1)
    whole = drying_h * -np.expm1(-(until_h - end_h) / drying_h)
    before = np.concatenate([[0.0], np.cumsum(whole)])
    last = np.searchsorted(end_h, marks_h, side="right")
    latest = np.maximum(last - 1, 0)
    since = np.clip(np.minimum(marks_h, until_h[latest]) - end_h[latest], 0.0, None)
    current = np.where(last > 0, drying_h * -np.expm1(-since / drying_h), 0.0)
    return np.diff(before[latest] + current)


def _lying_h(use: Use, mooring_water: Ints, marks_h: Floats) -> Floats:
    """Hours lying afloat at the berth, by the mooring's water, per hour of the grid."""
    berths = use.berths
    ends = np.append(berths.since_h[1:], marks_h[-1])
    out = np.zeros((len(marks_h) - 1, len(WATERS)))
    under_way = _spread_over(use.start_h, use.end_h, use.end_h - use.start_h, marks_h)
    for since, end, mooring, afloat in zip(
        berths.since_h, ends, berths.mooring, berths.afloat, strict=True
    ):
        if afloat:
            hours = np.clip(np.minimum(marks_h[1:], end) - np.maximum(marks_h[:-1], since), 0, None)
            out[:, mooring_water[mooring]] += np.clip(hours - under_way * (hours > 0), 0, None)
    return out


def expose(
    use: Use, mooring_water: Ints, drying_h: float, marks_h: Floats, flush_h: Floats | None = None
) -> Exposure:
    """
    Hours in each state, hour by hour.

    Parameters
    ----------
    use : Use
        What the hull did.
    mooring_water : (moorings,) int
        The water of each mooring, an index into WATERS.
    drying_h : float
        Drying time constant (h).
    marks_h : (hours + 1,) float
        Grid marks, one hour apart (h).
    flush_h : (flushes,) float, optional
        Other flushes than the true ones, in time order: for "what if" questions.

    Returns
    -------
    Exposure
        Each array (hours, 3).
    """
    until_h = wet_until_h(use, use.flush_h if flush_h is None else flush_h)
    running, wet, under_way = (np.zeros((len(marks_h) - 1, len(WATERS))) for _ in range(3))
    for water in range(len(WATERS)):
        in_water = use.water == water
        start, end = use.start_h[in_water], use.end_h[in_water]
        running[:, water] = _spread_over(start, end, use.engine_h[in_water], marks_h)
        under_way[:, water] = _spread_over(start, end, end - start, marks_h)
        wet[:, water] = _effective_wet_h(end, until_h[in_water], drying_h, marks_h)
    return Exposure(running, wet, under_way, _lying_h(use, mooring_water, marks_h))


def by_state_mm(exposure: Exposure, circuit: str, physics: Physics) -> dict[str, Floats]:
    """
    Expected surface loss per hour of the grid by state, each (hours, waters), at 15 degrees (mm).

    The hull, the anode, the temperature and the anode's own shape are not in it yet.
    """
    rates = [physics.rates[water] for water in WATERS]
    if circuit == "engine":
        return {
            "running": exposure.running_h * [r.running_mm_per_h for r in rates],
            "unflushed": exposure.wet_h * [r.unflushed_mm_per_h for r in rates],
            "afloat": exposure.lying_h * [r.flooded_mm_per_day / 24.0 for r in rates],
        }
    in_water = exposure.under_way_h + exposure.lying_h
    return {"afloat": in_water * [r.afloat_mm_per_day / 24.0 for r in rates]}


def temperature_factor(temperature_c: Floats, physics: Physics) -> Floats:
    """How the water temperature speeds wear up; 1 at the reference temperature, never below 0.1."""
    return np.maximum(0.1, 1.0 + physics.per_degree * (temperature_c - physics.reference_c))


def share_per_surface_mm(position: Position, physics: Physics) -> float:
    """Worn (share of the allowance) per mm of surface lost."""
    both_sides = physics.diameter_factor if position.gauge == "diameter" else 1.0
    return both_sides * position.pace / position.allowance_mm


def alloy_factors(alloy: str, physics: Physics) -> Floats:
    """Pace of an alloy in each water (3,); only magnesium out of place differs from 1."""
    wrong = physics.magnesium_in_salt if alloy == "magnesium" else 1.0
    return np.array([1.0 if water == "fresh" else wrong for water in WATERS])


def draw_factor(rng: np.random.Generator, spread: float) -> float:
    """A hull's or an anode's own factor: normal about 1, kept within 2.2 spreads."""
    return float(1.0 + spread * np.clip(rng.standard_normal(), -2.2, 2.2))


def wear_path(expected_share: Floats, process_spread: float, rng: np.random.Generator) -> Floats:
    """
    Worn at every mark from 0 on, as sums of gamma increments.

    Parameters
    ----------
    expected_share : (hours,) float
        Expected worn per hour.
    process_spread : float
        Standard deviation of worn after an expected loss of 1.
    rng : Generator
        The anode's own stream of chance.

    Returns
    -------
    (hours + 1,) float
        Never falling, starts at 0.
    """
    scale = process_spread**2
    shape = expected_share / scale if scale > 0 else expected_share
    steps = rng.gamma(shape) * scale if scale > 0 else expected_share
    return np.concatenate([[0.0], np.cumsum(steps)])
