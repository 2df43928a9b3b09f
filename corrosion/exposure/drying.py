"""The drying law: how long salt water that was left in the passages counts after a stop.

Hours after a stop count less and less, with a time constant that the life model fits. They are
worked out at a grid of constants and interpolated between them, so that another constant costs a
weighted sum and no new pass over the outings. Another law is another `effective_hours`; one with a
second parameter needs its place among the model's parameters too.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import prod

import numpy as np

from corrosion.common import Floats

DRYING_GRID_H = np.array([6.0, 10.0, 16.0, 25.0, 40.0, 64.0, 100.0])
"""Drying time constants, hours, at which unflushed hours are worked out; the fit lies between."""


def effective_hours(wet_h: Floats, drying_h: Floats) -> Floats:
    """Return salty hours that count while the passages dry out.

    Parameters
    ----------
    wet_h : ndarray, shape (n,), hours since the engine stopped
    drying_h : ndarray, shape (g,), drying time constants, hours

    Returns
    -------
    ndarray, shape (n, g): ``tau * (1 - exp(-t / tau))``, hours
    """
    return np.asarray(-drying_h * np.expm1(-wet_h[:, None] / drying_h))


@dataclass(frozen=True)
class Drying:
    """Weights that interpolate the drying grid at a time constant, and their slope in its log."""

    weight: Floats
    slope: Floats


def drying_weights(log_tau: float) -> Drying:
    """Return the cubic weights over DRYING_GRID_H, shape (grid,), at a log time constant.

    Parameters
    ----------
    log_tau : float, log of the drying time constant in hours

    Returns
    -------
    Drying
    """
    knots = np.log(DRYING_GRID_H)
    low = int(np.clip(np.searchsorted(knots, log_tau) - 2, 0, knots.size - 4))
    near = knots[low : low + 4].tolist()
    weight, slope = np.zeros(knots.size), np.zeros(knots.size)
    for i, knot in enumerate(near):
        others = near[:i] + near[i + 1 :]
        scale = prod(knot - other for other in others)
        a, b, c = (log_tau - other for other in others)
        weight[low + i] = a * b * c / scale
        slope[low + i] = (b * c + a * c + a * b) / scale
    return Drying(weight, slope)
