"""Sums that every maker of a simulated fleet takes over its own truth, whatever its physics.

The simulator of the tests wears its anodes by other laws than this scenario; what is then said of
its truth (a share saved, ratios of moorings, wear per 100 hours) has to mean the same.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def share_avoided(as_it_was: float, otherwise: float) -> float:
    """Share of a wear that would not have been (0 to 1); 0 where there was none."""
    return 1.0 - otherwise / as_it_was if as_it_was else 0.0


def against_the_fleet(
    mooring_id: Sequence[str],
    water: Sequence[str],
    hull_days: ArrayLike,
    worn: ArrayLike,
    worn_equal: ArrayLike,
) -> pd.DataFrame:
    """
    Wear at each mooring against the mean of the fleet.

    Parameters
    ----------
    mooring_id, water : sequence of str
        One a mooring.
    hull_days : array of shape (moorings,)
        Days that hulls of the fleet lay there (days).
    worn : array of shape (moorings,)
        Worn there, shares of allowances added up.
    worn_equal : array of shape (moorings,)
        Worn there had all moorings seen the same use, in any one unit.

    Returns
    -------
    DataFrame
        ``mooring_id``, ``water``, ``hull_days``, ``raw_ratio`` (worn a hull-day against the
        fleet's) and ``adjusted_ratio`` (equal use, against its mean over hull-days).
    """
    days, was = np.asarray(hull_days, float), np.asarray(worn, float)
    equal = np.asarray(worn_equal, float)
    return pd.DataFrame(
        {
            "mooring_id": list(mooring_id),
            "water": list(water),
            "hull_days": days,
            "raw_ratio": (was / days) / (was.sum() / days.sum()),
            "adjusted_ratio": equal / (equal @ days / days.sum()),
        }
    )


def wear_per_100_hours(hours: float, effective_hours: float, worn: float) -> dict[str, float]:
    """What was worn in a state beside its hours, and per 100 of them: by the clock, effective."""
    return {
        "hours": hours,
        "effective_hours": effective_hours,
        "worn_per_100h": 100 * worn / hours,
        "worn_per_100_effective_h": 100 * worn / effective_hours,
    }
