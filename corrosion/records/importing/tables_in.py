"""Tables in: cells of spreadsheets and Parquet files, which know what kind of thing a cell is."""

from __future__ import annotations

import io
import warnings
import zipfile
from collections.abc import Iterator, Sequence
from datetime import date, datetime, time
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from corrosion.common import LogRefused
from corrosion.records.importing.bounded import (
    MOST_UNPACKED_BYTES,
    counted,
    refuse_bytes,
    refuse_more,
)
from corrosion.records.logbook.texts import is_bytes, plain_array, written

Given = str | tuple[str] | None  # text; something of a kind, as text; nothing


def spreadsheet_cells(
    content: bytes, name: str, sheet: str | None
) -> tuple[str, tuple[str, ...], list[Sequence[Given]]]:
    """Cells of one sheet of a workbook (.xlsx, .xlsm), values as last worked out.

    Parameters
    ----------
    content : bytes
        The workbook.
    name : str
        Its name, for messages.
    sheet : str or None
        Name of the sheet; the first when None.

    Returns
    -------
    str, tuple of str, list of rows
        The sheet read, all sheets, its rows.

    Raises
    ------
    LogRefused
        It is no workbook, or has no such sheet.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of styles and extensions that hold no cells
            return _sheet(content, name, sheet)
    except LogRefused:
        raise
    except Exception as error:  # a broken workbook breaks its reader in every way there is
        reason = f"{type(error).__name__}: {error}".splitlines()[0][:80]
        raise LogRefused(
            f"{name}: is not a whole spreadsheet ({reason}). Save it again as .xlsx or as CSV."
        ) from error


def _sheet(
    content: bytes, name: str, sheet: str | None
) -> tuple[str, tuple[str, ...], list[Sequence[Given]]]:
    from openpyxl import load_workbook  # only who imports a spreadsheet waits for it

    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        unpacked = sum(entry.file_size for entry in packed.infolist())
        refuse_bytes(name, unpacked, MOST_UNPACKED_BYTES)
    book = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
    try:
        names = tuple(each.title for each in book.worksheets)
        if not names or (sheet is not None and sheet not in names):
            raise LogRefused(f"{name}: has no sheet {sheet}. Its sheets: {', '.join(names)}.")
        chosen = names[0] if sheet is None else sheet
        rows = _rows(book.worksheets[names.index(chosen)])
        return chosen, names, [[_given(cell) for cell in row] for row in counted(rows, name)]
    finally:
        book.close()


def _rows(sheet: Any) -> Iterator[Sequence[Any]]:
    sheet.reset_dimensions()  # a sheet may say that it reaches to the last cell there can be
    rows: Iterator[Sequence[Any]] = sheet.iter_rows(values_only=True)
    return rows


def parquet_cells(content: bytes, name: str) -> Iterator[Sequence[Given]]:
    """Headings and cells of a Parquet file.

    Raises
    ------
    LogRefused
        It is not whole.
    """
    try:
        table = _bounded_table(content, name)
        table.validate(full=True)
        columns = [[_arrow(cell) for cell in plain_array(column)] for column in table.columns]
    except (OSError, pa.ArrowException, ValueError, OverflowError, KeyError) as error:
        reason = str(error).splitlines()[0][:80] if str(error) else type(error).__name__
        raise LogRefused(f"{name}: is not a whole Parquet file ({reason}).") from error
    yield [str(heading) for heading in table.column_names]
    yield from zip(*columns, strict=True)


def _bounded_table(content: bytes, name: str) -> pa.Table:
    """A Parquet file's table, read once it is known that it is small enough."""
    with pq.ParquetFile(pa.BufferReader(content)) as file:
        meta, schema = file.metadata, file.schema_arrow
        groups = [meta.row_group(at) for at in range(meta.num_row_groups)]
        refuse_more(name, meta.num_rows, meta.num_rows * len(schema), len(schema))
        refuse_bytes(name, sum(group.total_byte_size for group in groups), MOST_UNPACKED_BYTES)
        texts = [column.name for column in schema if _is_text(column.type)]
    # a text that is used again and again lies in the file once: it is not multiplied out yet
    with pq.ParquetFile(pa.BufferReader(content), read_dictionary=texts) as file:
        table = file.read(use_threads=False)
    refuse_bytes(name, sum(map(_multiplied_out, table.columns)), MOST_UNPACKED_BYTES)
    return table


def _is_text(kind: pa.DataType) -> bool:
    return bool(pa.types.is_string(kind) or pa.types.is_large_string(kind) or is_bytes(kind))


def _multiplied_out(column: pa.ChunkedArray) -> int:
    """Bytes of a column's texts, each as often as it is used."""
    if not pa.types.is_dictionary(column.type) or not _is_text(column.type.value_type):
        return int(column.nbytes)
    lengths = [
        pc.sum(pc.binary_length(chunk.dictionary).take(chunk.indices)).as_py() or 0
        for chunk in column.chunks
    ]
    return int(sum(lengths))


def _arrow(cell: pa.Scalar) -> Given:
    if not cell.is_valid:
        return None
    kind = cell.type
    if pa.types.is_timestamp(kind) and kind.tz is not None:
        cell = cell.cast(pa.timestamp("us", "UTC"), safe=False)
    elif pa.types.is_timestamp(kind):
        cell = cell.cast(pa.timestamp("us"), safe=False)
    try:
        return _given(cell.as_py())
    except (ValueError, OverflowError, KeyError, pa.ArrowException):
        return written(cell)


def _given(value: Any) -> Given:
    """A value as text; numbers with a decimal point, times as ISO 8601."""
    if value is None or isinstance(value, str):
        return value
    if isinstance(value, bool):
        return ("true" if value else "false",)
    if isinstance(value, datetime | date | time):
        return (value.isoformat(),)
    if isinstance(value, float):
        return None if value != value else (_number(value),)
    if isinstance(value, int):
        return (str(value),)
    return str(value)


def _number(value: float) -> str:
    return str(int(value)) if value.is_integer() and abs(value) < 2**53 else repr(value)
