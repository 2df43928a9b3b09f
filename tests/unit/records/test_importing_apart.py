"""A packed file is read in a process of its own: what it unpacks into is nobody else's trouble."""

from __future__ import annotations

import io
import sys
import time
from datetime import datetime
from threading import Thread

import pyarrow as pa
import pytest
from openpyxl import Workbook

from corrosion.common.errors import LogRefused
from corrosion.records.importing import reading_apart
from corrosion.records.importing.raw import Raw, read_raw
from corrosion.records.importing.reading_apart import read_file
from tests.unit.records.test_importing_bounds import parquet_of, sheet_of

pytestmark = pytest.mark.slow  # a process for each file

# read in the pages' own process, a spreadsheet of millions of rows took 1.6 s of it (measured)
MOST_OWN_CPU_S = 0.5


def workbook() -> bytes:
    book = Workbook()
    rows = book.active
    assert rows is not None
    for row in (
        ["Boat", "Date", "Size", "Done", ""],
        ["H1", datetime(2031, 5, 2, 14, 30), 8.5, True, None],
        ["=1+1", "2 May 2031", "8,5", None, "more than the headings"],
    ):
        rows.append(row)
    book.create_sheet("second").append(["Boat"])
    packed = io.BytesIO()
    book.save(packed)
    return packed.getvalue()


def refused(content: bytes, match: str) -> None:
    """Refuse it, with next to no work of this process, in which the pages run."""
    began = time.process_time()
    with pytest.raises(LogRefused, match=match):
        read_file(content, "table.xlsx")
    assert time.process_time() - began < MOST_OWN_CPU_S


@pytest.mark.parametrize(
    "content",
    [
        workbook(),
        parquet_of(hull_id=pa.array(["H1", None, "H 3"]), size_mm=pa.array([8.5, None, 7.0])),
        ("Boat;Size\n" + "H1;8,5;odd\n" * 100_000).encode(),
    ],
)
def test_read_apart_a_file_says_the_same(content: bytes) -> None:
    apart = read_file(content, "table")
    assert isinstance(apart, Raw)
    assert apart == read_raw(content, "table")


def test_a_refusal_from_there_is_said_as_it_is() -> None:
    with pytest.raises(LogRefused, match=r"has no sheet third\. Its sheets: Sheet, second"):
        read_file(workbook(), "table.xlsx", "third")
    with pytest.raises(LogRefused, match=r"table\.xlsx: is not a whole spreadsheet"):
        read_file(b"PK no spreadsheet", "somewhere/table.xlsx")


def test_millions_of_rows_packed_small_cost_the_pages_nothing() -> None:
    content = sheet_of("<row/>" * 4_000_000)
    assert len(content) < 654_000
    refused(content, "300,000 rows")


def test_a_parquet_file_of_nulls_costs_the_pages_nothing() -> None:
    refused(parquet_of(hull_id=pa.nulls(60_000_000, pa.string())), "300,000 rows")


@pytest.mark.skipif(sys.platform == "win32", reason="there the system knows no such limits")
@pytest.mark.parametrize(
    ("bound", "most", "match"),
    [
        ("MOST_MEMORY_BYTES", 1_000_000, "takes more than 1 MB of memory to read. Split it"),
        ("MOST_CPU_S", 1, "takes more than 1 s of work to read. Split it"),
    ],
)
def test_what_takes_more_than_its_bounds_is_ended_and_refused(
    monkeypatch: pytest.MonkeyPatch, bound: str, most: int, match: str
) -> None:
    monkeypatch.setattr(reading_apart, bound, most)
    rows = "".join(f'<row r="{n}"><c r="A{n}"><v>{n}</v></c></row>' for n in range(1, 250_000))
    refused(sheet_of(rows), match)


def test_a_process_that_is_never_done_is_not_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reading_apart, "MOST_WAIT_S", 0.01)
    with pytest.raises(LogRefused, match="minutes to read"):
        read_file(workbook(), "table.xlsx")


def test_few_files_are_read_at_once() -> None:
    done: list[Raw] = []
    with reading_apart._AT_ONCE, reading_apart._AT_ONCE:  # two others are being read
        third = Thread(target=lambda: done.append(read_file(workbook(), "table.xlsx")))
        third.start()
        third.join(0.5)
        assert third.is_alive()
    third.join(60)
    assert len(done) == 1
