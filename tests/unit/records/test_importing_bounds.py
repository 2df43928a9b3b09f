"""An import is bounded before it is read, and no row passes for another."""

from __future__ import annotations

import io
import os
import tracemalloc
import zipfile
from pathlib import Path
from threading import Thread

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from corrosion.command_line import main
from corrosion.common.errors import LogRefused
from corrosion.records import operator, read_fleet, read_settings
from corrosion.records.importing import Imported, import_rows, propose
from corrosion.records.importing.bounded import MOST_CELLS, MOST_ROWS
from tests.unit.records.tables_kept import (
    HEAD,
    ON,
    column,
    fleet_at,
    proposed,
    questions,
    taken,
)

MOST_PEAK_BYTES = 300_000_000


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return fleet_at(tmp_path)


def sheet_of(rows: str) -> bytes:
    """A workbook whose only sheet has these rows, written by hand: no writer would write them."""
    kind = "http://schemas.openxmlformats.org/"
    main_of = f'xmlns="{kind}spreadsheetml/2006/main"'
    office = f"{kind}officeDocument/2006/relationships"
    inside = {
        "[Content_Types].xml": f'<Types xmlns="{kind}package/2006/content-types">'
        '<Default Extension="xml" ContentType="application/vnd.openxmlformats-officedocument.'
        'spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/s.xml" ContentType="'
        'application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>',
        "_rels/.rels": f'<Relationships xmlns="{kind}package/2006/relationships"><Relationship '
        f'Id="r" Type="{office}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook {main_of}><sheets><sheet name="a" sheetId="1" '
        f'xmlns:r="{office}" r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{kind}package/2006/relationships">'
        f'<Relationship Id="r1" Type="{office}/worksheet" Target="worksheets/s.xml"/>'
        "</Relationships>",
        "xl/worksheets/s.xml": f'<worksheet {main_of}><dimension ref="A1:XFD1048576"/>'
        f"<sheetData>{rows}</sheetData></worksheet>",
    }
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as book:
        for name, text in inside.items():
            book.writestr(name, text)
    return packed.getvalue()


def parquet_of(**columns: pa.Array) -> bytes:
    packed = io.BytesIO()
    pq.write_table(pa.table(columns), packed)
    return packed.getvalue()


def refused_within_bounds(folder: Path, content: bytes, match: str) -> None:
    tracemalloc.start()
    held = pa.total_allocated_bytes()
    try:
        with pytest.raises(LogRefused, match=match):
            propose(folder, "readings", content, "t")
        assert tracemalloc.get_traced_memory()[1] < MOST_PEAK_BYTES
        assert pa.total_allocated_bytes() - held < MOST_PEAK_BYTES
    finally:
        tracemalloc.stop()


@pytest.mark.slow
def test_a_small_spreadsheet_of_very_many_rows_is_refused_before_it_is_read(folder: Path) -> None:
    content = sheet_of("<row/>" * (MOST_ROWS + 5000))
    assert len(content) < 20_000
    refused_within_bounds(folder, content, "300,000 rows")


@pytest.mark.slow
def test_rows_that_a_spreadsheet_passes_over_are_counted(folder: Path) -> None:
    cell = '<c r="A{0}" t="inlineStr"><is><t>x</t></is></c>'
    content = sheet_of("".join(f'<row r="{n}">{cell.format(n)}</row>' for n in (1, 1_048_576)))
    refused_within_bounds(folder, content, "300,000 rows")


def test_a_small_parquet_file_of_very_many_nulls_is_refused_before_it_is_read(
    folder: Path,
) -> None:
    content = parquet_of(hull_id=pa.nulls(20_000_000, pa.string()))
    assert len(content) < 100_000
    refused_within_bounds(folder, content, "300,000 rows")


@pytest.mark.slow
def test_many_cells_and_long_texts_are_refused_too(folder: Path) -> None:
    wide = {f"c{n}": pa.nulls(MOST_CELLS // 100, pa.string()) for n in range(101)}
    refused_within_bounds(folder, parquet_of(**wide), "3,000,000 cells")
    long = pa.array(["x" * 1_000_000]).dictionary_encode()
    again = pa.DictionaryArray.from_arrays(pa.array([0] * 100_000, pa.int32()), long.dictionary)
    refused_within_bounds(folder, parquet_of(note=again.cast(long.type)), "200 MB")


@pytest.mark.slow
def test_a_csv_file_of_empty_lines_is_refused(folder: Path) -> None:
    refused_within_bounds(folder, b"hull_id\n" + b"\n" * (MOST_ROWS + 10), "300,000 rows")


def test_a_log_file_of_endless_nulls_is_refused(folder: Path) -> None:
    nulls = parquet_of(**{name: pa.nulls(60_000_000) for name in ("hull_id", "x", "y", "z")})
    (folder / "flushes").mkdir()
    (folder / "flushes" / "a.parquet").write_bytes(nulls)
    with pytest.raises(LogRefused, match="60,000,000 rows"):
        read_fleet(folder, ON)


# --- what is no plain file ------------------------------------------------------------------


def answered_in_time(words: list[str]) -> int:
    code: list[int] = []
    run = Thread(target=lambda: code.append(main(words)), daemon=True)
    run.start()
    run.join(60)
    assert code, "it waits for a pipe that nobody writes into"
    return code[0]


@pytest.mark.parametrize("name", ["flushes.parquet", "flushes/a.parquet", "fleet.toml", "flushes"])
@pytest.mark.parametrize("kind", ["pipe", "dangling link", "folder"])
def test_what_is_no_plain_file_is_refused_at_once(
    folder: Path, name: str, kind: str, capsys: pytest.CaptureFixture[str]
) -> None:
    path = folder / name
    path.parent.mkdir(exist_ok=True)
    path.unlink(missing_ok=True)
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "dangling link":
        path.symlink_to(folder / "nowhere")
    elif name in ("flushes", "flushes.parquet"):
        pytest.skip("a folder may be a log")
    else:
        path.mkdir()
    assert answered_in_time(["check", str(folder)]) == 1
    refusal = capsys.readouterr().err
    assert path.name in refusal
    assert len(refusal.splitlines()) == 1


def test_a_pipe_is_not_waited_for_by_an_import(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    os.mkfifo(folder / "table.csv")
    words = ["import", str(folder), "readings", str(folder / "table.csv")]
    assert answered_in_time(words) == 1
    assert "no plain file" in capsys.readouterr().err


def test_settings_behind_a_link_that_leads_somewhere_are_read(folder: Path, tmp_path: Path) -> None:
    (folder / "fleet.toml").rename(tmp_path / "kept.toml")
    (folder / "fleet.toml").symlink_to(tmp_path / "kept.toml")
    assert read_settings(folder).timezone.key == "Europe/Lisbon"


# --- the same row, or another under its name -------------------------------------------------

NAMED = "entry_id," + HEAD
ROW = "e1,H1,pencil,2031-05-01T10:00Z,8.5\n"
EDITED = "e1,H1,pencil,2031-05-01T10:00Z,8.2\n"
OTHER = "e1,H2,pencil,2031-05-03T10:00Z,7.9\n"


def test_the_same_row_under_its_name_is_there_already(folder: Path) -> None:
    taken(folder, NAMED + ROW)
    again = taken(folder, NAMED + ROW)
    assert (again.taken, again.already) == (0, 1)


@pytest.mark.parametrize("row", [EDITED, OTHER])
def test_another_row_under_a_taken_name_is_asked_about(folder: Path, row: str) -> None:
    taken(folder, NAMED + ROW)
    proposal = proposed(folder, NAMED + row)
    assert questions(proposal) == ["edited"]
    assert "Line 2" in proposal.questions[0].says
    with pytest.raises(LogRefused, match="--edited correction, new or aside"):
        import_rows(folder, proposal, operator("office"))


def test_a_name_used_twice_in_one_file_is_asked_about(folder: Path) -> None:
    assert questions(proposed(folder, NAMED + ROW + OTHER)) == ["edited"]


def test_each_answer_does_what_it_says(folder: Path) -> None:
    taken(folder, NAMED + ROW)
    aside = taken(folder, NAMED + EDITED, edited="aside")
    assert (aside.taken, aside.already, len(aside.aside)) == (0, 0, 1)
    assert "says something else" in aside.aside["reason"][0]
    assert taken(folder, NAMED + OTHER, edited="new").taken == 1
    assert sorted(column(folder, "size_mm")) == [7.9, 8.5]
    assert taken(folder, NAMED + EDITED, edited="correction").taken == 1
    assert sorted(column(folder, "size_mm")) == [7.9, 8.2]


def test_of_two_imports_at_once_one_says_taken(folder: Path) -> None:
    proposals = [proposed(folder, HEAD + "H1,pencil,2031-05-01T10:00Z,8.5\n") for _ in range(2)]
    done: list[Imported] = []
    hands = [
        Thread(target=lambda each=each: done.append(import_rows(folder, each, operator("office"))))
        for each in proposals
    ]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()
    assert sorted((each.taken, each.already) for each in done) == [(0, 1), (1, 0)]
    assert len(column(folder, "size_mm")) == 1
