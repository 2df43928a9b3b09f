"""The laws of wear that hold in one fleet, with values drawn by seed.

Rates are surface wear in mm an hour at 15 °C. None of this is taken from the program under test.
Middle values are common practice (no source); the ranges are wide on purpose.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .plans import Plan, Range

Floats = NDArray[np.float64]

GAS_J_PER_MOL_K = 8.314462618
REFERENCE_K = 288.15


@dataclass(frozen=True)
class Physics:
    """Drawn values; arrays of three run over salt, brackish, fresh."""

    running_mm_per_h: Floats
    unflushed_mm_per_h: Floats  # at full wetness
    afloat_mm_per_h: Floats
    flooded_mm_per_h: Floats
    drying: str
    tau_h: float
    temperature_law: str
    warmth_per_c: float
    activation_j_per_mol: float
    salinity_power: float
    hull_spread: float
    circuits_alike: float
    anode_spread: float
    process_sd: float
    growth: float


def draw_physics(plan: Plan, rng: np.random.Generator) -> Physics:
    """Draw one fleet's physics."""
    drying, tau_h = plan.drying[int(rng.integers(len(plan.drying)))]
    return Physics(
        running_mm_per_h=_by_water(rng, 0.0055, (0.4, 0.7), (0.04, 0.12), plan.fresh_scale),
        unflushed_mm_per_h=plan.unflushed_scale
        * _by_water(rng, 0.0009, (0.35, 0.65), (0.0, 0.0), 1.0),
        afloat_mm_per_h=_by_water(rng, 0.012 / 24, (0.45, 0.75), (0.1, 0.2), plan.fresh_scale),
        flooded_mm_per_h=float(plan.flooded_afloat)
        * _by_water(rng, 0.012 / 24, (0.45, 0.75), (0.1, 0.2), plan.fresh_scale),
        drying=drying,
        tau_h=_between(rng, tau_h),
        temperature_law=plan.temperature_law,
        warmth_per_c=_between(rng, (0.018, 0.032)),
        activation_j_per_mol=_between(rng, (22e3, 45e3)),
        salinity_power=_between(rng, (0.4, 0.8)) if plan.salinity_matters else 0.0,
        hull_spread=_between(rng, plan.hull_spread),
        circuits_alike=_between(rng, plan.circuits_alike),
        anode_spread=_between(rng, plan.anode_spread),
        process_sd=_between(rng, plan.process_sd),
        growth=_between(rng, plan.growth),
    )


def _between(rng: np.random.Generator, ends: Range) -> float:
    return float(rng.uniform(*ends))


def _by_water(
    rng: np.random.Generator, salt: float, brackish: Range, fresh: Range, fresh_scale: float
) -> Floats:
    """Rates in salt, brackish and fresh water; the last two drawn as shares of the first."""
    in_salt = salt * float(np.exp(rng.normal(0.0, 0.22)))
    shares = [1.0, _between(rng, brackish), fresh_scale * _between(rng, fresh)]
    return in_salt * np.array(shares)


def wet_hours(age_h: Floats, drying: str, tau_h: float) -> Floats:
    """Effective wet hours gathered `age_h` hours after the engine stopped, by drying law."""
    if drying == "exponential":
        return tau_h * -np.expm1(-age_h / tau_h)
    if drying == "linear":  # wetness falls in a straight line to nothing at 2 tau
        age = np.minimum(age_h, 2 * tau_h)
        return age - age**2 / (4 * tau_h)
    if drying == "two-stage":  # wet through for half of tau, then a slow tail
        soaked = np.minimum(age_h, tau_h / 2)
        after = np.maximum(age_h - tau_h / 2, 0.0)
        return soaked + 0.4 * 1.5 * tau_h * -np.expm1(-after / (1.5 * tau_h))
    raise ValueError(f"no such drying law: {drying}")


def warmth(temperature_c: Floats, physics: Physics, share: float = 1.0) -> Floats:
    """Wear against that at 15 °C; `share` weakens it where the engine heats the water anyway."""
    if physics.temperature_law == "arrhenius":
        kelvin = temperature_c + 273.15
        cold = physics.activation_j_per_mol / GAS_J_PER_MOL_K * (1 / REFERENCE_K - 1 / kelvin)
        return np.exp(share * cold)
    return np.exp(share * physics.warmth_per_c * (temperature_c - 15.0))


def unit_effects(
    law: str, spread: float, size: int, alike: float, rng: np.random.Generator
) -> Floats:
    """Positive effects with mean 1, one row a hull, a column for each circuit, correlated."""
    common, own = rng.normal(size=(size, 1)), rng.normal(size=(size, 2))
    normal = np.sqrt(alike) * common + np.sqrt(1 - alike) * own
    if law == "lognormal":
        log_sd = np.sqrt(np.log1p(spread**2))
        return np.asarray(np.exp(log_sd * normal - log_sd**2 / 2))
    shape = 1 / spread**2
    # Wilson and Hilferty's cube keeps the gamma's skew while the two columns stay correlated
    cube = (1 - 1 / (9 * shape) + normal / (3 * np.sqrt(shape))) ** 3
    return np.asarray(np.maximum(cube, 0.05))


def shrinking(mean_worn: Floats, growth: float) -> Floats:
    """Worn when the rate rises by `growth` from new to the limit; 1 stays 1."""
    if growth == 0:
        return mean_worn
    return np.asarray(np.expm1(mean_worn * np.log1p(growth)) / growth)
