"""Arrays and moments as numbers: the types, and hours since 1970, that every sum is made in."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

Floats = npt.NDArray[np.float64]
Codes = npt.NDArray[np.intp]

HOURS_A_DAY = 24.0
YEAR_H = 365.25 * HOURS_A_DAY


def hours_since_epoch(times: pd.Series | pd.DatetimeIndex) -> Floats:
    """Return times as hours since 1970-01-01 UTC; unknown times are NaN.

    Parameters
    ----------
    times : Series or DatetimeIndex of UTC times, shape (n,)

    Returns
    -------
    ndarray of float, shape (n,), hours
    """
    index = pd.DatetimeIndex(times)
    micros = index.as_unit("us").asi8.astype(np.float64)
    micros[index.isna()] = np.nan
    return np.asarray(micros / 3.6e9, dtype=np.float64)
