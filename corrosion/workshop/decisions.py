"""A textbook decision: the age to replace at."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.integrate import cumulative_simpson
from scipy.optimize import minimize_scalar

from corrosion.common import Floats

Survival = Callable[[Floats], Floats]

GRID = 4001
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)
FLAT = 1e-9
"""Relative gain below which a planned change is not better than waiting for the end of life."""


@dataclass(frozen=True)
class AgeReplacement:
    """When to replace by age, and what that costs.

    Attributes
    ----------
    age : float
        Age at which a planned replacement costs least, in the unit of the lives; inf when it
        never pays to replace before the end of life.
    cost_rate : float
        Cost for each unit of time at that age, in the long run.
    late_share : float
        Share of the replacements that come late all the same, 0 to 1.
    """

    age: float
    cost_rate: float
    late_share: float


def age_replacement(
    survival: Survival, planned_cost: float, late_cost: float, longest: float
) -> AgeReplacement:
    """Find the age at which replacing costs least in the long run.

    A part is replaced at age T for `planned_cost`, or at the end of its life for `late_cost` if
    that comes first. By the renewal-reward theorem the cost rate is
    ``(planned S(T) + late (1 - S(T))) / integral of S from 0 to T`` (Barlow and Hunter 1960,
    "Optimum preventive maintenance policies", Operations Research 8(1)).

    Parameters
    ----------
    survival : callable
        Chance to live longer than each age, shape (n,) to (n,); never rising.
    planned_cost, late_cost : float
        Costs of one replacement, currency; above 0.
    longest : float
        Age beyond which nobody looks, above 0: by then nearly every life has ended.

    Returns
    -------
    AgeReplacement
    """
    ages = np.linspace(0.0, longest, GRID)
    alive = np.asarray(survival(ages), dtype=float)
    lived = cumulative_simpson(alive, x=ages, initial=0.0)
    rate = _cost_rate(alive[1:], lived[1:], planned_cost, late_cost)
    at = int(np.argmin(rate)) + 1
    if at == GRID - 1 or rate[at - 1] > rate[-1] * (1 - FLAT):
        return AgeReplacement(np.inf, float(rate[-1]), 1.0)
    optimum = minimize_scalar(
        lambda age: _cost_at(age, survival, planned_cost, late_cost),
        bounds=(ages[at - 1], ages[at + 1]),
        method="bounded",
        options={"xatol": 1e-9 * longest},
    )
    alive_then = float(survival(np.array([optimum.x]))[0])
    return AgeReplacement(float(optimum.x), float(optimum.fun), 1.0 - alive_then)


def _cost_rate(alive: Floats, lived: Floats, planned: float, late: float) -> Floats:
    return np.asarray((planned * alive + late * (1.0 - alive)) / lived)


def _cost_at(age: float, survival: Survival, planned: float, late: float) -> float:
    lived = age / 2 * float(_WEIGHTS @ survival(age / 2 * (_NODES + 1.0)))
    alive = survival(np.array([age]))
    return float(_cost_rate(alive, np.array([lived]), planned, late)[0])
