"""Facts about exporting: what goes out comes in again as the same fleet, and never as a formula."""

from __future__ import annotations

import csv
from pathlib import Path

import pandas as pd
import pytest

from corrosion.command_line import main
from corrosion.common.errors import LogMissing, Refusal
from corrosion.records import operator
from corrosion.records.export import export_logs
from corrosion.records.importing import import_rows, propose
from corrosion.records.logbook import Logbook, append, entry_names, read_fleet
from corrosion.records.logs import LOGS
from tests.fleets import usual_fleet

ON = "2031-06-01"
PLACES = ["log_row", "log_file"]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A fleet with a correction by name, a struck-out row, an odd note and a column of its own."""
    fleet = usual_fleet().setting(timezone="Europe/Lisbon", simulated=False)
    fleet.reading("H1", "pencil", "2031-05-01 10:00", 81.0, note="=1+1", photo="a.jpg")
    fleet.reading("H1", "plate", "2031-05-02 10:00", 14.123456789, removed=True, entry_id="p")
    fleet.outing("H1", "2031-05-02 12:00", water="salt").flush("H1", "2031-05-02 15:00", done="no")
    folder = fleet.write(tmp_path / "fleet")
    history = read_fleet(folder, ON).history["readings"]
    name = entry_names("readings", history)[history["size_mm"].eq(81.0)].iloc[0]
    now = pd.Timestamp("2031-05-03T08:00Z")
    look = {"hull_id": "H1", "position": "pencil", "read_at": "2031-05-01T10:00Z", "size_mm": 8.1}
    append(folder, "readings", pd.DataFrame([look | {"corrects": name}]), operator("office"), now)
    append(
        folder, "readings", pd.DataFrame([{"corrects": "p", "void": True}]), operator("office"), now
    )
    return folder


def assert_same(one: Logbook, other: Logbook, without: tuple[str, ...] = ()) -> None:
    for log in LOGS:
        original, copy = one.tables[log], other.tables[log]
        drop = [*PLACES, *without]
        pd.testing.assert_frame_equal(original.drop(columns=drop), copy.drop(columns=drop))


def test_all_logs_as_parquet_with_their_history_are_the_same_fleet(folder: Path) -> None:
    out = folder.parent / "out"
    export_logs(folder, out, form="parquet", history=True, on=ON)
    one, other = read_fleet(folder, ON), read_fleet(out, ON)
    assert_same(one, other)
    for log in LOGS:
        assert list(one.history[log]["standing"]) == list(other.history[log]["standing"])
    assert one.settings == other.settings
    pd.testing.assert_frame_equal(one.findings, other.findings)


def test_the_rows_that_stand_are_the_same_fleet_without_what_they_corrected(folder: Path) -> None:
    out = folder.parent / "out"
    export_logs(folder, out, form="parquet", on=ON)
    other = read_fleet(out, ON)
    assert_same(read_fleet(folder, ON), other, without=("corrects",))
    assert "corrects-unknown" not in set(other.findings["rule"])


@pytest.mark.parametrize("history", [True, False])
def test_a_log_that_was_exported_to_csv_and_imported_adds_nothing(
    folder: Path, history: bool
) -> None:
    out = folder.parent / "out"
    files = export_logs(folder, out, history=history, on=ON)
    for log, file in zip(files["log"], files["file"], strict=True):
        proposal = propose(folder, log, Path(file).read_bytes(), f"{log}.csv")
        done = import_rows(folder, proposal, operator("office"), dry_run=True)
        assert (log, done.taken, len(done.aside)) == (log, 0, 0)


def test_csv_of_all_logs_imported_into_an_empty_folder_is_the_same_fleet(folder: Path) -> None:
    out, new = folder.parent / "out", folder.parent / "new"
    files = export_logs(folder, out, on=ON)
    new.mkdir()
    (new / "fleet.toml").write_bytes((out / "fleet.toml").read_bytes())
    for log, file in zip(files["log"], files["file"], strict=True):
        import_rows(
            new, propose(new, log, Path(file).read_bytes(), f"{log}.csv"), operator("office")
        )
    one, other = read_fleet(folder, ON), read_fleet(new, ON)
    for log in LOGS:
        names = [n for n in LOGS[log].names if n not in ("entry_id", "entered_by", "corrects")]
        pd.testing.assert_frame_equal(one.tables[log][names], other.tables[log][names])


def test_no_cell_of_a_csv_is_run_by_a_spreadsheet(folder: Path) -> None:
    out = folder.parent / "out"
    export_logs(folder, out, ["readings"], history=True, on=ON)
    with (out / "readings.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert "'=1+1" in {row["note"] for row in rows}
    assert {row["standing"] for row in rows} == {"stands", "corrected", "voided"}
    assert all(row["name_of_row"] for row in rows)


def test_nothing_is_written_over_or_among_the_logs(folder: Path) -> None:
    out = folder.parent / "out"
    export_logs(folder, out, on=ON)
    with pytest.raises(Refusal, match="is there already"):
        export_logs(folder, out, on=ON)
    with pytest.raises(Refusal, match="lies in the fleet's own folder"):
        export_logs(folder, folder / "readings", on=ON)
    with pytest.raises(LogMissing, match="there is no such log"):
        export_logs(folder, out, ["diary"])


def test_the_command_exports_one_log_or_all(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = folder.parent / "out"
    words = ["export", str(folder)]
    assert main([*words, "readings", str(out), "--on", ON, "--history"]) == 0
    assert "readings" in capsys.readouterr().out
    assert [path.name for path in out.iterdir()] == ["readings.csv"]
    assert main([*words, "all", str(out / "all"), "--as", "parquet", "--on", ON]) == 0
    assert (out / "all" / "fleet.toml").exists()
    assert main([*words, "diary", str(out)]) == 1
