"""Tables in: cells of spreadsheets and Parquet files, which know what kind of thing a cell is."""

from __future__ import annotations

import io
import warnings
import zipfile
from collections.abc import Iterator, Sequence
from datetime import date, datetime, time
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq

from corrosion.common import LogRefused
from corrosion.records.logbook.texts import plain_array, written

MOST_UNPACKED_BYTES = 500_000_000  # a packed file may hold a thousand times its size

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
        if sum(entry.file_size for entry in packed.infolist()) > MOST_UNPACKED_BYTES:
            raise LogRefused(f"{name}: unpacks to more than 500 MB. Save the table as CSV.")
    book = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
    try:
        names = tuple(each.title for each in book.worksheets)
        if not names or (sheet is not None and sheet not in names):
            raise LogRefused(f"{name}: has no sheet {sheet}. Its sheets: {', '.join(names)}.")
        found = names[0] if sheet is None else sheet
        rows = book.worksheets[names.index(found)].iter_rows(values_only=True)
        return found, names, [[_given(cell) for cell in row] for row in rows]
    finally:
        book.close()


def parquet_cells(content: bytes, name: str) -> Iterator[Sequence[Given]]:
    """Headings and cells of a Parquet file.

    Raises
    ------
    LogRefused
        It is not whole.
    """
    try:
        table = pq.read_table(pa.BufferReader(content), use_threads=False)
        table.validate(full=True)
        columns = [[_arrow(cell) for cell in plain_array(column)] for column in table.columns]
    except (OSError, pa.ArrowException, ValueError, OverflowError, KeyError) as error:
        reason = str(error).splitlines()[0][:80] if str(error) else type(error).__name__
        raise LogRefused(f"{name}: is not a whole Parquet file ({reason}).") from error
    yield [str(heading) for heading in table.column_names]
    yield from zip(*columns, strict=True)


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
