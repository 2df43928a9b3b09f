"""Log files: the rows of all files of a log as one table, each cell as the dictionary means it."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa

from corrosion.records.logbook.columns import Objects, Read, read_column, unknown_column
from corrosion.records.logbook.contents import Contents, read_contents
from corrosion.records.logbook.extras import Rows, extra_columns, in_log_order
from corrosion.records.logs import Column, Log

ROW, FILE = "log_row", "log_file"


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
    entered : int
        When this program wrote the newest of its files, us since 1970; 0 where it wrote none.
    """

    frame: pd.DataFrame
    asides: list[Aside] = field(default_factory=list)
    entered: int = 0


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
    return rows_of(read_contents(folder, log), folder, log, zone)


def rows_of(contents: Contents, folder: Path, log: Log, zone: ZoneInfo) -> LogRows:
    """Read each cell of a log's files as the dictionary means it; as `read_log`, files in hand."""
    below = len(str(folder / "x")) - 1  # cheaper than asking each of many paths
    names = [str(path)[below:].replace(os.sep, "/") for path in contents.files]
    tables = contents.tables
    counts = [table.num_rows for table in tables]
    origin = np.repeat(np.array(names, object), counts)
    groups = [_read_group(log, rows, table, zone) for rows, table in _alike(tables)]
    columns = {column.name: _column(column, groups) for column in log}
    columns |= extra_columns([(group.rows, group.extras) for group in groups])
    columns[ROW] = pd.Series(np.arange(len(origin), dtype="int64"))
    columns[FILE] = pd.Series(origin, dtype=object)
    asides = [aside for group in groups for aside in group.asides]
    return LogRows(pd.DataFrame(columns, copy=False), asides, contents.entered)


def _alike(tables: list[pa.Table]) -> Iterator[tuple[Rows, pa.Table]]:
    """Files with the same columns and types joined, with the position of each row in the log."""
    kinds: dict[frozenset[tuple[str, Any]], list[tuple[Rows, pa.Table]]] = {}
    begin, schema, key = 0, None, frozenset[tuple[str, Any]]()
    for table in tables:
        rows = np.arange(begin, begin + table.num_rows, dtype="int64")
        begin += table.num_rows
        if schema is None or not table.schema.equals(schema):  # mostly as in the file before
            schema = table.schema
            key = frozenset((column.name, column.type) for column in schema)
        if table.num_rows:
            kinds.setdefault(key, []).append((rows, table))
    for same in kinds.values():
        names = same[0][1].column_names
        whole = [table if table.column_names == names else table.select(names) for _, table in same]
        yield np.concatenate([rows for rows, _ in same]), pa.concat_tables(whole)


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
    position = np.full(total, -1, np.int64)
    position[order] = np.arange(len(order))
    moved = []
    for aside in asides:
        new = position[aside.rows]
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
