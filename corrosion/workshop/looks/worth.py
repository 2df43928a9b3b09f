"""What a look on each day ahead is worth, in money.

Without a look the anode is replaced blindly, on the day on which waiting longer costs more in
lateness than it puts off. With a look on some day, every reading that may come is weighed by its
chance, and for each the best day to replace is taken anew (preposterior analysis; Raiffa &
Schlaifer, Applied Statistical Decision Theory, 1961). The difference is what the look is worth.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from corrosion.common import Codes, Floats
from corrosion.workshop.looks.courses import Courses

READINGS = 9
CHANGES_DAYS = 7.0
"""A reading changes what is done where it moves the day of the replacement by so much."""


@dataclass(frozen=True)
class Stakes:
    """What k anodes stand for, in money.

    Attributes
    ----------
    late : ndarray, shape (k,), currency a day past the limit
    waits : ndarray, shape (k,), currency a day that the replacement is put off
    tolerated : float, chance of an anode past its limit up to which it may be left
    lead_days : float, days from a look to the pull-out that it brings about
    """

    late: Floats
    waits: Floats
    tolerated: float
    lead_days: float


@dataclass(frozen=True)
class Blind:
    """Replacing without a look: `cost` (currency, against never) and `day`, shape (k,) each."""

    cost: Floats
    day: Floats


@dataclass(frozen=True)
class Worth:
    """What a look is worth on each of s days.

    Attributes
    ----------
    days : ndarray, shape (s,), days ahead
    worth : ndarray, shape (k, s), currency, before what the look costs
    changes : ndarray, shape (k, s), chance that it changes what is done
    blind : Blind
    """

    days: Floats
    worth: Floats
    changes: Floats
    blind: Blind


def replace_blindly(courses: Courses, stakes: Stakes) -> Blind:
    """Say when each anode is best replaced if nobody looks at it first.

    Parameters
    ----------
    courses : Courses, k anodes
    stakes : Stakes

    Returns
    -------
    Blind
    """
    chance = _never_falling(ndtr((courses.worn - 1.0) / courses.sd))
    cost, day = _best(chance, courses.grid, stakes, 0.0)
    return Blind(cost, day)


def weigh_looks(courses: Courses, stakes: Stakes, days: Floats) -> Worth:
    """Say what a look at each anode is worth on some days ahead.

    Parameters
    ----------
    courses : Courses, k anodes
    stakes : Stakes
    days : ndarray, shape (s,), each a day of the grid

    Returns
    -------
    Worth
    """
    blind = replace_blindly(courses, stakes)
    chance = _never_falling(ndtr((courses.worn - 1.0) / courses.sd))
    past = _added_up(chance, courses.grid)
    nodes, weights = np.polynomial.hermite_e.hermegauss(READINGS)
    weights = weights / weights.sum()
    shape = (len(courses.worn), days.size)
    worth, changes = np.zeros(shape), np.zeros(shape)
    for column, at in enumerate(np.searchsorted(courses.grid, days)):
        moves, left = courses.taught(int(at))
        cost = stakes.late * past[:, at]
        for node, weight in zip(nodes, weights, strict=True):
            then = ndtr((courses.worn + node * moves - 1.0)[:, at:] / left[:, at:])
            saved, day = _best(_never_falling(then), courses.grid[at:], stakes, stakes.lead_days)
            cost = cost + weight * saved
            moved = np.abs(day - blind.day) >= CHANGES_DAYS
            changes[:, column] += weight * moved
        worth[:, column] = blind.cost - cost
    return Worth(np.asarray(days, float), worth, changes, blind)


def _best(chance: Floats, grid: Floats, stakes: Stakes, lead_days: float) -> tuple[Floats, Floats]:
    """Return the cost from the first day of the grid on, and the day, of the best replacement.

    It comes `lead_days` later at the earliest; past the tolerated risk nothing is put off.
    """
    first = int(min(np.searchsorted(grid, grid[0] + lead_days), grid.size - 1))
    past = _added_up(chance, grid)[:, first:]
    cost = stakes.late[:, None] * past - stakes.waits[:, None] * grid[first:]
    allowed = chance[:, first:] <= stakes.tolerated
    allowed[:, 0] = True
    # the chance never falls, so a day that is not allowed has none behind it that is
    cost = np.where(allowed, cost, np.inf)
    best = cost.argmin(axis=1)
    return cost[np.arange(len(cost)), best], grid[first:][best]


def _never_falling(chance: Floats) -> Floats:
    return np.asarray(np.maximum.accumulate(chance, axis=1))


def _added_up(rate: Floats, grid: Floats) -> Floats:
    steps = np.diff(grid) * (rate[:, 1:] + rate[:, :-1]) / 2
    return np.concatenate([np.zeros_like(rate[:, :1]), np.cumsum(steps, axis=1)], axis=1)


def best_looks(worth: Worth, price: Floats) -> tuple[Codes, Floats]:
    """Return the day, as a place in `worth.days`, on which a look gains most, and that gain.

    Parameters
    ----------
    worth : Worth
    price : ndarray, shape (k,), currency

    Returns
    -------
    (ndarray of int, ndarray), shape (k,) each
    """
    gain = worth.worth - price[:, None]
    best = gain.argmax(axis=1)
    return best, gain[np.arange(len(gain)), best]
