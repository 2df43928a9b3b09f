"""A date and a time off the wall clock as a moment, on the days when the clocks change too."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pandas as pd


@dataclass(frozen=True)
class Placed:
    """A moment off the wall clock.

    Attributes
    ----------
    moment : Timestamp
        UTC, microseconds; of two such moments the first; where the clock never showed that time,
        the moment as it would have been without the change.
    second : Timestamp or None
        The second such moment, where the clocks were put back and it came twice.
    skipped : bool
        The clocks were put forward and never showed it.
    """

    moment: pd.Timestamp
    second: pd.Timestamp | None = None
    skipped: bool = False


def placed(day: date, at: time, zone: ZoneInfo) -> Placed:
    """Place a wall-clock reading in time.

    Parameters
    ----------
    day, at : date, time
        What calendar and clock on the wall showed.
    zone : ZoneInfo
        Where the clock hangs.

    Returns
    -------
    Placed
    """
    wall = datetime.combine(day, at.replace(tzinfo=None))
    first, later = (wall.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    moment = first.astimezone(UTC)
    shown = moment.astimezone(zone).replace(tzinfo=None) == wall
    twice = shown and first.utcoffset() != later.utcoffset()
    second = _stamp(later.astimezone(UTC)) if twice else None
    return Placed(_stamp(moment), second, skipped=not shown)


def _stamp(moment: datetime) -> pd.Timestamp:
    return pd.Timestamp(moment).as_unit("us")
