"""Log files: which Parquet files are a log, and their rows as one table."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq

from corrosion.errors import LogRefused
from corrosion.logbook.columns import Objects, Read, read_column, unknown_column
from corrosion.logbook.extras import Rows, extra_columns, in_log_order
from corrosion.logs import Column, Log

ROW, FILE = "log_row", "log_file"
_WORTH_THREADS_BYTES = 1_000_000  # below, starting them costs more than they save (measured)


@dataclass(frozen=True)
class Aside:
    """Something to say about cells of one column.

    Attributes
    ----------
    rule : str
        Short name of what was met; `unreadable` is a cell of another kind than the column.
    column : str
        The column.
    rows : int array, shape (m,)
        Positions of the rows in question.
    shown : object array, shape (m,)
        What was written there (text), where the table no longer shows it; else None.
    """

    rule: str
    column: str
    rows: npt.NDArray[np.int64]
    shown: Objects


@dataclass(frozen=True)
class LogRows:
    """A log as read: its rows in file order, and what was met on the way.

    Attributes
    ----------
    frame : DataFrame, n rows
        Every column of the contract, extra columns, then `log_row` and `log_file`.
    asides : list of Aside
        In the order of the columns; positions are those of `frame`.
    """

    frame: pd.DataFrame
    asides: list[Aside] = field(default_factory=list)


def log_files(folder: Path, log: str) -> list[Path]:
    """Files of a log in name order: `<log>/*.parquet` and `<log>.parquet`, hidden ones left out."""
    found = [path for path in visible_files(folder, log) if path.suffix == ".parquet"]
    return sorted(found, key=lambda path: path.relative_to(folder).as_posix())


def visible_files(folder: Path, log: str) -> Iterator[Path]:
    """Everything that lies where a log's files lie, names that start with `.` or `_` left out."""
    try:
        for place in (folder / log, folder / f"{log}.parquet"):
            inside = place.iterdir() if place.is_dir() else [place] if place.exists() else []
            yield from (path for path in inside if not path.name.startswith((".", "_")))
    except OSError as error:
        raise LogRefused(
            f"{log}: {place} cannot be opened ({error.strerror}). Check who may read it."
        ) from error


def read_log(folder: Path, log: Log, zone: ZoneInfo) -> LogRows:
    """Read all files of a log.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    log : Log
        Which log.
    zone : ZoneInfo
        Zone of times that carry none.

    Returns
    -------
    LogRows
        No rows where there are no files.

    Raises
    ------
    LogRefused
        A file is not Parquet, lacks a required column, or holds cells of another kind.
    """
    files = log_files(folder, log.name)
    names = [path.relative_to(folder).as_posix() for path in files]
    tables = [_read_file(path, log) for path in files]
    counts = [table.num_rows for table in tables]
    origin = np.repeat(np.array(names, object), counts)
    groups = [_read_group(log, rows, table, zone) for rows, table in _alike(tables)]
    columns = {column.name: _column(column, groups) for column in log}
    columns |= extra_columns([(group.rows, group.extras) for group in groups])
    columns[ROW] = pd.Series(np.arange(len(origin), dtype="int64"))
    columns[FILE] = pd.Series(origin, dtype=object)
    asides = [aside for group in groups for aside in group.asides]
    return LogRows(pd.DataFrame(columns), asides)


def _read_file(path: Path, log: Log) -> pa.Table:
    where = f"{log.name}: {path.name}"
    try:
        with pq.ParquetFile(path) as file:
            table = file.read(use_threads=path.stat().st_size > _WORTH_THREADS_BYTES)
        table.validate(full=True)  # text that is no UTF-8 is found here, not in the middle of it
    except (OSError, pa.ArrowException, ValueError) as error:
        reason = str(error).splitlines()[0][:120] if str(error) else type(error).__name__
        raise LogRefused(
            f"{where} is not a whole Parquet file ({reason}). "
            "Copy it again or move it out of the folder."
        ) from error
    if len(set(table.column_names)) < table.num_columns:
        raise LogRefused(f"{where} holds two columns of the same name. Write it again with one.")
    _refuse_missing(where, log, table)
    return pa.table(dict(zip(table.column_names, table.columns, strict=True)))  # the cells alone


def _refuse_missing(where: str, log: Log, table: pa.Table) -> None:
    missing = [name for name in log.required if name not in table.column_names]
    if missing and (table.num_rows or table.num_columns):
        raise LogRefused(
            f"{where} has no column {', '.join(missing)} ({table.num_rows} rows; it has "
            f"{', '.join(table.column_names[:12]) or 'none'}). Add it, or rename the one meant."
        )


def _alike(tables: list[pa.Table]) -> Iterator[tuple[Rows, pa.Table]]:
    """Files with the same columns and types joined, with the position of each row in the log."""
    kinds: dict[frozenset[tuple[str, Any]], list[tuple[Rows, pa.Table]]] = {}
    begin = 0
    for table in tables:
        rows = np.arange(begin, begin + table.num_rows, dtype="int64")
        begin += table.num_rows
        key = frozenset((column.name, column.type) for column in table.schema)
        if table.num_rows:
            kinds.setdefault(key, []).append((rows, table))
    for same in kinds.values():
        names = same[0][1].column_names
        joined = pa.concat_tables([table.select(names) for _, table in same])
        yield np.concatenate([rows for rows, _ in same]), joined


@dataclass(frozen=True)
class _Group:
    """Files of one kind: positions of their rows, contract columns as read, extra columns."""

    rows: Rows
    columns: dict[str, Read]
    extras: pa.Table
    asides: list[Aside]


def _read_group(log: Log, rows: Rows, table: pa.Table, zone: ZoneInfo) -> _Group:
    given = [column for column in log if column.name in table.column_names]
    reads = {column.name: read_column(column, table[column.name], zone) for column in given}
    extras = table.drop_columns([column.name for column in given])
    asides = [aside for name, read in reads.items() for aside in _asides(name, read, rows)]
    return _Group(rows, reads, extras, asides)


def _asides(name: str, read: Read, rows: Rows) -> Iterator[Aside]:
    unreadable = {"unreadable": read.unreadable} if read.unreadable.any() else {}
    for rule, cells in (unreadable | dict(read.asides)).items():
        shown = np.full(int(cells.sum()), None, object) if read.shown is None else read.shown[cells]
        yield Aside(rule, name, rows[cells], shown)


def _column(column: Column, groups: list[_Group]) -> pd.Series[Any]:
    """One column over all files, in log order."""
    if not groups:
        return unknown_column(column, 0)
    parts = [
        group.columns[column.name].values
        if column.name in group.columns
        else unknown_column(column, len(group.rows))
        for group in groups
    ]
    return in_log_order(parts, [group.rows for group in groups])


def placed(asides: list[Aside], order: Rows, total: int) -> list[Aside]:
    """Asides of the rows that are left, at their new places.

    Parameters
    ----------
    asides : list of Aside
        With positions among `total` rows.
    order : int array, shape (n,)
        The old position of each row that is left, in the new order.
    total : int
        How many rows there were.

    Returns
    -------
    list of Aside
        Rows ascending; asides without a row left are gone.
    """
    place = np.full(total, -1, np.int64)
    place[order] = np.arange(len(order))
    moved = []
    for aside in asides:
        new = place[aside.rows]
        left = np.argsort(new, kind="stable")[np.count_nonzero(new < 0) :]
        if len(left):
            moved.append(Aside(aside.rule, aside.column, new[left], aside.shown[left]))
    return _merged(moved)


def _merged(asides: list[Aside]) -> list[Aside]:
    """One aside per rule and column, however many kinds of files it was met in."""
    kinds: dict[tuple[str, str], list[Aside]] = {}
    for aside in asides:
        kinds.setdefault((aside.column, aside.rule), []).append(aside)
    merged = []
    for (column, rule), same in kinds.items():
        rows = np.concatenate([aside.rows for aside in same])
        order = np.argsort(rows, kind="stable")
        shown = np.concatenate([aside.shown for aside in same])[order]
        merged.append(Aside(rule, column, rows[order], shown))
    return merged
