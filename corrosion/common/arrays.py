"""Arrays and moments as numbers: the types, and hours since 1970, that every sum is made in."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

Floats = npt.NDArray[np.float64]
Codes = npt.NDArray[np.intp]
Marks = npt.NDArray[np.uint64]

HOURS_A_DAY = 24.0
YEAR_DAYS = 365.25
"""A year on average: what seasons turn by and yearly rates are for."""
YEAR_H = YEAR_DAYS * HOURS_A_DAY
MONTH_H = YEAR_H / 12
WHOLE_YEAR_DAYS = 365
"""Whole days of "the last year" and of "within a year" in answers."""

Z80, Z95 = 1.2815515655446004, 1.959963984540054
"""Standard deviations within which 80 and 95 % of normal values lie."""


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


def rows_that_differ(*columns: npt.NDArray[Any]) -> tuple[Codes, Codes]:
    """Find the rows of a table that differ.

    Parameters
    ----------
    *columns : ndarray, each of shape (n,); an unknown number differs from every other

    Returns
    -------
    tuple of two ndarray of int
        The place of the first of each, shape (u,), in ascending order of the columns, the last
        column first; and which of them each row is, shape (n,).
    """
    order = np.lexsort(columns)
    differs = np.zeros(order.size, dtype=bool)
    differs[:1] = True
    for column in columns:
        ordered = column[order]
        differs[1:] |= ordered[1:] != ordered[:-1]
    row = np.empty(order.size, dtype=np.intp)
    row[order] = np.cumsum(differs) - 1
    return order[differs], row


ODD = tuple(
    np.uint64(each)
    for each in (0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9, 0x27D4EB2F165667C5)
)
"""Odd numbers without a pattern, which spread what they multiply over all bits."""


def marks_of_rows(*columns: npt.NDArray[Any]) -> Marks:
    """Return a number for each row: the same for rows that are the same, to the last bit.

    Parameters
    ----------
    *columns : ndarray of numbers, each of shape (n,)

    Returns
    -------
    ndarray of uint64, shape (n,)
        Of rows that differ anywhere another one, but for one chance in 2**64.
    """
    mark = np.zeros(columns[0].size, dtype=np.uint64)
    for place, column in enumerate(columns):
        bits = np.ascontiguousarray(column, dtype=np.float64).view(np.uint64)
        mark = (mark ^ bits) * ODD[place % len(ODD)] + np.uint64(place + 1)
        mark ^= mark >> np.uint64(29)
    return mark


def marks_added(marks: Marks, group: Codes, turn: Codes, groups: int) -> Marks:
    """Add marks up by group, each told apart by its turn in it.

    Parameters
    ----------
    marks : ndarray of uint64, shape (n,)
    group, turn : ndarray of int, shape (n,)
    groups : int

    Returns
    -------
    ndarray of uint64, shape (groups,), whatever the order of the rows
    """
    total = np.zeros(groups, dtype=np.uint64)
    np.add.at(total, group, marks_of_rows(marks.view(np.float64), turn))
    return total


def rows_taken(table: pd.DataFrame, order: npt.NDArray[np.integer[Any]]) -> pd.DataFrame:
    """Return chosen rows of a table in a new order, numbered anew.

    A log has many columns that nobody keeps: one that is unknown throughout is the same in any
    order, and is handed on where as many rows are taken as there are.

    Parameters
    ----------
    table : DataFrame, n rows
    order : ndarray of int, shape (m,), places in it

    Returns
    -------
    DataFrame, m rows, RangeIndex
    """
    if order.size == len(table) and (order == np.arange(order.size)).all():
        return table.reset_index(drop=True)
    same = order.size == len(table)
    columns = {name: _taken(column, order, same) for name, column in table.items()}
    # each column stays a block of its own, or all of them were copied once more
    return pd.DataFrame(columns, index=pd.RangeIndex(order.size), copy=False)


def _taken(column: pd.Series, order: npt.NDArray[np.integer[Any]], same: bool) -> pd.Series:
    """Take rows of a column; where `same`, all of them, in another order."""
    if order.size and is_one_cell(column):
        return one_cell(column.array[:1], order.size)
    if same and _is_all_unknown(column):
        return column.copy(deep=False).reset_index(drop=True)
    return pd.Series(column.array.take(order), dtype=column.dtype, copy=False)


def one_cell(cell: pd.api.extensions.ExtensionArray | npt.ArrayLike, rows: int) -> pd.Series:
    """Return a column that says the same in every row, and takes the room of one cell.

    Parameters
    ----------
    cell : array of one cell
    rows : int

    Returns
    -------
    Series of n rows, RangeIndex; not to be written into
    """
    values = np.asarray(cell)
    return pd.Series(np.broadcast_to(values, rows), dtype=values.dtype, copy=False)


def is_one_cell(column: pd.Series) -> bool:
    """Whether a column was made by `one_cell`, and so says the same in every row."""
    values = column.to_numpy() if isinstance(column.dtype, np.dtype) else np.zeros(1)
    return values.strides == (0,)


def _is_all_unknown(column: pd.Series) -> bool:
    ends = column.iloc[[0, -1]] if len(column) else column
    return bool(ends.isna().all() and column.isna().all())


def is_text(column: pd.Series) -> bool:
    """Whether a column holds text, or things of any kind: pandas 2 and 3 call its type differently.

    Parameters
    ----------
    column : Series

    Returns
    -------
    bool
        True for dtype `object` and for every dtype of strings.
    """
    return column.dtype == object or isinstance(column.dtype, pd.StringDtype)


def central_slopes(function: Callable[[Floats], Floats], at: Floats, step: float) -> Floats:
    """Return the slopes of a function of p numbers by central differences.

    Parameters
    ----------
    function : callable, from shape (p,) to any shape
    at : ndarray, shape (p,)
    step : float, how far to either side

    Returns
    -------
    ndarray, shape (p, ...), one row a number
    """
    rows = [
        (function(at + one) - function(at - one)) / (2 * step) for one in step * np.eye(at.size)
    ]
    return np.array(rows)
