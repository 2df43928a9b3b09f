"""Files of a log: where they may lie, and which are refused by name."""

from pathlib import Path

import pyarrow as pa
import pytest

from corrosion.common.errors import LogRefused
from corrosion.records.logbook import read_fleet
from tests.fleets import usual_fleet, write_table
from tests.unit.records.findings_of import rules


def test_a_log_may_be_one_file_beside_the_folders(tmp_path: Path) -> None:
    folder = usual_fleet(3).write(tmp_path)
    (folder / "hulls" / "part-0.parquet").rename(folder / "hulls.parquet")
    logbook = read_fleet(folder)
    assert list(logbook.hulls["hull_id"]) == ["H1", "H2", "H3"]
    assert set(logbook.hulls["log_file"]) == {"hulls.parquet"}


def test_a_log_in_both_places_is_read_from_both_and_it_is_said(tmp_path: Path) -> None:
    folder = usual_fleet(3).write(tmp_path, files=2)
    (folder / "hulls" / "part-0.parquet").rename(folder / "hulls.parquet")
    logbook = read_fleet(folder)
    assert len(logbook.hulls) == 3
    assert rules(logbook, "hulls") == {"two-places": 0}


def test_hidden_files_are_no_part_of_a_log(tmp_path: Path) -> None:
    folder = usual_fleet().write(tmp_path)
    for name in (".tmp-1.parquet", "_set-aside.parquet", "_set-aside.csv", ".DS_Store"):
        (folder / "hulls" / name).write_bytes(b"half a row")
    assert rules(read_fleet(folder), "hulls") == {}


def test_other_files_beside_a_log_are_counted(tmp_path: Path) -> None:
    folder = usual_fleet().write(tmp_path)
    (folder / "hulls" / "more.csv").write_text("hull_id\nH9\n")
    logbook = read_fleet(folder)
    finding = logbook.findings[logbook.findings["log"] == "hulls"].iloc[0]
    assert (finding["rule"], finding["rows"], finding["first"]) == ("not-parquet", 1, "more.csv")


@pytest.mark.parametrize("content", [b"", b"PAR1", b"hull_id,layout\nH1,twin\n", b"PAR1" * 40])
def test_a_file_that_is_no_parquet_is_refused_by_name(tmp_path: Path, content: bytes) -> None:
    folder = usual_fleet().write(tmp_path)
    (folder / "hulls" / "late.parquet").write_bytes(content)
    with pytest.raises(
        LogRefused, match=r"hulls: late\.parquet is not a whole Parquet file \(.*Copy it again"
    ):
        read_fleet(folder)


def test_a_truncated_file_is_refused_by_name(tmp_path: Path) -> None:
    folder = usual_fleet().write(tmp_path)
    path = folder / "berths" / "part-0.parquet"
    path.write_bytes(path.read_bytes()[:-200])
    with pytest.raises(LogRefused, match=r"berths: part-0\.parquet is not a whole Parquet file"):
        read_fleet(folder)


def test_a_folder_or_dead_link_named_as_a_file_is_refused_by_name(tmp_path: Path) -> None:
    folder = usual_fleet().write(tmp_path)
    link = folder / "hulls" / "link.parquet"
    link.symlink_to(folder / "nowhere")
    with pytest.raises(LogRefused, match=r"hulls: link\.parquet is"):
        read_fleet(folder)
    link.unlink()
    link.mkdir()
    with pytest.raises(LogRefused, match=r"hulls: link\.parquet is"):
        read_fleet(folder)


def test_a_missing_required_column_is_refused_with_those_that_are_there(tmp_path: Path) -> None:
    folder = usual_fleet().write(tmp_path)
    write_table(folder, "hulls", pa.table({"Hull": ["H9"], "layout": ["twin"]}), "new.parquet")
    with pytest.raises(
        LogRefused,
        match=r"hulls: new\.parquet has no column hull_id \(1 rows; it has Hull, layout\).*Add it",
    ):
        read_fleet(folder)


def test_two_columns_of_one_name_are_refused(tmp_path: Path) -> None:
    folder = usual_fleet().write(tmp_path)
    table = pa.table([pa.array(["H1"])] * 3, names=["hull_id", "layout", "layout"])
    write_table(folder, "hulls", table)
    with pytest.raises(LogRefused, match="two columns of the same name"):
        read_fleet(folder)
