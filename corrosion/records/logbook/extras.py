"""Extra columns: what a fleet keeps beside the contract, carried along as it came."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa

from corrosion.records.logbook.texts import plain_array, written

Rows = npt.NDArray[np.int64]

OURS = ("log_row", "log_file", "standing")  # names that reading gives to its own columns


def extra_columns(groups: list[tuple[Rows, pa.Table]]) -> dict[str, pd.Series[Any]]:
    """Extra columns of a log over all its files.

    Parameters
    ----------
    groups : list of (positions, Table)
        Files of one kind: the positions of their rows in the log, and their extra columns.

    Returns
    -------
    dict of str to Series, length n
        A type that all files share where there is one, else text; unknown where a file lacks it.
        A name that reading needs for itself gets `given_` before it.
    """
    names = dict.fromkeys(name for _, table in groups for name in table.column_names)
    return {f"given_{name}" if name in OURS else name: _joined(name, groups) for name in names}


def _joined(name: str, groups: list[tuple[Rows, pa.Table]]) -> pd.Series[Any]:
    parts = [
        _plain(table[name]) if name in table.column_names else pa.nulls(len(rows))
        for rows, table in groups
    ]
    order = np.argsort(np.concatenate([rows for rows, _ in groups]), kind="stable")
    return _as_column(_one_type(parts)).iloc[order].reset_index(drop=True)


def in_log_order(parts: list[pd.Series[Any]], rows: list[Rows]) -> pd.Series[Any]:
    """Parts of one column put back where their rows are in the log."""
    if len(parts) == 1:
        return parts[0]
    joined = pd.concat(parts, ignore_index=True)
    return joined.iloc[np.argsort(np.concatenate(rows), kind="stable")].reset_index(drop=True)


def _plain(given: pa.ChunkedArray) -> pa.Array:
    plain = plain_array(given)
    if pa.types.is_timestamp(plain.type) and plain.type.tz is not None:
        return plain.cast(pa.timestamp(plain.type.unit, "UTC"))
    return plain


def _one_type(parts: list[pa.Array]) -> pa.Array:
    tables = [pa.table({"x": part}) for part in parts]
    try:
        return pa.concat_tables(tables, promote_options="permissive")["x"].combine_chunks()
    except pa.ArrowException:
        return pa.array([_text(cell) for part in parts for cell in part], pa.string())


def _as_column(values: pa.Array) -> pd.Series[Any]:
    try:
        column = pd.Series(values.to_pandas())
    except (pa.ArrowException, ValueError, OverflowError):
        column = pd.Series([_text(cell) for cell in values], dtype=object)
    return column


def _text(cell: pa.Scalar) -> str | None:
    return written(cell) if cell.is_valid else None
