"""Columns: the cells of one column as the dictionary means them, whatever type they came in."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from corrosion.common import one_cell
from corrosion.records.logbook.moments import Cells, read_moments, stamps
from corrosion.records.logbook.texts import as_text, is_bytes, plain_array, unique_text, written
from corrosion.records.logs import Column

Objects = npt.NDArray[np.object_]

_YES = frozenset({"yes", "y", "true", "t", "1", "1.0"})
_NO = frozenset({"no", "n", "false", "f", "0", "0.0"})
_BREAKS = r"\s*[\x00-\x1f\x7f\x{85}\x{2028}\x{2029}]+\s*"


@dataclass(frozen=True)
class Read:
    """One column as read, n rows.

    Attributes
    ----------
    values : Series, length n
        Contract dtype: object (str or None), float64, datetime64[us, UTC] or boolean.
    unreadable : bool array, shape (n,)
        Cells that hold something else than the column's kind; unknown in `values`.
    asides : mapping of str to bool array, shape (n,)
        Rule to the cells about which there is something to say; only rules that met a cell.
    shown : object array, shape (n,), or None
        What was written, where `values` no longer shows it.
    """

    values: pd.Series[Any]
    unreadable: Cells
    asides: Mapping[str, Cells] = field(default_factory=dict)
    shown: Objects | None = None


def read_column(column: Column, given: pa.ChunkedArray, zone: ZoneInfo) -> Read:
    """Read the cells of one column.

    Parameters
    ----------
    column : Column
        What the column means.
    given : pyarrow ChunkedArray, length n
        Cells as they came; any type.
    zone : ZoneInfo
        Zone of times that carry none.

    Returns
    -------
    Read
        A cell that cannot be read is unknown and marked, never guessed.
    """
    plain = plain_array(given)
    if column.kind in ("moment", "date"):
        return _read_times(column, plain, zone)
    if column.kind == "number":
        return _read_numbers(plain)
    text = as_text(plain)
    if text is None:
        return _nothing_readable(column, plain)
    return _TEXT_READERS[column.kind](column, text)


def unknown_column(column: Column, rows: int) -> pd.Series[Any]:
    """A column that nobody kept, `rows` unknown cells (or what a missing cell stands for)."""
    one = _unknown_cell(column)
    if isinstance(one.dtype, np.dtype):
        return one_cell(one.to_numpy(), rows)
    return pd.Series(one.array.repeat(rows))


@cache
def _unknown_cell(column: Column) -> pd.Series[Any]:
    """One unknown cell; the columns of the contract are few, and most logs lack some."""
    return read_column(column, pa.chunked_array([pa.nulls(1)]), ZoneInfo("UTC")).values


def _nothing_readable(column: Column, given: pa.Array) -> Read:
    known = np.asarray(given.is_valid().to_numpy(zero_copy_only=False), bool)
    shown = np.array([written(cell) for cell in given], object)
    return Read(unknown_column(column, len(given)), known, shown=shown)


def _read_times(column: Column, given: pa.Array, zone: ZoneInfo) -> Read:
    text = as_text(given) if is_bytes(given.type) else None
    read = read_moments(given if text is None else text, zone)
    naive = read.naive & _off_midnight(given) if column.kind == "date" else read.naive
    asides = {
        "naive-time": naive,
        "time-twice": read.twice,
        "time-skipped": read.skipped,
        "no-such-time": read.beyond,
    }
    met = {rule: cells for rule, cells in asides.items() if cells.any()}
    return Read(stamps(read.times), read.unreadable, met, _shown(given, read.unreadable))


def _off_midnight(given: pa.Array) -> Cells:
    """Cells of a date column that say more than a date; at midnight a timestamp is one."""
    if not pa.types.is_timestamp(given.type):
        return np.ones(len(given), bool)
    clock = given.cast(pa.timestamp(given.type.unit)).to_numpy(zero_copy_only=False)
    return np.asarray(clock != clock.astype("datetime64[D]"), bool)


def _shown(given: pa.Array, unreadable: Cells) -> Objects | None:
    if not unreadable.any():
        return None
    shown = np.full(len(given), None, object)
    shown[unreadable] = [written(cell) for cell in given.filter(pa.array(unreadable))]
    return shown


def _read_numbers(given: pa.Array) -> Read:
    kind = given.type
    numeric = pa.types.is_integer(kind) or pa.types.is_floating(kind) or pa.types.is_decimal(kind)
    if numeric or pa.types.is_null(kind):
        values = given.cast(pa.float64(), safe=False).to_numpy(zero_copy_only=False)
        return _finite(np.array(values, float), np.zeros(len(given), bool), None)
    text = None if pa.types.is_boolean(kind) else as_text(given)
    if text is None or pa.types.is_temporal(kind):
        return _nothing_readable(Column("", "number", "", ""), given)
    texts = unique_text(text)
    numbers = texts.map(_number, np.nan, float)
    unreadable = texts.known & np.isnan(numbers) & ~texts.map(_says_nan, False, bool)
    return _finite(numbers, unreadable, _shown(text, unreadable))


def _number(text: str) -> float:
    try:
        return float(text) if "_" not in text else np.nan
    except ValueError:
        return np.nan


def _says_nan(text: str) -> bool:
    return text.lower() == "nan"


def _finite(values: npt.NDArray[np.float64], unreadable: Cells, shown: Objects | None) -> Read:
    infinite = np.isinf(values)
    if not infinite.any():
        return Read(pd.Series(values), unreadable, shown=shown)
    shown = np.full(len(values), None, object) if shown is None else shown
    shown[infinite] = "infinite"
    values[infinite] = np.nan
    return Read(pd.Series(values), unreadable, {"not-finite": infinite}, shown)


def _read_text(column: Column, text: pa.Array) -> Read:
    texts = unique_text(text, _on_one_line if column.kind == "id" else None)
    through_float = pc.any(pc.match_substring(texts.distinct, ".0")).as_py()
    if column.kind == "id" and through_float:
        values = texts.map(_plain_id, None, object)
    else:
        values = texts.spread(texts.distinct.to_numpy(zero_copy_only=False), None, object)
    return Read(pd.Series(values, dtype=object), np.zeros(len(text), bool))


def _on_one_line(text: pa.Array) -> pa.Array:
    """Names with a blank where a line was broken or a character stood that nobody sees."""
    broken = pc.any(pc.match_substring_regex(text, _BREAKS)).as_py()
    return pc.replace_substring_regex(text, _BREAKS, " ") if broken else text


def _plain_id(cell: str) -> str:
    """A whole number that passed through a float column loses its `.0`."""
    return cell[: cell.index(".")] if re.fullmatch(r"-?\d+\.0+", cell) else cell


def _read_words(column: Column, text: pa.Array) -> Read:
    texts = unique_text(text)
    allowed = {_bare(word): word for word in column.words} | _flag_words(column)
    values = texts.map(lambda cell: allowed.get(_bare(cell)), None, object)
    strange = texts.known & pd.isna(values)
    values[~texts.known] = column.if_missing or None
    asides = {"unknown-word": strange} if strange.any() else {}
    none = np.zeros(len(text), bool)
    return Read(pd.Series(values, dtype=object), none, asides, _shown(text, strange))


def _bare(word: str) -> str:
    return re.sub(r"[\s_-]", "", word).casefold()


def _flag_words(column: Column) -> dict[str, str]:
    """A yes-or-no column that came as true and false, or 1 and 0."""
    if not {"yes", "no"} <= set(column.words):
        return {}
    return dict.fromkeys(_YES, "yes") | dict.fromkeys(_NO, "no")


def _read_flags(column: Column, text: pa.Array) -> Read:
    texts = unique_text(text)
    flags = texts.map(_said, None, object)
    unreadable = texts.known & pd.isna(flags)
    values = pd.Series(pd.array(flags, dtype="boolean"))
    return Read(values, np.asarray(unreadable, bool), shown=_shown(text, unreadable))


def _said(cell: str) -> bool | None:
    word = cell.casefold()
    return True if word in _YES else False if word in _NO else None


_TEXT_READERS: dict[str, Callable[[Column, pa.Array], Read]] = {
    "id": _read_text,
    "text": _read_text,
    "word": _read_words,
    "flag": _read_flags,
}
