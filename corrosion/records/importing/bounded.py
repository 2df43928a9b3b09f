"""Bounds on a file that is brought in: how much of it is read before it is refused.

A packed file may hold a thousand times its size. Rows and cells are counted while they are read,
empty ones too, so that a file costs no more memory and time than its refusal.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NoReturn, TypeVar

from corrosion.common import LogRefused

MOST_BYTES = 60_000_000
MOST_UNPACKED_BYTES = 200_000_000
MOST_ROWS = 300_000
MOST_CELLS = 3_000_000
MOST_COLUMNS = 500

Row = TypeVar("Row", bound=Sequence[Any])


def counted(rows: Iterable[Row], name: str) -> Iterator[Row]:
    """Hand rows on one by one, and refuse the file where there are too many of them.

    Parameters
    ----------
    rows : iterable of sequences, the cells of each row
    name : str, the file's

    Raises
    ------
    LogRefused
        More than `MOST_ROWS` rows, `MOST_CELLS` cells or `MOST_COLUMNS` cells in a row.
    """
    cells = 0
    for number, row in enumerate(rows, start=1):
        cells += len(row)
        refuse_more(name, number, cells, len(row))
        yield row


def refuse_more(name: str, rows: int, cells: int, columns: int) -> None:
    """Refuse a file that has so many rows, cells and columns, where that is too many."""
    if columns > MOST_COLUMNS:
        raise LogRefused(f"{name}: has {columns} columns. Save the table alone, without the rest.")
    if rows > MOST_ROWS:
        _refuse(name, f"{MOST_ROWS:,} rows, empty ones counted")
    if cells > MOST_CELLS:
        _refuse(name, f"{MOST_CELLS:,} cells, empty ones counted")


def refuse_bytes(name: str, size: int, most: int = MOST_BYTES) -> None:
    """Refuse a file of so many bytes, where that is too many."""
    if size > most:
        _refuse(name, f"{most // 1_000_000} MB")


def _refuse(name: str, what: str) -> NoReturn:
    raise LogRefused(
        f"{name}: holds more than {what}. Split it, or save the table alone, and import the parts."
    )
