"""Texts: cells as text, whatever type they came in, each distinct text looked at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from corrosion.records.logbook.moments import Cells

_EXACT = 2.0**53  # whole numbers beyond it are no longer exact in a float


def plain_array(given: pa.ChunkedArray) -> pa.Array:
    """One array without the wrapping that writers put around values (dictionaries, extensions)."""
    kind = given.type
    if isinstance(kind, pa.BaseExtensionType):
        given = pa.chunked_array([chunk.storage for chunk in given.chunks], kind.storage_type)
        return plain_array(given)
    if pa.types.is_dictionary(kind):
        return plain_array(given.cast(kind.value_type))
    if pa.types.is_run_end_encoded(kind):
        return plain_array(pc.run_end_decode(given))
    if _is_textual(kind):
        given = given.cast(pa.string())
    return given.combine_chunks() if given.num_chunks != 1 else given.chunk(0)


def _is_textual(kind: pa.DataType) -> bool:
    return bool(pa.types.is_large_string(kind) or pa.types.is_string_view(kind))


def is_bytes(kind: pa.DataType) -> bool:
    """True for text that a writer did not mark as text."""
    return bool(
        pa.types.is_binary(kind) or pa.types.is_large_binary(kind) or pa.types.is_binary_view(kind)
    )


def as_text(given: pa.Array) -> pa.Array | None:
    """Cells as text, whole numbers without a decimal point; None where they have no text."""
    kind = given.type
    if pa.types.is_fixed_size_binary(kind):
        return _names_from_bytes(given)
    if pa.types.is_floating(kind):
        return _text_of_floats(given)
    if pa.types.is_nested(kind):
        return None
    try:
        return (given.cast(pa.binary()) if is_bytes(kind) else given).cast(pa.string())
    except (pa.ArrowInvalid, pa.ArrowNotImplementedError):
        return None


def written(cell: pa.Scalar) -> str:
    """A cell as a person would find it in the file, or its type where Python has no such value."""
    try:
        return str(cell.as_py())
    except (ValueError, KeyError, OverflowError, pa.ArrowException):  # a zone or year of its own
        return f"a {cell.type}"


def _names_from_bytes(given: pa.Array) -> pa.Array | None:
    """Sixteen bytes are how Parquet stores a UUID."""
    if given.type.byte_width != 16:
        return None
    raw = given.to_pylist()
    return pa.array([None if b is None else str(UUID(bytes=b)) for b in raw], pa.string())


def _text_of_floats(given: pa.Array) -> pa.Array:
    values = given.cast(pa.float64())
    known = pc.and_(values.is_valid(), pc.invert(pc.is_nan(values)))
    values = pc.if_else(known, values, pa.scalar(None, pa.float64()))
    whole = pc.and_(pc.equal(values, pc.floor(values)), pc.less(pc.abs(values), _EXACT))
    numbers = pc.if_else(whole, values, pa.scalar(0.0)).cast(pa.int64())
    return pc.if_else(whole, numbers.cast(pa.string()), values.cast(pa.string()))


@dataclass(frozen=True)
class Written:
    """Text cells as their distinct values (trimmed) and a number per cell, -1 for unknown."""

    distinct: pa.Array
    numbers: npt.NDArray[np.int64]

    @property
    def known(self) -> Cells:
        """Cells that hold a text, shape (n,)."""
        return self.numbers >= 0

    def spread(self, values: npt.ArrayLike, unknown: object, kind: type) -> npt.NDArray[Any]:
        """One value per distinct text, spread over the cells."""
        padded: npt.NDArray[Any] = np.empty(len(self.distinct) + 1, kind)
        padded[:-1] = values
        padded[-1] = unknown
        return padded[self.numbers]

    def map(self, change: Callable[[str], object], unknown: object, kind: type) -> npt.NDArray[Any]:
        """Change each distinct text once, and spread the results over the cells."""
        values: npt.NDArray[Any] = np.empty(len(self.distinct), kind)
        values[:] = [change(text) for text in self.distinct.to_pylist()]
        return self.spread(values, unknown, kind)


def unique_text(text: pa.Array, tidy: Callable[[pa.Array], pa.Array] | None = None) -> Written:
    """Distinct texts of a column, tidied; a text of blanks alone is unknown."""
    coded = text.dictionary_encode()
    tidied = coded.dictionary if tidy is None else tidy(coded.dictionary)
    distinct = pc.utf8_trim_whitespace(tidied)
    numbers = np.asarray(coded.indices.fill_null(-1).to_numpy(zero_copy_only=False), np.int64)
    empty = np.append(pc.equal(distinct, "").to_numpy(zero_copy_only=False), False)
    return Written(distinct, np.where(empty[numbers], -1, numbers))
