"""Naming: what a row is called, so that any row can be corrected, also one without an `entry_id`.

A row without one is called by what it says: `row-` and a digest of its cells. The digest knows
nothing of files, of the order of rows or of when one looks, so the name stays when logs are copied,
split, joined or cut. Rows that say exactly the same are told apart by a number: `row-...-2`.
"""

from __future__ import annotations

from hashlib import blake2b
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from corrosion.records.logs import LOGS, Log

BY_CONTENT = "row-"

# `retired` is hidden from those who look from before it, and a name must not depend on that
_NOT_SAID = frozenset({"entry_id", "retired"})
_ODD = np.uint64(0x9E3779B97F4A7C15)  # spreads the bits of a cell over the whole number
_HALF = np.uint64(29)

_Hashes = npt.NDArray[np.uint64]


def entry_names(
    log: str | Log, history: pd.DataFrame, asked: npt.NDArray[np.bool_] | None = None
) -> pd.Series[str]:
    """Name of each row of a log, as `corrects` takes it.

    Parameters
    ----------
    log : str or Log
        The log.
    history : DataFrame, n rows
        All its rows as read (`Logbook.history[log]`), not only those that stand: rows that say the
        same are numbered in their order there.
    asked : array of bool, length n, optional
        The rows that are to be named; all where it is left out.

    Returns
    -------
    Series of str, with the index of the rows asked
        The `entry_id` where there is one; else `row-` and 16 hexadecimal digits.
    """
    log = LOGS[log] if isinstance(log, str) else log
    bare = history["entry_id"].isna().to_numpy()
    if asked is None:
        asked = np.ones(len(history), bool)
        unnamed = alike = bare
    else:
        unnamed = bare & asked
        alike = bare & _may_say_the_same(log, history, unnamed)
    names = history.loc[asked, "entry_id"].astype(object)
    if unnamed.any():
        names[unnamed[asked]] = _by_content(log, history[alike], unnamed[alike])
    return names


def _may_say_the_same(
    log: Log, history: pd.DataFrame, asked: npt.NDArray[np.bool_]
) -> npt.NDArray[np.bool_]:
    """Whether a row may say the same as one that is asked for: all others need no digest."""
    told_by = history[log.event_time or log.keys[0]]
    return told_by.isin(told_by[asked]).to_numpy(bool)


def _by_content(log: Log, rows: pd.DataFrame, asked: npt.NDArray[np.bool_]) -> list[str]:
    hashes = np.zeros(len(rows), np.uint64)
    for name in log.names:
        if name not in _NOT_SAID:
            cells = rows[name]
            mixed = _mixed(_bits(cells) ^ np.uint64(_text_hash(name)))
            hashes += np.where(cells.notna().to_numpy(bool), mixed, np.uint64(0))
    nth = pd.Series(hashes).groupby(hashes).cumcount().to_numpy()
    return [
        f"{BY_CONTENT}{value:016x}" + (f"-{again + 1}" if again else "")
        for value, again in zip(hashes[asked].tolist(), nth[asked].tolist(), strict=True)
    ]


def _mixed(bits: _Hashes) -> _Hashes:
    bits = bits * _ODD
    bits ^= bits >> _HALF
    return bits * _ODD


def _bits(cells: pd.Series[Any]) -> _Hashes:
    """What each cell says as 64 bits; anything for unknown ones."""
    if isinstance(cells.dtype, pd.DatetimeTZDtype):
        return cells.astype("int64").to_numpy().view(np.uint64)
    if cells.dtype == "boolean":
        return cells.fillna(False).to_numpy(bool).astype(np.uint64) + np.uint64(1)
    if cells.dtype == float:
        return (cells.to_numpy() + 0.0).view(np.uint64)  # minus zero is zero
    codes, distinct = pd.factorize(cells)
    hashes = np.array([*map(_text_hash, distinct), 0], np.uint64)
    return hashes[codes]


def _text_hash(text: object) -> int:
    return int.from_bytes(blake2b(str(text).encode(), digest_size=8).digest(), "little")
