"""Looking back: which rows were there at a moment, and the settled order of a log's rows."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from corrosion.records.logbook.moments import LAST_MOMENT
from corrosion.records.logs import Log

_PLACES = ("log_row", "log_file")
_OF_THE_WRITING = ("entered_at", "entered_by")  # a second writing of an entry may differ in these


def hide_later(log: Log, frame: pd.DataFrame, on: pd.Timestamp) -> npt.NDArray[np.bool_]:
    """Rows that did not exist yet at a moment.

    Parameters
    ----------
    log : Log
        Which log; nothing is hidden of bookings, of a register only what was entered later.
    frame : DataFrame, n rows
        Its rows.
    on : Timestamp
        The moment, UTC.

    Returns
    -------
    bool array, shape (n,)
        True: it became true, or was written down, after that moment. An unknown time hides nothing.
    """
    later = np.zeros(len(frame), bool)
    if log.ahead:
        return later
    for name in {log.event_time, "entered_at"} & set(frame.columns):
        later |= np.asarray(frame[name] > on, bool)
    return later


def latest_moment(log: Log, frame: pd.DataFrame) -> pd.Timestamp | None:
    """The moment from which on nothing of a log is hidden or forgotten; None: at any moment.

    Parameters
    ----------
    log : Log
        Which log.
    frame : DataFrame, n rows
        Its rows.

    Returns
    -------
    Timestamp or None
    """
    names = {"retired"} if log.ahead else {log.event_time, "entered_at", "retired"}
    latest = [frame[name].max() for name in names & set(frame.columns)]
    known = [moment for moment in latest if pd.notna(moment)]
    return max(known, default=None)


def last_logged(log: Log, frame: pd.DataFrame) -> pd.Timestamp | None:
    """The last moment that a log knows of; None for bookings and for a log that tells of none.

    A register knows when its rows were entered, and nothing else.
    """
    if log.ahead:
        return None
    moments = [frame["entered_at"], *([frame[log.event_time]] if log.event_time else [])]
    times = pd.concat(moments).dropna()
    times = times[times < pd.Timestamp(LAST_MOMENT, tz="UTC")]  # a mistyped year is no moment
    return times.max() if len(times) else None


def settled_order(log: Log, frame: pd.DataFrame) -> npt.NDArray[np.int64]:
    """Order of the rows that depends on what they say alone, not on files and places in them.

    Parameters
    ----------
    log : Log
        Which log.
    frame : DataFrame, n rows
        Its rows.

    Returns
    -------
    int array, shape (n,)
        Positions, by event time, then by what the row is about, then by every other column.
    """
    keys = ([log.event_time] if log.event_time else []) + list(log.keys)
    ranks = [_ranks(frame[name]) for name in keys]
    order = _order_of(ranks)
    sorted_ranks = np.array([rank[order] for rank in ranks])
    same = (sorted_ranks[:, 1:] == sorted_ranks[:, :-1]).all(axis=0)
    tied = np.r_[same, False] | np.r_[False, same]
    if not tied.any():
        return order
    return _ties_broken(frame, order, tied, np.r_[0, np.cumsum(~same)])


def _order_of(ranks: list[npt.NDArray[np.int64]]) -> npt.NDArray[np.int64]:
    """Order of rows by some whole numbers, the first first; equal rows keep their order.

    Sorting is most of the work: once by one number, where all fit into one.
    """
    first, one, room = [int(rank.min(initial=0)) for rank in ranks], ranks[0] * 0, 1
    for rank, low in zip(ranks, first, strict=True):
        span = int(rank.max(initial=0)) - low + 1
        room *= span
        if room > np.iinfo(np.int64).max:
            return np.lexsort(ranks[::-1])
        one = one * span + (rank - low)
    return np.argsort(one, kind="stable")


def written_again(rows: pd.DataFrame) -> npt.NDArray[np.bool_]:
    """Rows that are one entry written more than once, such as by a copy laid over the log.

    Parameters
    ----------
    rows : DataFrame, n rows
        A log in its settled order.

    Returns
    -------
    bool array, shape (n,)
        True: a row before it has the same `entry_id` and says the same. What was written under
        one `entry_id` with other values stays, and is objected to elsewhere.
    """
    ids = rows["entry_id"]
    shared = (ids.notna() & ids.duplicated(keep=False)).to_numpy()
    again = np.zeros(len(rows), bool)
    if shared.any():
        says = rows[shared].drop(columns=[*_OF_THE_WRITING, *_PLACES])
        ranks = pd.DataFrame({name: _ranks(says[name]) for name in says.columns})
        again[shared] = ranks.duplicated().to_numpy()
    return again


def _ties_broken(
    frame: pd.DataFrame,
    order: npt.NDArray[np.int64],
    tied: npt.NDArray[np.bool_],
    group: npt.NDArray[np.int64],
) -> npt.NDArray[np.int64]:
    rows = order[tied]
    rest = frame.iloc[rows]
    ranks = [_ranks(rest[name]) for name in rest.columns if name not in _PLACES]
    broken = np.lexsort([*ranks[::-1], group[tied]])
    settled = order.copy()
    settled[tied] = rows[broken]
    return settled


def _ranks(values: pd.Series[Any]) -> npt.NDArray[np.int64]:
    """Rank of each value among the distinct ones, -1 for unknown."""
    if isinstance(values.dtype, pd.DatetimeTZDtype):
        return np.asarray(values.astype("int64"))
    if values.dtype == object and pd.api.types.infer_dtype(values) not in ("string", "empty"):
        values = values.where(values.isna(), values.map(repr))  # a list has no rank, its text has
    return np.asarray(pd.factorize(values, sort=True)[0], np.int64)
