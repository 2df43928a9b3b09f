"""Days of the harbour and hours of the world: local clock times as hours since the first moment."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SEASONS_TURN_DAYS = 365.25
"""Days in which warmth and demand go once around."""
TRUTH_YEAR_H = 365 * 24.0
"""Hours over which the truth of "the last year" is added up."""


@dataclass(frozen=True)
class Calendar:
    """Days count from ``first_day``; hours count from its local midnight, without summer time."""

    first_day: date
    timezone: str
    days: int

    @cached_property
    def start(self) -> pd.Timestamp:
        """Local midnight of the first day, as UTC."""
        return pd.Timestamp(self.first_day).tz_localize(self.timezone).tz_convert("UTC")

    @cached_property
    def _noons(self) -> pd.DatetimeIndex:
        first = pd.Timestamp(self.first_day) + pd.Timedelta(hours=12)
        return pd.date_range(first, periods=self.days + 1, freq="D").tz_localize(self.timezone)

    @cached_property
    def _summer_shift_h(self) -> Floats:
        noon_h = (self._noons.tz_convert("UTC") - self.start) / pd.Timedelta(hours=1)
        return np.asarray(noon_h, dtype=np.float64) - 24.0 * np.arange(self.days + 1) - 12.0

    def hours(self, day: ArrayLike, local_hour: ArrayLike) -> Floats:
        """Hours since the start of local clock time ``local_hour`` on ``day``, to the minute."""
        days = np.asarray(day, dtype=np.int64)
        hours = 24.0 * days + np.asarray(local_hour, dtype=np.float64) + self._summer_shift_h[days]
        return np.round(hours * 60.0) / 60.0

    def day_of(self, hours: ArrayLike) -> Ints:
        """The local day in which a moment falls."""
        starts = 24.0 * np.arange(self.days + 1) + self._summer_shift_h
        following = np.searchsorted(
            starts, np.asarray(hours, dtype=np.float64) + 1e-9, side="right"
        )
        return np.asarray(following - 1, dtype=np.int64)

    def stamps(self, hours: ArrayLike) -> pd.DatetimeIndex:
        """Moments as UTC times in microseconds, to the minute; an unknown hour is NaT."""
        minutes = np.round(np.asarray(hours, dtype=np.float64) * 60.0)
        known = np.isfinite(minutes)
        counts = np.where(known, minutes, 0.0).astype("timedelta64[m]")
        index = (self.start + pd.TimedeltaIndex(counts)).as_unit("us")
        return pd.DatetimeIndex(index.where(known))

    def weekday(self, day: ArrayLike) -> Ints:
        """Monday 0 to Sunday 6."""
        return (np.asarray(day, dtype=np.int64) + self.first_day.weekday()) % 7

    def day_of_year(self, day: ArrayLike) -> Ints:
        """1 to 366."""
        return np.asarray(self._noons.day_of_year, dtype=np.int64)[np.asarray(day, dtype=np.int64)]
