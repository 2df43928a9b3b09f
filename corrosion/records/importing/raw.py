"""Raw: a file's cells as text, before anybody says what they mean: CSV, a spreadsheet, Parquet.

Notes
-----
CSV is read by the standard library and not by pandas: a bad row is named by its line in the file,
which pandas does not tell where a cell runs over lines; it passes over rows with a cell too many or
stops at them, where one is a question; and it reads a whole file before anything can be counted.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import PurePath

from corrosion.common import LogRefused
from corrosion.records.importing.bounded import counted, refuse_bytes
from corrosion.records.importing.tables_in import parquet_cells, spreadsheet_cells

DELIMITERS = (",", ";", "\t", "|")
_SAMPLE_LINES = 60
_OLD_SPREADSHEET = b"\xd0\xcf\x11\xe0"
# what an export puts before text that a spreadsheet would run; it is not part of the text
_APOSTROPHE = re.compile(r"^'(?=\s*[=+\-@\t\r])")


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: its text, and whether the file itself says what kind of thing it is."""

    text: str
    typed: bool = False


@dataclass(frozen=True)
class Raw:
    """A file as it came.

    Attributes
    ----------
    name : str
        Its name.
    headings : tuple of str
        One per column, each once.
    rows : list of tuple of (Cell or None)
        Rows that are not empty; as many cells as there are headings.
    lines : list of int
        Where each row stands in the file, from 1.
    odd : dict of int to str
        Position in `rows` to the reason why that row can't be taken as it is laid out.
    sheet : str
        The sheet that was read; empty for other files.
    sheets : tuple of str
        All sheets.
    """

    name: str
    headings: tuple[str, ...]
    rows: list[tuple[Cell | None, ...]]
    lines: list[int]
    odd: dict[int, str] = field(default_factory=dict)
    sheet: str = ""
    sheets: tuple[str, ...] = ()

    def column(self, heading: str) -> list[Cell | None]:
        """Cells below a heading."""
        at = self.headings.index(heading)
        return [row[at] for row in self.rows]


_Line = tuple[int, Sequence[Cell | None]]


def read_raw(content: bytes, name: str, sheet: str | None = None) -> Raw:
    """Read a file's cells.

    Parameters
    ----------
    content : bytes
        The file.
    name : str
        Its name, for messages.
    sheet : str, optional
        Which sheet of a spreadsheet.

    Returns
    -------
    Raw
        What a file is shows in its first bytes, not in its name.

    Raises
    ------
    LogRefused
        It can't be read, or holds no row below its headings.
    """
    name = PurePath(name).name or "the file"
    refuse_bytes(name, len(content))
    if content[:4] == _OLD_SPREADSHEET:
        raise LogRefused(f"{name}: is a spreadsheet of an old kind. Save it as .xlsx or as CSV.")
    if content[:4] == b"PAR1":
        return _laid_out(name, _typed(parquet_cells(content, name)))
    if content[:2] == b"PK":
        used, sheets, cells = spreadsheet_cells(content, name, sheet)
        return _laid_out(name, _typed(cells), used, sheets)
    return _laid_out(name, _csv_lines(_decoded(content, name), name))


def _typed(rows: Iterable[Sequence[str | tuple[str] | None]]) -> Iterator[_Line]:
    """Cells of a file that knows kinds: a text alone is text, a text in a tuple is of a kind."""
    for number, row in enumerate(rows, start=1):
        yield (
            number,
            [
                Cell(cell[0], True) if isinstance(cell, tuple) else _as_cell(cell or "")
                for cell in row
            ],
        )


def _as_cell(text: str) -> Cell | None:
    text = _APOSTROPHE.sub("", text.strip())
    return Cell(text) if text else None


def _decoded(content: bytes, name: str) -> str:
    """The text of a file; without a mark UTF-8, else what office programs of the West write."""
    marks = {b"\xef\xbb\xbf": "utf-8-sig", b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16"}
    marked = [code for mark, code in marks.items() if content.startswith(mark)]
    for code in marked or ("utf-8", "cp1252"):
        try:
            return content.decode(code)
        except UnicodeDecodeError:
            continue
    raise LogRefused(f"{name}: is no text that can be read. Save it as CSV in UTF-8.")


def _csv_lines(text: str, name: str) -> Iterator[_Line]:
    hint = re.match(r"sep=(.)\r?\n", text)
    delimiter = hint[1] if hint else _delimiter(text)
    text = text[hint.end() :] if hint else text
    if "\x00" in text:
        raise LogRefused(f"{name}: is no table of text. Save it as CSV in UTF-8 or as .xlsx.")
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        for row in counted(reader, name):
            yield reader.line_num + bool(hint), [_as_cell(cell) for cell in row]
    except csv.Error as error:
        raise LogRefused(
            f"{name}: line {reader.line_num} is not CSV ({error}). Save it again as CSV."
        ) from error


def _delimiter(text: str) -> str:
    """The mark that cuts most lines of the file into equally many cells, more than one."""
    sample = "\n".join(text.splitlines()[:_SAMPLE_LINES])
    scores = {mark: _cuts(sample, mark) for mark in DELIMITERS}
    return max(DELIMITERS, key=lambda mark: scores[mark])


def _cuts(sample: str, mark: str) -> tuple[float, int]:
    """Share of lines with as many cells as the first, if that is more than one; how many cells."""
    try:
        rows = [row for row in csv.reader(io.StringIO(sample, newline=""), delimiter=mark) if row]
    except csv.Error:
        return (0.0, 0)
    if not rows or len(rows[0]) < 2:
        return (0.0, 0)
    return (sum(len(row) == len(rows[0]) for row in rows) / len(rows), len(rows[0]))


def _laid_out(
    name: str, lines: Iterable[_Line], sheet: str = "", sheets: tuple[str, ...] = ()
) -> Raw:
    """Headings from the first row that is not empty, then the rows below."""
    filled = [(number, row) for number, row in lines if any(row)]
    if not filled:
        raise LogRefused(f"{name}: is empty. A table needs headings and rows below them.")
    given = [cell.text if cell else "" for cell in filled[0][1]]
    while given and not given[-1]:  # a mark at the end of each line makes no column
        given.pop()
    headings = _each_once(given)
    rows: list[tuple[Cell | None, ...]] = []
    odd: dict[int, str] = {}
    numbers: list[int] = []
    for number, row in filled[1:]:
        if any(row[len(headings) :]):
            odd[len(rows)] = "it has more cells than there are headings"
        rows.append(tuple([*row, *[None] * len(headings)][: len(headings)]))
        numbers.append(number)
    if not rows:
        raise LogRefused(f"{name}: has headings and no row below them. Nothing can be taken.")
    return Raw(name, headings, rows, numbers, odd, sheet, sheets)


def _each_once(given: Sequence[str]) -> tuple[str, ...]:
    """Headings, one without a name called by its place, one used again with a number."""
    names: list[str] = []
    for at, heading in enumerate(given, start=1):
        name = " ".join(heading.split()) or f"column {at}"
        again, number = name, 2
        while again in names:
            again, number = f"{name} ({number})", number + 1
        names.append(again)
    return tuple(names)
