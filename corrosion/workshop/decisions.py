"""Textbook decisions: the age to replace at, how many to hold, how many it will be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import stats
from scipy.integrate import cumulative_simpson
from scipy.optimize import minimize_scalar

Floats = NDArray[np.float64]
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
    found = minimize_scalar(
        lambda age: _cost_at(age, survival, planned_cost, late_cost),
        bounds=(ages[at - 1], ages[at + 1]),
        method="bounded",
        options={"xatol": 1e-9 * longest},
    )
    alive_then = float(survival(np.array([found.x]))[0])
    return AgeReplacement(float(found.x), float(found.fun), 1.0 - alive_then)


def _cost_rate(alive: Floats, lived: Floats, planned: float, late: float) -> Floats:
    return np.asarray((planned * alive + late * (1.0 - alive)) / lived)


def _cost_at(age: float, survival: Survival, planned: float, late: float) -> float:
    lived = age / 2 * float(_WEIGHTS @ survival(age / 2 * (_NODES + 1.0)))
    alive = survival(np.array([age]))
    return float(_cost_rate(alive, np.array([lived]), planned, late)[0])


def weibull_survival(shape: float, scale: float) -> Survival:
    """Return the survival curve of Weibull lives; `scale` in the unit of the lives."""
    return lambda age: np.exp(-((np.asarray(age) / scale) ** shape))


@dataclass(frozen=True)
class Held:
    """How many to hold, and what holding and lacking cost in expectation (currency)."""

    quantity: float
    cost: float


def hold_normal(mean: float, sd: float, held_cost: float, short_cost: float) -> Held:
    """Find the quantity that costs least against normal demand (the newsvendor's problem).

    Parameters
    ----------
    mean, sd : float
        Demand, pieces; sd above 0.
    held_cost, short_cost : float
        Cost of each piece left over and of each piece lacking, currency.

    Returns
    -------
    Held
        Quantity at the critical ratio ``short / (short + held)``, not rounded.
    """
    z = float(stats.norm.ppf(short_cost / (short_cost + held_cost)))
    return Held(mean + z * sd, (held_cost + short_cost) * sd * float(stats.norm.pdf(z)))


def hold_count(probability: Floats, held_cost: float, short_cost: float) -> Held:
    """Find the whole number that costs least against a demand of whole pieces.

    Parameters
    ----------
    probability : ndarray, shape (n,)
        Chance of a demand of 0, 1, 2, ... pieces, summing to 1.
    held_cost, short_cost : float
        Cost of each piece left over and of each piece lacking, currency.

    Returns
    -------
    Held
        The least quantity whose chance to suffice reaches the critical ratio.
    """
    quantity = enough(probability, short_cost / (short_cost + held_cost))
    over = np.arange(probability.size) - quantity
    cost = np.where(over < 0, -held_cost * over, short_cost * over)
    return Held(quantity, float(cost @ probability))


def hold_poisson(mean: float, held_cost: float, short_cost: float) -> Held:
    """Find the whole number that costs least against Poisson demand with `mean` pieces."""
    most = int(stats.poisson.isf(1e-14, mean)) + 2
    return hold_count(stats.poisson.pmf(np.arange(most + 1), mean), held_cost, short_cost)


def enough(probability: Floats, share: float) -> int:
    """Return the least whole number that suffices with at least the chance `share`.

    Parameters
    ----------
    probability : ndarray, shape (n,)
        Chance of 0, 1, 2, ...
    share : float
        Between 0 and 1.

    Returns
    -------
    int
    """
    reached = np.cumsum(probability)
    # the last sum falls short of 1 by rounding; a quantile must not run off the end
    reached[-1] = max(reached[-1], 1.0)
    return int(np.searchsorted(reached, share - 1e-12))


def how_many(chances: Floats) -> Floats:
    """Return the distribution of how many of several independent events happen.

    The Poisson-binomial distribution, exactly: its probabilities are the coefficients of the
    product of ``(1 - p) + p z``.

    Parameters
    ----------
    chances : ndarray, shape (k,)
        Chance of each event, 0 to 1.

    Returns
    -------
    ndarray, shape (k + 1,)
        Chance of 0, 1, ..., k events.
    """
    return total([np.array([1.0 - chance, chance]) for chance in np.asarray(chances, float)])


def total(parts: list[Floats]) -> Floats:
    """Return the distribution of the sum of independent whole numbers.

    Parameters
    ----------
    parts : list of ndarray, shape (n,) each
        Chance of 0, 1, 2, ... for each number.

    Returns
    -------
    ndarray
        Chance of each sum; of 0 alone when there is nothing to add.
    """
    if not parts:
        return np.ones(1)
    # in pairs, so that the long ones are multiplied last
    while len(parts) > 1:
        odd = parts[-1:] if len(parts) % 2 else []
        pairs = zip(parts[0::2], parts[1::2], strict=False)
        parts = [np.convolve(one, other) for one, other in pairs] + odd
    return np.asarray(parts[0], dtype=float)
