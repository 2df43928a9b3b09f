"""Entering: rows that somebody wants to write, held against the column dictionary first.

Reading forgives what stands in old logs and says so; writing does not. What a row may not say is
refused here, before a file is touched.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pyarrow as pa

from corrosion.common import LogRefused
from corrosion.records.logbook.columns import Read, read_column, unknown_column
from corrosion.records.logbook.extras import OURS
from corrosion.records.logbook.moments import Cells, clock_text
from corrosion.records.logbook.notices import HOW_TO_WRITE, WANTED
from corrosion.records.logbook.texts import written
from corrosion.records.logs import Column, Kind, Log

ARROW_TYPES: Mapping[Kind, pa.DataType] = {
    "id": pa.string(),
    "text": pa.string(),
    "word": pa.string(),
    "number": pa.float64(),
    "moment": pa.timestamp("us", "UTC"),
    "date": pa.timestamp("us", "UTC"),
    "flag": pa.bool_(),
}

_NEVER: Mapping[str, tuple[str, str]] = {
    "not-finite": ("is infinite", "Write a finite number, or leave the cell empty."),
    "no-such-time": ("lies outside 1900 to 2200", "Write the year with four digits."),
    "time-skipped": (
        "never was on the clock that day, which was put forward",
        "Write the time that the clock showed.",
    ),
    "time-twice": (
        "was on the clock twice that day, which was put back",
        "Write which one with its offset, such as 2031-10-26T02:30+02:00.",
    ),
}


def checked_rows(log: Log, rows: pd.DataFrame, zone: ZoneInfo) -> pd.DataFrame:
    """Rows as the dictionary means them, or a refusal.

    Parameters
    ----------
    log : Log
        The log that they are for.
    rows : DataFrame, n rows
        Columns of the log, in any order and of any type that reads as the column's kind; further
        columns are kept. Times without a zone are the fleet's.
    zone : ZoneInfo
        The fleet's zone.

    Returns
    -------
    DataFrame, n rows
        Every column of the log in its order and dtype, then further columns.

    Raises
    ------
    LogRefused
        A cell is not of its column's kind, a word is not one of the column's, a number is endless,
        a time is outside the calendar or not one moment, or a cell that is needed is empty (a
        row that strikes out another needs none).
    """
    given = rows.drop(columns=[name for name in OURS if name in rows.columns])
    given.columns = [str(name) for name in given.columns]
    twice = given.columns[given.columns.duplicated()]
    if len(twice):
        raise LogRefused(f"{log.name}: two columns are called {twice[0]}. Give each one once.")
    reads = {
        column.name: read_column(column, pa.chunked_array([cells_of(given[column.name])]), zone)
        for column in log
        if column.name in given
    }
    known = {column.name: _values(column, reads, len(given)) for column in log}
    frame = pd.DataFrame(known, index=pd.RangeIndex(len(given)))
    for column in log:
        _refuse_cells(log, column, reads.get(column.name), frame, zone)
    _refuse_empty(log, frame, zone)
    extras = {name: _extra(given[name]) for name in given.columns if name not in known}
    return frame.assign(**{name: cells for name, cells in extras.items() if cells is not None})


def _values(column: Column, reads: Mapping[str, Read], rows: int) -> pd.Series[Any]:
    return reads[column.name].values if column.name in reads else unknown_column(column, rows)


def cells_of(column: pd.Series[Any]) -> pa.Array:
    """A column as Arrow cells; one of mixed things as text, each time with the zone it carries."""
    if column.dtype != object:
        return pa.array(column, from_pandas=True)
    cells = [_cell(value) for value in column]
    try:
        return pa.array(cells, from_pandas=True)
    except (pa.ArrowException, ValueError, OverflowError):
        return pa.array([None if cell is None else str(cell) for cell in cells], pa.string())


def _cell(value: Any) -> Any:
    if value is None or value is pd.NA or value is pd.NaT:
        return None
    if isinstance(value, float) and np.isnan(value):
        return None
    return value.isoformat() if isinstance(value, datetime) else value


def _extra(column: pd.Series[Any]) -> pd.Series[Any] | None:
    """A further column in a type that every reader takes; None when nothing is in it."""
    cells = cells_of(column)
    kind = cells.type
    if cells.null_count == len(cells):
        return None
    if pa.types.is_boolean(kind):
        return pd.Series(pd.array(cells.to_pylist(), dtype="boolean"))
    if pa.types.is_integer(kind) or pa.types.is_floating(kind):
        return pd.Series(cells.cast(pa.float64(), safe=False).to_numpy(zero_copy_only=False))
    if pa.types.is_timestamp(kind) and kind.tz is not None:
        return pd.Series(cells.cast(pa.timestamp("us", "UTC"), safe=False).to_pandas())
    return pd.Series([written(cell) if cell.is_valid else None for cell in cells], dtype=object)


def _refuse_cells(
    log: Log, column: Column, read: Read | None, frame: pd.DataFrame, zone: ZoneInfo
) -> None:
    """Refuse the column for the first kind of cell that may not be written."""
    if read is None:
        return
    if read.unreadable.any():
        is_not, advice = f"is not {WANTED[column.kind]}", HOW_TO_WRITE[column.kind]
        raise _refusal(log, column.name, read.unreadable, (is_not, advice), frame, zone, read)
    for rule, cells in read.asides.items():
        if rule == "unknown-word":
            words = f"one of {', '.join(column.words)}"
            raise _refusal(
                log, column.name, cells, (f"is not {words}", f"Write {words}."), frame, zone, read
            )
        if rule in _NEVER:
            raise _refusal(log, column.name, cells, _NEVER[rule], frame, zone, read)


def needed_cells(log: Log) -> tuple[str, ...]:
    """Columns that a row of a log has to say something in; a number may be unknown in any."""
    return tuple(column.name for column in log if column.required and column.kind != "number")


def _refuse_empty(log: Log, frame: pd.DataFrame, zone: ZoneInfo) -> None:
    striking = frame["void"].fillna(False).to_numpy(bool) & frame["corrects"].notna().to_numpy()
    for name in needed_cells(log):
        empty = frame[name].isna().to_numpy() & ~striking
        if empty.any():
            raise _refusal(log, name, empty, ("is missing", "Fill it in."), frame, zone)


def _refusal(
    log: Log,
    column: str,
    cells: Cells,
    what: tuple[str, str],
    frame: pd.DataFrame,
    zone: ZoneInfo,
    read: Read | None = None,
) -> LogRefused:
    row = int(np.flatnonzero(cells)[0])
    shown = None if read is None else read.shown
    value = frame[column].iloc[row] if shown is None or shown[row] is None else shown[row]
    about = [str(frame[key].iloc[row]) for key in log.keys if frame[key].iloc[row] is not None]
    parts = [] if value is None or pd.isna(value) else [f"{column} {_told(value, zone)}"]
    first = ", ".join([f"row {row + 1}", *about, *parts])
    count = "1 row" if cells.sum() == 1 else f"{cells.sum()} rows"
    return LogRefused(f"{log.name}: {count} where {column} {what[0]} (first: {first}). {what[1]}")


def _told(value: object, zone: ZoneInfo) -> str:
    text = (
        clock_text(value, zone) if isinstance(value, pd.Timestamp) else " ".join(str(value).split())
    )
    return text if len(text) <= 40 else f"{text[:37]}..."


def as_table(log: Log, frame: pd.DataFrame) -> pa.Table:
    """Checked rows in the types of the contract, every column of the log there."""
    kinds = {column.name: ARROW_TYPES[column.kind] for column in log}
    cells = {
        name: pa.array(frame[name], kinds.get(name), from_pandas=True) for name in frame.columns
    }
    return pa.table(cells)
