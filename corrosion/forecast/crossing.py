"""Chances that worn shares reach the limit: of an anode, of a hull, and by when."""

from __future__ import annotations

import numpy as np
from scipy.special import ndtr

from corrosion.common import Floats

LEAST_CHANCE = 5e-4
"""No forecast is surer than this: things happen that no log tells."""


NODES = 20


def chance_worn(mean: Floats, sd: Floats) -> Floats:
    """Return the chance that worn has reached 1, never falling with time nor quite sure.

    Parameters
    ----------
    mean, sd : ndarray, shape (k, d), worn share over the days ahead

    Returns
    -------
    ndarray, shape (k, d)
    """
    chance = np.maximum.accumulate(ndtr((mean - 1.0) / sd), axis=1)
    return LEAST_CHANCE + (1 - 2 * LEAST_CHANCE) * chance


def days_until(chance: Floats, days: Floats, level: float) -> Floats:
    """Return the days until the chance reaches a level, shape (k,); the end of the grid at most.

    Parameters
    ----------
    chance : ndarray, shape (k, d), never falling
    days : ndarray, shape (d,)
    level : float

    Returns
    -------
    ndarray, shape (k,), days
    """
    reached = chance >= level
    first = np.where(reached.any(axis=1), reached.argmax(axis=1), chance.shape[1] - 1)
    before = np.maximum(first - 1, 0)
    rows = np.arange(chance.shape[0])
    low, high = chance[rows, before], chance[rows, first]
    part = np.clip((level - low) / np.maximum(high - low, 1e-12), 0.0, 1.0)
    crossing = days[before] + part * (days[first] - days[before])
    return np.where(reached[:, 0], 0.0, np.minimum(crossing, days[-1]))
