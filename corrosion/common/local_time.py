"""The clock on the wall: its readings as moments, and days that are counted by the calendar.

One rule everywhere: of two moments that the clock showed alike (it was put back), the earlier; for
a reading that it never showed (it was put forward), the next that it did. Who can ask, asks first:
`read_clock` tells which of the two it was.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, tzinfo

import numpy as np
import numpy.typing as npt
import pandas as pd


@dataclass(frozen=True)
class ClockReading:
    """A reading of a clock on the wall as a moment.

    Attributes
    ----------
    moment : Timestamp
        UTC, microseconds; by the rule of this file where there are two, or none.
    second : Timestamp or None
        The second such moment, where the clock was put back and showed it twice.
    skipped : bool
        The clock was put forward and never showed it.
    """

    moment: pd.Timestamp
    second: pd.Timestamp | None = None
    skipped: bool = False


def read_clock(wall: datetime, zone: tzinfo) -> ClockReading:
    """Say which moment, or moments, a clock reading is.

    Parameters
    ----------
    wall : datetime, without a zone
    zone : tzinfo, where the clock hangs

    Returns
    -------
    ClockReading
    """
    early, late = (wall.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1))
    skipped = early.astimezone(zone).replace(tzinfo=None) != wall
    twice = not skipped and early != late
    second = pd.Timestamp(late).as_unit("us") if twice else None
    return ClockReading(moment_at(wall, zone), second, skipped)


def moment_at(wall: datetime, zone: tzinfo) -> pd.Timestamp:
    """Return the moment of a clock reading, UTC, microseconds, by the rule of this file."""
    local = pd.Timestamp(wall).tz_localize(zone, ambiguous=True, nonexistent="shift_forward")
    return local.tz_convert("UTC").as_unit("us")


def midnight_before(moment: pd.Timestamp, zone: tzinfo) -> pd.Timestamp:
    """Return when the day of a moment began, UTC, by the calendar of a zone."""
    return moment_at(datetime.combine(moment.tz_convert(zone).date(), time()), zone)


def after_days(moment: pd.Timestamp, days: float, zone: tzinfo) -> pd.Timestamp:
    """Count days on from a moment by the calendar: seven days on it is as late on the clock.

    Parameters
    ----------
    moment : Timestamp with a zone
    days : float, may have a fraction
    zone : tzinfo, whose calendar counts

    Returns
    -------
    Timestamp, in `zone`
    """
    wall = moment.tz_convert(zone).tz_localize(None) + pd.Timedelta(days=days)
    return moment_at(wall.to_pydatetime(warn=False), zone).tz_convert(zone)


def dates_after_days(
    moment: pd.Timestamp, days: npt.NDArray[np.float64], zone: tzinfo
) -> list[date | None]:
    """Return the dates that `after_days` gives, all at once.

    Parameters
    ----------
    moment : Timestamp with a zone
    days : ndarray, shape (n,), may have fractions; NaN is unknown
    zone : tzinfo, whose calendar counts

    Returns
    -------
    list of date, length n, in `zone`; None where the days are unknown
    """
    known = np.flatnonzero(~np.isnan(days))
    wall = moment.tz_convert(zone).tz_localize(None) + pd.to_timedelta(days[known], unit="D")
    first = np.ones(known.size, dtype=bool)
    local = pd.DatetimeIndex(wall).tz_localize(zone, ambiguous=first, nonexistent="shift_forward")
    dates: list[date | None] = [None] * days.size
    for at, each in zip(known, local.date, strict=True):
        dates[at] = each
    return dates
