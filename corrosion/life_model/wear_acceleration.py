"""Wear that speeds up, or slows down, as an anode is spent: what a look says, straightened.

An anode of which less is left may wear faster. With ``growth`` g the rate at the limit is 1 + g
times that of a new anode, growing evenly with the worn share w: dw = (1 + g w) dk. Then
``log(1 + g w) / log(1 + g)`` grows evenly with the clock, from 0 when new to 1 at the limit. Looks
are straightened so; the life model stays linear, and what it says is bent back for people.

Notes
-----
* Wear that speeds up over a life is straightened, not modelled anew (`wear_acceleration`,
  `score_tests`): dw = (1 + g w) dk, so log(1 + g w) / log(1 + g) is even in the clock, 0 at 0 and
  1 at the limit. Looks (and their errors) are straightened, the model stays linear, `worn` is
  bent back for people (`Paths.worn`), chances need no way back. Let in by a score test (three
  looks at the likelihood), then profiled; only where it brings 12 of log likelihood and |g| >
  0.25. Found in no fleet of 34 other kinds (two seeds each) nor in the demo; in `nonlinear` it
  finds 1.10 and 1.07 where 1.11 is true.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from corrosion.common import Floats
from corrosion.life_model.design import CALIPER, VERDICT, Design

TINY = 1e-9


def straightened(worn: Floats, growth: float) -> Floats:
    """Return the even share of a life behind a worn share; 0 stays 0, and 1 stays 1.

    Parameters
    ----------
    worn : ndarray, share of the allowance; below 0 and above 2 in a straight line
    growth : float, above -1

    Returns
    -------
    ndarray of the same shape
    """
    if abs(growth) < TINY:
        return worn
    inside = np.clip(worn, 0.0, 2.0)
    even = np.log1p(growth * inside) / np.log1p(growth)
    return np.asarray(even + (worn - inside) * slope(inside, growth))


def slope(worn: Floats, growth: float) -> Floats:
    """Return the slope of `straightened`."""
    if abs(growth) < TINY:
        return np.ones_like(worn)
    inside = np.clip(worn, 0.0, 2.0)
    return np.asarray(growth / ((1 + growth * inside) * np.log1p(growth)))


def bent_back(even: Floats, growth: float) -> Floats:
    """Return the worn share of an even share of a life: the way back from `straightened`."""
    if abs(growth) < TINY:
        return even
    top = float(straightened(np.array([2.0]), growth)[0])
    inside = np.clip(even, 0.0, top)
    worn = np.expm1(inside * np.log1p(growth)) / growth
    return np.asarray(worn + (even - inside) / slope(worn, growth))


def bend(design: Design, growth: float) -> Design:
    """Return the design with its looks straightened further, by a growth of rate.

    Parameters
    ----------
    design : Design, as it was laid out
    growth : float

    Returns
    -------
    Design
    """
    sized = design.kind != VERDICT
    by = np.where(sized, slope(design.worn, growth), 1.0)
    # a caliper's error stands as it is, another's as its square
    at_start = slope(design.start_worn, growth)
    caliper = design.kind == CALIPER
    return replace(
        design,
        growth=growth,
        worn=np.where(sized, straightened(design.worn, growth), design.worn),
        error=design.error * np.where(caliper, by, by**2),
        start_worn=straightened(design.start_worn, growth),
        start_error=design.start_error * at_start**2,
        start_caliper=design.start_caliper * at_start,
    )


def log_slopes(design: Design, growth: float) -> float:
    """Return what straightening adds to the log likelihood of the looks as they were read."""
    sized = design.kind != VERDICT
    return float(np.log(slope(design.worn[sized], growth)).sum())
