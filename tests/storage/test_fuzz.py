"""No bytes break the log book: not a traceback, not a changed log, not a row that breaks the law.

Hypothesis makes tables as people might save them, tears and swaps bytes of files that are whole,
and throws bytes at the reader that were never a file. Whatever comes: the answer is a proposal, a
refusal in one line, or rows that the log's own reader takes without objecting to a cell.
"""

from __future__ import annotations

import io
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from corrosion.common.errors import Refusal
from corrosion.records import operator
from corrosion.records.importing import Options, import_rows, propose, proposing
from corrosion.records.importing.raw import read_raw
from corrosion.records.importing.reading_apart import read_file
from corrosion.records.logbook import append, read_fleet
from corrosion.records.logbook.entering import needed_cells
from corrosion.records.logbook.files import read_log
from corrosion.records.logs import LOGS
from tests.fleets import usual_fleet

pytestmark = pytest.mark.slow

ON = "2200-01-01"
ZONE = ZoneInfo("Europe/Lisbon")
SEEN = ("readings", "outings", "flushes", "berths", "moorings", "bookings")
many = settings(max_examples=200, suppress_health_check=[HealthCheck.too_slow])
some = settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
apart = settings(max_examples=8, suppress_health_check=[HealthCheck.too_slow])
few = settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])

logs = st.sampled_from(SEEN)
numbers = st.floats(-100, 100).map(lambda x: f"{x:.2f}") | st.sampled_from(
    ["8,5", "1.234,5", "1e999", "-", "9 mm", '0.35"', "nan", "1,2,3", "٣", "²", "1_0", "−3", "0x1"]
)
times = st.datetimes(datetime(1890, 1, 1), datetime(2210, 1, 1)).map(str) | st.sampled_from(
    [
        "03/04/2031",
        "13/04/2031",
        "2031-02-30",
        "31.12.31 24:00",
        "2031-10-26 01:30",
        "5 May 2031",
        "0001-01-01T00:00+14:00",
        "9999-12-31",
        "12:30",
        "2031-05-01T10:00+99:99",
        "01/01/0000",
    ]
)
others = st.text(max_size=8) | st.sampled_from(
    ["=1+1", "'=1", "yes", "x", "salt", "afloat", "H1", "pencil", "", " ", "\x85", "a\nb", '"', "'"]
)
cells = numbers | times | others
headings = st.sampled_from(
    [name for log in SEEN for name in LOGS[log].names]
    + ["Boat", "Date", "Time", "Size (in)", "reason", "log_row", "standing", "a+b", "", "hull_id"]
)
tables = st.lists(headings, min_size=1, max_size=7).flatmap(
    lambda heads: st.tuples(
        st.just(heads),
        st.lists(st.lists(cells, min_size=1, max_size=len(heads) + 1), min_size=1, max_size=5),
    )
)
options = st.builds(
    Options,
    decimal_comma=st.sampled_from([None, True, False]),
    day_first=st.sampled_from([None, True, False]),
    clock_twice=st.sampled_from([None, "earlier", "later"]),
    unit=st.sampled_from([None, "mm", "in"]),
)


def usual_columns(log: str) -> list[str]:
    """Headings that a table for this log needs, so that many tables come to be taken."""
    return list(LOGS[log].required)


class Fleet:
    """A fleet that every case finds as it was, and that says little of itself when a case fails."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.before = self.contents()

    def __repr__(self) -> str:
        return "fleet"

    def contents(self) -> dict[str, bytes]:
        files = (path for path in self.folder.rglob("*") if path.is_file())
        return {str(path.relative_to(self.folder)): path.read_bytes() for path in files}

    def is_as_it_was(self) -> bool:
        return self.contents() == self.before

    def keeps_what_it_had(self) -> bool:
        now = self.contents()
        return all(now.get(name) == content for name, content in self.before.items())

    def clear(self) -> None:
        """Take away what a case wrote."""
        for name in self.contents().keys() - self.before.keys():
            (self.folder / name).unlink()


@pytest.fixture(scope="module", autouse=True)
def read_here() -> Iterator[None]:
    """Read packed files without a process of their own, which would cost each case a second."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(proposing, "read_file", read_raw)
        yield


@pytest.fixture(scope="module")
def fleet() -> Iterator[Fleet]:
    with tempfile.TemporaryDirectory() as name:
        folder = usual_fleet().setting(timezone=ZONE.key).write(Path(name) / "fleet")
        yield Fleet(folder)


def as_csv(table: tuple[list[str], list[list[str]]], mark: str) -> str:
    lines = [table[0], *table[1]]
    return "\n".join(mark.join(quoted(cell, mark) for cell in line) for line in lines)


def quoted(cell: str, mark: str) -> str:
    odd = mark in cell or '"' in cell or "\n" in cell
    return '"' + cell.replace('"', '""') + '"' if odd else cell


def imported(fleet: Fleet, log: str, content: bytes, choices: Options) -> None:
    """Import into the fleet, and hold what comes of it to the law; the fleet is as it was then."""
    refusal, proposal = "", None
    try:
        proposal = propose(fleet.folder, log, content, "t", choices)
        done = import_rows(fleet.folder, proposal, operator("test"))
    except Refusal as why:
        refusal = str(why)
    if refusal or proposal is None:
        assert fleet.is_as_it_was(), "a refusal changed a file"
        assert refusal.strip()
        return
    try:
        assert fleet.keeps_what_it_had(), "a file that was there changed"
        assert done.taken + done.already + len(done.aside) == len(proposal.raw.rows)
        assert_lawful(fleet.folder, log, done.taken)
    finally:
        fleet.clear()


def assert_lawful(folder: Path, log: str, taken: int) -> None:
    """What was taken is read again without a word to say about any cell, and lacks nothing."""
    read = read_log(folder, LOGS[log], ZONE)
    assert read.asides == []
    new = read.frame[read.frame["log_file"].str.contains("/r-", na=False)]
    assert len(new) == taken
    striking = new["void"].fillna(False).to_numpy(bool) & new["corrects"].notna().to_numpy()
    assert new.loc[~striking, list(needed_cells(LOGS[log]))].notna().all().all()


@many
@given(logs, tables, st.sampled_from([",", ";", "\t", "|"]), options, st.booleans())
def test_no_table_of_text_breaks_it(
    fleet: Fleet,
    log: str,
    table: tuple[list[str], list[list[str]]],
    mark: str,
    choices: Options,
    usual: bool,
) -> None:
    heads, rows = table
    if usual:
        needed = usual_columns(log)
        heads, rows = needed + heads, [[*fitting(log), *row] for row in rows]
    text = as_csv((heads, rows), mark)
    imported(fleet, log, text.encode("utf-8", "surrogatepass"), choices)


def fitting(log: str) -> list[str]:
    """Cells that the needed columns of a log take."""
    kinds = {"moment": "2031-05-02T10:00Z", "date": "2031-05-02", "number": "1.5", "id": "H1"}
    columns = [column for column in LOGS[log] if column.required]
    return [column.words[0] if column.words else kinds[column.kind] for column in columns]


@many
@given(logs, st.binary(max_size=200), st.sampled_from([b"", b"PK\x03\x04", b"PAR1", b"\xff\xfe"]))
def test_no_bytes_break_it(fleet: Fleet, log: str, content: bytes, start: bytes) -> None:
    imported(fleet, log, start + content, Options())


def spoiled(content: bytes) -> st.SearchStrategy[bytes]:
    """A file with some bytes changed, cut short, or with bytes of its own put elsewhere."""
    places = st.integers(0, len(content) - 1)
    swap = st.lists(st.tuples(places, st.integers(0, 255)), min_size=1, max_size=6)
    return swap.map(lambda swaps: with_bytes(content, swaps)) | places.map(lambda at: content[:at])


def with_bytes(content: bytes, swaps: list[tuple[int, int]]) -> bytes:
    changed = bytearray(content)
    for at, value in swaps:
        changed[at] = value
    return bytes(changed)


def a_workbook() -> bytes:
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.append(["hull_id", "position", "read_at", "size_mm"])
    sheet.append(["H1", "pencil", datetime(2031, 5, 2, 10), 8.5])
    packed = io.BytesIO()
    book.save(packed)
    return packed.getvalue()


def a_parquet_file() -> bytes:
    cells: dict[str, Any] = {"hull_id": ["H1", "H2"], "position": ["pencil"] * 2, "size_mm": [8, 9]}
    cells["read_at"] = pa.array([datetime(2031, 5, 2), None], pa.timestamp("us", "UTC"))
    packed = io.BytesIO()
    pq.write_table(pa.table(cells), packed)
    return packed.getvalue()


@some
@given(spoiled(a_workbook()))
def test_no_spoiled_spreadsheet_breaks_it(fleet: Fleet, content: bytes) -> None:
    imported(fleet, "readings", content, Options(unit="mm"))


@few
@given(
    st.lists(
        st.lists(
            st.none()
            | st.booleans()
            | st.integers()
            | st.floats()
            | times.map(lambda t: t[:30])
            | st.datetimes(datetime(1900, 1, 2), datetime(2100, 1, 1)),
            min_size=1,
            max_size=5,
        ),
        max_size=4,
    )
)
def test_no_cells_of_a_spreadsheet_break_it(fleet: Fleet, rows: list[list[object]]) -> None:
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.append(["hull_id", "position", "read_at", "size_mm", "removed"])
    for row in rows:
        sheet.append([*["H1", "pencil"], *row])
    packed = io.BytesIO()
    book.save(packed)
    imported(fleet, "readings", packed.getvalue(), Options(day_first=True, unit="mm"))


@many
@given(spoiled(a_parquet_file()))
def test_no_spoiled_parquet_file_breaks_the_import(fleet: Fleet, content: bytes) -> None:
    imported(fleet, "readings", content, Options(unit="mm"))


@apart
@given(spoiled(a_workbook()) | spoiled(a_parquet_file()))
def test_no_spoiled_file_breaks_the_process_that_reads_it(fleet: Fleet, content: bytes) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(proposing, "read_file", read_file)
        imported(fleet, "readings", content, Options(unit="mm"))


@pytest.fixture(scope="module")
def log_of_ours() -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as name:
        folder = usual_fleet().write(Path(name) / "fleet")
        row = {"hull_id": "H1", "position": "pencil", "read_at": "2031-05-02T10:00Z"}
        append(folder, "readings", pd.DataFrame([row | {"size_mm": 8.5}]), operator("test"))
        yield folder


@some
@given(st.data())
def test_a_spoiled_file_of_a_log_is_read_or_refused_and_never_written_to(
    log_of_ours: Path, data: st.DataObject
) -> None:
    path = next((log_of_ours / "readings").glob("r-*"))
    whole = path.read_bytes()
    content = data.draw(spoiled(whole))
    path.write_bytes(content)
    try:
        with suppress(Refusal):
            read_fleet(log_of_ours, ON)
    finally:
        assert path.read_bytes() == content
        path.write_bytes(whole)
