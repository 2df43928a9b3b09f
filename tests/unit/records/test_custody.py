"""Facts about copies and audits: a file that is gone or changed shows, a whole copy is known."""

from __future__ import annotations

import errno
import os
import shutil
import threading
from pathlib import Path

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from corrosion.command_line import main
from corrosion.common.errors import LogMissing
from corrosion.records import operator
from corrosion.records.logbook import append, compacting, heads, read_fleet
from corrosion.records.logbook.compacting import compact
from corrosion.records.logbook.custody import file_findings, holdings
from corrosion.records.logbook.heads import Head, head_file, read_head
from corrosion.records.logbook.storing import locked
from tests.fleets import usual_fleet

NOW = pd.Timestamp("2031-05-03T12:00Z")
ON = "2031-06-01"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = usual_fleet().write(tmp_path / "fleet")
    for number in range(6):
        write(folder, number)
    return folder


def write(folder: Path, number: int, **cells: object) -> Path:
    row = {"hull_id": "H1", "position": "pencil", "read_at": f"2031-05-0{number + 1}T10:00Z"}
    rows = pd.DataFrame([row | {"size_mm": 9 - number / 10} | cells])
    written = append(folder, "readings", rows, operator("dock"), NOW + pd.Timedelta(hours=number))
    assert written.file is not None
    return written.file


def found(folder: Path) -> dict[str, int]:
    return {finding.rule: finding.rows for finding in file_findings(folder)}


def own(folder: Path) -> list[Path]:
    return sorted((folder / "readings").glob("*.parquet"), key=lambda path: path.name[2:])


def mark(folder: Path) -> str:
    table = holdings(folder).set_index("log")
    return str(table.loc["readings", "mark"])


def test_a_log_as_it_was_written_has_nothing_to_say(folder: Path) -> None:
    assert found(folder) == {}
    table = holdings(folder).set_index("log")
    assert (table.loc["readings", "files"], table.loc["readings", "rows"]) == (6, 6)
    assert set(table["odd"]) == {0}


def test_a_file_that_is_gone_is_missed_by_the_next(folder: Path) -> None:
    own(folder)[2].unlink()
    assert found(folder) == {"file-missing": 1}
    assert holdings(folder).set_index("log").loc["readings", "odd"] == 1


def test_the_newest_files_and_a_whole_log_that_are_gone_are_missed_by_the_head(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own(folder)[-1].unlink()
    assert found(folder) == {"file-missing": 1}
    own(folder)[-1].unlink()
    assert found(folder) == {"file-missing": 1}  # how many were after the last one, nobody knows
    shutil.rmtree(folder / "readings")
    assert found(folder) == {"file-missing": 1}
    assert main(["check", str(folder), "--on", ON, "--format", "csv"]) == 0
    assert "readings,file-missing,doubtful,1,r-" in capsys.readouterr().out
    assert main(["files", str(folder), "--format", "csv"]) == 0
    assert "readings,0,0," in capsys.readouterr().out


def test_a_loss_is_not_hidden_by_what_is_written_or_joined_afterwards(folder: Path) -> None:
    lost = own(folder)[-1]
    whole = lost.read_bytes()
    lost.unlink()
    for number in (6, 7):
        write(folder, number)
    assert compact(folder, "readings").joined == 7
    write(folder, 8)
    assert found(folder) == {"file-missing": 1}
    lost.write_bytes(whole)  # put back from a copy
    assert found(folder) == {}
    write(folder, 8, note="later")
    assert read_head(folder, "readings") == Head(own(folder)[-1].name)


def test_an_older_copy_put_back_over_the_folder_shows_what_was_written_since(folder: Path) -> None:
    copy = shutil.copytree(folder, folder.parent / "copy")
    write(folder, 6)
    shutil.rmtree(folder / "readings")
    shutil.copytree(copy / "readings", folder / "readings")
    assert found(folder) == {"file-missing": 1}
    assert found(copy) == {}


def test_a_head_that_lags_behind_or_could_not_be_written_tells_no_loss(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (folder / "..readings.head.part").write_bytes(b"half")  # a killed writer's
    write(folder, 6)
    assert read_head(folder, "readings") == Head(own(folder)[-1].name)

    def full(*_: object) -> Path:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(heads, "write_beside", full)
    write(folder, 7)
    assert found(folder) == {}
    compact(folder, "readings")
    assert found(folder) == {}


@pytest.mark.parametrize("content", [b"", b"{}", b'["a", [], "b"]', b"[" * 200_000, b"\xff"])
def test_a_damaged_head_is_said_and_the_next_entry_writes_another(
    folder: Path, content: bytes
) -> None:
    head_file(folder, "readings").write_bytes(content)
    assert found(folder) == {"file-changed": 1}
    write(folder, 6)
    assert found(folder) == {}


def test_what_is_exported_is_a_whole_fleet_of_its_own(folder: Path, tmp_path: Path) -> None:
    words = ["export", str(folder), "all", str(tmp_path / "out"), "--as", "parquet", "--history"]
    assert main(words) == 0
    assert found(tmp_path / "out") == {}


def test_a_cell_that_was_changed_breaks_the_seal(folder: Path) -> None:
    path = own(folder)[3]
    table = pq.read_table(path)
    sizes = pa.array([8.9], pa.float64())
    pq.write_table(table.set_column(table.column_names.index("size_mm"), "size_mm", sizes), path)
    assert found(folder) == {"file-changed": 1}


def test_a_file_that_lost_its_seal_or_took_anothers_name_shows(folder: Path) -> None:
    path = own(folder)[3]
    pq.write_table(pq.read_table(path).replace_schema_metadata(None), path)
    shutil.copy(own(folder)[0], own(folder)[1])
    assert found(folder) == {"file-changed": 2}


def test_a_damaged_file_shows(folder: Path) -> None:
    own(folder)[3].write_bytes(own(folder)[3].read_bytes()[:-40])
    assert found(folder) == {"file-changed": 1}


def test_files_joined_into_one_are_as_they_were_written(folder: Path) -> None:
    before = mark(folder)
    assert compact(folder, "readings").joined == 6
    write(folder, 6)
    assert found(folder) == {}
    compact(folder, "readings")
    assert found(folder) == {}
    write(folder, 7)
    assert holdings(folder).set_index("log").loc["readings", "rows"] == 8
    assert mark(folder) != before


def test_a_joined_file_that_is_gone_or_changed_shows(folder: Path) -> None:
    compact(folder, "readings")
    write(folder, 6)
    joined = next((folder / "readings").glob("m-*"))
    whole = joined.read_bytes()
    joined.unlink()
    assert found(folder) == {"file-missing": 1}
    joined.write_bytes(whole)
    table = pq.read_table(joined)
    pq.write_table(table.slice(1), joined)
    assert found(folder) == {"file-changed": 1}


def test_a_copy_is_known_by_its_mark_whether_files_were_joined_or_not(folder: Path) -> None:
    copy = shutil.copytree(folder, folder.parent / "copy")
    compact(folder, "readings")
    pd.testing.assert_series_equal(holdings(folder)["mark"], holdings(copy)["mark"])
    own(copy)[-1].unlink()  # the last one, which no other names
    assert mark(copy) != mark(folder)


def test_a_clock_that_was_put_back_is_said(folder: Path) -> None:
    rows = pd.DataFrame([{"hull_id": "H1", "position": "pencil", "read_at": "2031-05-03T10:00Z"}])
    append(
        folder, "readings", rows.assign(size_mm=8.0), operator("dock"), NOW - pd.Timedelta(hours=4)
    )
    assert found(folder) == {"clock-put-back": 1}


def test_rows_that_were_kept_elsewhere_say_nothing_of_the_clock(folder: Path) -> None:
    rows = pd.DataFrame([{"hull_id": "H1", "position": "pencil", "read_at": "2031-05-03T10:00Z"}])
    back = NOW - pd.Timedelta(hours=4)
    written = append(folder, "readings", rows, operator("office"), back, kept_before=True)
    assert (written.said, found(folder)) == ((), {})


def test_damaged_files_are_not_joined_and_lose_nothing(folder: Path) -> None:
    path = own(folder)[3]
    table = pq.read_table(path)
    pq.write_table(table.replace_schema_metadata(None), path)
    done = compact(folder, "readings")
    assert (done.joined, done.left_out) == (5, (path.name,))
    assert len(read_fleet(folder, ON).readings) == 6


def test_parts_that_a_stop_left_beside_their_joined_file_count_once(folder: Path) -> None:
    parts = {path: path.read_bytes() for path in own(folder)}
    compact(folder, "readings")
    for path, content in list(parts.items())[:3]:
        path.write_bytes(content)
    assert len(read_fleet(folder, ON).readings) == 6
    assert found(folder) == {}
    compact(folder, "readings")
    assert len(own(folder)) == 1


def test_files_with_columns_of_their_own_are_joined_and_others_left(folder: Path) -> None:
    write(folder, 6, photo="a.jpg")
    write(folder, 7, photo=12)
    done = compact(folder, "readings")
    assert (done.joined, len(done.left_out)) == (7, 1)
    assert len(read_fleet(folder, ON).readings) == 8
    assert found(folder) == {}


def test_joining_twice_more_keeps_every_row_and_few_files(tmp_path: Path) -> None:
    folder = usual_fleet().write(tmp_path)
    for number in range(9):
        write(folder, number % 9, note=str(number))
        if number % 3 == 2:
            compact(folder, "readings")
    assert len(own(folder)) <= 2
    assert sorted(read_fleet(folder, ON).readings["note"]) == [str(n) for n in range(9)]
    assert found(folder) == {}


def test_the_commands_say_it(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own(folder)[2].unlink()
    assert main(["check", str(folder), "--on", ON, "--format", "csv"]) == 0
    assert "file-missing" in capsys.readouterr().out
    assert main(["files", str(folder), "--format", "csv"]) == 0
    assert "readings,5,5," in capsys.readouterr().out


def test_a_folder_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(LogMissing, match="there is no such folder"):
        holdings(tmp_path / "gone")


def test_many_appends_are_joined_beside_them_and_stay_readable(folder: Path) -> None:
    compacting.compact_soon(folder, "readings", many=5)
    for thread in threading.enumerate():
        if thread.name == "join readings":
            thread.join()
    assert [path.name[:2] for path in own(folder)] == ["m-"]
    assert len(read_fleet(folder, ON).readings) == 6
    compacting.compact_soon(folder, "readings", many=5)
    assert not [each for each in threading.enumerate() if each.name == "join readings"]


def test_two_do_not_join_at_once(folder: Path) -> None:
    with locked(folder):
        assert compact(folder, "readings").joined == 0
    assert compact(folder, "readings").joined == 6


def test_a_hidden_file_that_nobody_will_finish_is_taken_away(folder: Path) -> None:
    old, new = (folder / "readings" / f".r-{n}.parquet.part" for n in (1, 2))
    for part in (old, new):
        part.write_bytes(b"half a row")
    os.utime(old, (0, 0))
    compact(folder, "readings")
    assert (old.exists(), new.exists()) == (False, True)


def test_a_writer_that_waits_too_long_is_told(folder: Path) -> None:
    other = locked(folder / "readings", patience_s=0.05)
    with locked(folder / "readings"), pytest.raises(BlockingIOError, match="unavailable"):
        other.__enter__()
