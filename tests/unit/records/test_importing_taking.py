"""Facts about what an import takes: spreadsheets, rows set aside, second times, the command."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from openpyxl import Workbook

from corrosion.command_line import main
from corrosion.common.errors import LogMissing, LogRefused
from corrosion.records import operator
from corrosion.records.importing import Options, import_rows, propose
from corrosion.records.logbook import read_fleet
from tests.unit.records.tables_kept import column, fleet_at, proposed, taken, times

pytestmark = pytest.mark.slow


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return fleet_at(tmp_path)


# --- spreadsheets and Parquet ---------------------------------------------------------------


def workbook(*sheets: tuple[str, list[list[object]]]) -> bytes:
    book = Workbook()
    book.remove(book.worksheets[0])
    for name, rows in sheets:
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    packed = io.BytesIO()
    book.save(packed)
    return packed.getvalue()


def test_a_spreadsheet_is_read_with_its_own_dates_numbers_and_empty_cells(folder: Path) -> None:
    when = pd.Timestamp("2031-04-03 14:30").to_pydatetime()
    rows: list[list[object]] = [
        [],
        ["hull_id", "position", "read_at", "size_mm", "removed"],
        [12, "pencil", when, 1.234, True],
        [None, None, None, None, None],
        ["H2", "pencil", "3.4.2031 15:00", "8,1", None],
    ]
    content = workbook(("notes", [["nothing"], ["here"]]), ("looks", rows))
    proposal = propose(folder, "readings", content, "t.xlsx", Options(sheet="looks", unit="mm"))
    assert proposal.raw.sheets == ("notes", "looks")
    import_rows(folder, proposal, operator("office"))
    assert column(folder, "hull_id") == ["12", "H2"]
    assert column(folder, "size_mm") == [1.234, 8.1]
    assert column(folder, "read_at")[0] == pd.Timestamp("2031-04-03T13:30Z")
    assert proposal.raw.lines == [3, 5]


def test_a_sheet_that_is_not_there_is_refused_with_those_that_are(folder: Path) -> None:
    content = workbook(("looks", [["hull_id"], ["H1"]]))
    with pytest.raises(LogRefused, match=r"has no sheet other\. Its sheets: looks"):
        propose(folder, "readings", content, "t.xlsx", Options(sheet="other"))


def test_parquet_of_another_program_is_imported_too(folder: Path) -> None:
    when = pa.array([pd.Timestamp("2031-05-02T14:30Z")])
    table = pa.table({"hull_id": [7], "position": ["pencil"], "read_at": when, "size_mm": [8.25]})
    packed = io.BytesIO()
    pq.write_table(table, packed)
    proposal = propose(folder, "readings", packed.getvalue(), "t.parquet")
    assert import_rows(folder, proposal, operator("office")).taken == 1
    assert column(folder, "size_mm") == [8.25]


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"", "is empty"),
        (b"hull_id,position\n", "has headings and no row below them"),
        (b"PK\x03\x04 torn", "is not a whole spreadsheet"),
        (b"PAR1 torn", "is not a whole Parquet file"),
        (b"\xd0\xcf\x11\xe0 old", "is a spreadsheet of an old kind"),
        (b"a,b\n\x00,1\n", "is no table of text"),
        (b"a\x81b,c\n1,2\n", "is no text that can be read"),
        (b'a,b\n"' + b"x" * 140_000 + b'",1\n', "line 2 is not CSV"),
    ],
)
def test_what_is_no_table_is_refused(folder: Path, content: bytes, why: str) -> None:
    with pytest.raises(LogRefused, match=why):
        propose(folder, "readings", content, "some/where/t.csv")


def test_an_unknown_log_or_folder_is_refused(folder: Path) -> None:
    with pytest.raises(LogMissing, match="there is no such log"):
        propose(folder, "diary", b"a,b\n1,2\n", "t.csv")
    with pytest.raises(LogMissing, match="there is no such folder"):
        propose(folder / "gone", "readings", b"a,b\n1,2\n", "t.csv")


# --- taking ---------------------------------------------------------------------------------

MIXED = times("2031-05-02 14:30", "2031-05-03 14:30", "2031-05-03 14:30") + (
    "H1,pencil,soon,8.5\n,plate,2031-05-04 10:00,8.5\nH1,plate,2031-05-05 10:00,8.5,=1+1\n"
)


def test_rows_that_do_not_fit_go_to_a_file_that_is_mended_and_imported_again(folder: Path) -> None:
    done = taken(folder, MIXED)
    assert (done.taken, done.already, list(done.aside["line"])) == (3, 0, [5, 6, 7])
    assert done.aside_file is not None
    assert done.aside_file.parent == folder
    aside = done.aside_file.read_text("utf-8-sig")
    assert aside.splitlines()[:2] == [
        "hull_id,position,read_at,size_mm,reason",
        "H1,pencil,soon,8.5,read_at is no time (soon)",
    ]
    mended = aside.replace("soon", "2031-05-06 10:00").replace("\n,plate", "\nH2,plate")
    again = taken(folder, mended)
    assert (again.taken, len(again.aside)) == (3, 0)
    assert sorted(column(folder, "size_mm")) == [8.0, 8.1, 8.2, 8.5, 8.5, 8.5]


def test_a_second_import_of_the_same_file_adds_nothing(folder: Path) -> None:
    first, files = taken(folder, MIXED), sorted(folder.rglob("*"))
    second = taken(folder, MIXED)
    assert (second.taken, second.already) == (0, first.taken)
    assert sorted(folder.rglob("*")) == files


def test_two_lines_that_say_the_same_are_two_rows_and_stay_two(folder: Path) -> None:
    text = times("2031-05-02 14:30") + "H1,pencil,2031-05-02 14:30,8.0\n"
    assert taken(folder, text).taken == 2
    assert (taken(folder, text).taken, len(column(folder, "size_mm"))) == (0, 2)


def test_a_longer_table_adds_its_new_lines_alone(folder: Path) -> None:
    taken(folder, times("2031-05-02 14:30"))
    assert taken(folder, times("2031-05-02 14:30", "2031-05-03 14:30")).taken == 1


def test_a_trial_says_the_same_and_writes_nothing(folder: Path) -> None:
    before = sorted(folder.rglob("*"))
    trial = import_rows(folder, proposed(folder, MIXED), operator("office"), dry_run=True)
    assert sorted(folder.rglob("*")) == before
    done = taken(folder, MIXED)
    assert (trial.taken, len(trial.aside)) == (done.taken, len(done.aside))


def test_imported_rows_count_from_when_they_happened(folder: Path) -> None:
    taken(folder, times("2031-05-02 14:30", "2031-05-20 14:30"))
    assert len(read_fleet(folder, "2031-05-10").readings) == 1


def test_a_number_that_nobody_knows_is_no_reason_to_set_a_row_aside(folder: Path) -> None:
    text = "hull_id,started,ended,engine_hours\nH1,2031-05-01T10:00Z,2031-05-01T12:00Z,\n"
    assert taken(folder, text, "outings").taken == 1


def test_rows_later_than_the_moment_that_is_said_are_set_aside(folder: Path) -> None:
    proposal = proposed(folder, times("2031-05-02 14:30", "2031-05-20 14:30"))
    done = import_rows(
        folder, proposal, operator("office"), until=pd.Timestamp("2031-05-10T00:00Z")
    )
    assert (done.taken, list(done.aside["line"])) == (1, [3])


# --- the command ----------------------------------------------------------------------------


def test_the_command_prints_what_was_taken_and_what_was_not(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = folder.parent / "looks.csv"
    file.write_text(MIXED, encoding="utf-8")
    words = ["import", str(folder), "readings", str(file)]
    assert main([*words, "--dry-run"]) == 0
    assert "A trial: nothing was written." in capsys.readouterr().err
    assert main([*words, "--format", "json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert [(row["outcome"], row["rows"]) for row in printed[:2]] == [
        ("taken", 3),
        ("there already", 0),
    ]
    assert [row["reason"] for row in printed[2:]] == [
        "read_at is no time",
        "hull_id is missing",
        "it has more cells than there are headings",
    ]


def test_the_command_refuses_what_it_would_have_to_guess(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = folder.parent / "looks.csv"
    file.write_text(times("03/04/2031"), encoding="utf-8")
    words = ["import", str(folder), "readings", str(file)]
    assert main(words) == 1
    assert "--day-first or --month-first" in capsys.readouterr().err
    assert main([*words, "--day-first", "--map", "size_mm=size_mm", "--by", "office"]) == 0


def test_the_command_understands_maps_and_zones_or_says_so(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for wrong in (["--map", "hull"], ["--timezone", "Mars/Base"]):
        with pytest.raises(SystemExit, match="2"):
            main(["import", str(folder), "readings", "x.csv", *wrong])
    assert main(["import", str(folder), "readings", str(folder / "none.csv")]) == 1
    assert "cannot be opened" in capsys.readouterr().err
