"""The Mondays that a record goes back to, and what was logged by each of them."""

from __future__ import annotations

from collections.abc import Mapping
from hashlib import blake2b
from typing import Final

import numpy as np
import pandas as pd

from corrosion.common import TooLittle, is_text, moment_at
from corrosion.forecast.backtest.spans import booked_until
from corrosion.records import LOGS, VERSION, Logbook, hide_later

FIRST_DAYS: Final = 28
"""Days from the first reading to the first forecast that is gone back to."""
CLOSE_WEEKS: Final = 26
"""Half a year back every Monday is gone back to, before that every other one."""
FORM: Final = "2"  # raise it when forecasts are written down in another form


def mondays(logbook: Logbook, weeks: int) -> list[pd.Timestamp]:
    """Return the Mondays, 00:00 where the fleet is, that a record goes back to.

    Parameters
    ----------
    logbook : Logbook
        The logs at the end of the record.
    weeks : int
        How far back to go.

    Returns
    -------
    list of Timestamp
        UTC, the earliest first.

    Raises
    ------
    TooLittle
        There are no four weeks of readings yet.
    """
    read = logbook.readings["read_at"].dropna()
    local_now = logbook.on.tz_convert(logbook.settings.timezone).tz_localize(None)
    last = local_now.normalize() - pd.Timedelta(days=local_now.weekday())
    back = [n for n in range(weeks) if n < CLOSE_WEEKS or n % 2 == 0]
    days = [last - pd.Timedelta(weeks=n) for n in back]
    stamps = [moment_at(day, logbook.settings.timezone) for day in days[::-1]]
    first = read.min() + pd.Timedelta(days=FIRST_DAYS) if len(read) else pd.Timestamp.max
    past = [t for t in stamps if len(read) and t >= first]
    if not past:
        raise TooLittle(
            "readings: there are no four weeks of readings yet, so no forecast can be set beside "
            "what followed. Ask again later."
        )
    return past


def keys(end: Logbook, weeks: list[pd.Timestamp]) -> dict[pd.Timestamp, str]:
    """Return a text for each week that changes when anything changes that was known by then.

    Parameters
    ----------
    end : Logbook
        The logs at the end of the record; rows of its history that were visible at a week make
        up that week's text, in any order.
    weeks : list of Timestamp

    Returns
    -------
    dict of Timestamp to str
    """
    tables = {name: _rows(frame) for name, frame in end.history.items()}
    base = repr((FORM, VERSION, end.settings))
    zone = end.settings.timezone
    return {week: _key(base, tables, week, booked_until(week, zone)) for week in weeks}


def _rows(frame: pd.DataFrame) -> tuple[pd.DataFrame, np.ndarray]:
    rows = frame.drop(columns=["log_row", "log_file", "standing", "retired"], errors="ignore")
    if "retired" in frame:
        rows = rows.assign(retired=frame["retired"])
    text = rows.astype({c: str for c in rows.columns if is_text(rows[c])})
    return frame, pd.util.hash_pandas_object(text, index=False).to_numpy(np.uint64)


def _key(
    base: str,
    tables: Mapping[str, tuple[pd.DataFrame, np.ndarray]],
    week: pd.Timestamp,
    until: pd.Timestamp,
) -> str:
    sums = []
    for name, (frame, hashes) in tables.items():
        seen = ~hide_later(LOGS[name], frame, week)
        if name == "bookings":
            seen &= ~(frame["starts"] > until).to_numpy(bool)
            seen &= ~(frame["entered_at"] > week).to_numpy(bool)
        sums.append((name, int(seen.sum()), int(hashes[seen].sum(dtype=np.uint64))))
    return blake2b(repr((base, week.isoformat(), sums)).encode(), digest_size=16).hexdigest()
