"""Facts about reading a fleet's folder."""

import copy
import os
import time
from pathlib import Path

import numpy as np
import pandas as pd
import pyarrow as pa
import pytest

from corrosion.common.errors import LogMissing, Refusal
from corrosion.records.logbook import FINDING_COLUMNS, fingerprint, read_fleet
from corrosion.records.logs import ENTRY, LOGS, column_dictionary
from tests.fleets import FleetLogs, usual_fleet, write_table
from tests.unit.records.findings_of import rules

NEEDED = ["hulls", "moorings", "berths", "anode_positions"]


def snapshot(folder: Path) -> dict[str, tuple[int, int]]:
    """Every file below a folder with its size and time of change."""
    files = [path for path in folder.rglob("*") if path.is_file()]
    return {str(path): (path.stat().st_size, path.stat().st_mtime_ns) for path in files}


@pytest.mark.parametrize("log", LOGS)
def test_every_table_has_every_column_in_its_type_also_without_the_log(
    tmp_path: Path, log: str
) -> None:
    table = read_fleet(usual_fleet().write(tmp_path)).tables[log]
    types = {"number": "float64", "flag": "boolean"}
    types |= dict.fromkeys(["moment", "date"], "datetime64[us, UTC]")
    expected = {column.name: types.get(column.kind, "object") for column in LOGS[log]}
    assert table.dtypes.astype(str).to_dict() == expected | {
        "log_row": "int64",
        "log_file": "object",
    }
    assert table.index.equals(pd.RangeIndex(len(table)))


def test_unknown_is_none_nan_nat_or_na_never_zero_or_no(tmp_path: Path) -> None:
    fleet = usual_fleet().reading("H1", "pencil", "2031-05-01")
    row = read_fleet(fleet.write(tmp_path), "2031-06-01").readings.iloc[0]
    assert row["verdict"] is None
    assert row["note"] is None
    assert np.isnan(row["size_mm"])
    assert row["entered_at"] is pd.NaT
    assert row["removed"] is pd.NA


def test_a_flush_counts_as_done_when_nobody_said_otherwise(tmp_path: Path) -> None:
    fleet = usual_fleet().flush("H1", "2031-05-01").flush("H1", "2031-05-02", done="could-not")
    assert list(read_fleet(fleet.write(tmp_path), "2031-06-01").flushes["done"]) == [
        "yes",
        "could-not",
    ]


def test_logs_are_attributes_and_nothing_else_is(tmp_path: Path) -> None:
    logbook = read_fleet(usual_fleet().write(tmp_path))
    assert logbook.hulls is logbook.tables["hulls"]
    with pytest.raises(AttributeError, match="there is no log crew"):
        _ = logbook.crew


def test_a_log_book_can_be_copied_deeply(tmp_path: Path) -> None:
    logbook = read_fleet(usual_fleet().write(tmp_path))
    pd.testing.assert_frame_equal(copy.deepcopy(logbook).hulls, logbook.hulls)


@pytest.mark.parametrize("log", NEEDED)
def test_a_log_that_every_answer_needs_is_asked_for_by_name_and_place(
    tmp_path: Path, log: str
) -> None:
    fleet = usual_fleet()
    fleet.rows[log] = []
    folder = fleet.write(tmp_path)
    with pytest.raises(
        LogMissing, match=rf"^{log}: .*looked for .*{log}/\*\.parquet and .* add it"
    ):
        read_fleet(folder)


def test_a_folder_that_is_not_there_is_said_to_be_missing(tmp_path: Path) -> None:
    with pytest.raises(LogMissing, match="there is no such folder"):
        read_fleet(tmp_path / "elsewhere")


def test_an_empty_folder_is_said_to_hold_no_logs(tmp_path: Path) -> None:
    with pytest.raises(LogMissing, match="there are no logs in this folder"):
        read_fleet(tmp_path)


def test_the_other_logs_may_be_absent_and_it_is_said(tmp_path: Path) -> None:
    logbook = read_fleet(usual_fleet().write(tmp_path))
    absent = logbook.findings[logbook.findings["rule"] == "log-absent"]
    assert list(absent["log"]) == ["water_samples", "outings", "flushes", "readings", "bookings"]
    assert set(absent["severity"]) == {"note"}


def test_a_fleet_without_hulls_is_read_as_one(tmp_path: Path) -> None:
    folder = usual_fleet().write(tmp_path)
    write_table(folder, "hulls", pa.table({"hull_id": [], "layout": []}), "part-0.parquet")
    assert read_fleet(folder).hulls.empty


def test_rows_say_where_they_came_from(tmp_path: Path) -> None:
    folder = usual_fleet(3).write(tmp_path, files=2)
    hulls = read_fleet(folder).hulls.sort_values("log_row")
    assert list(hulls["hull_id"]) == ["H1", "H3", "H2"]
    assert list(hulls["log_row"]) == [0, 1, 2]
    assert list(hulls["log_file"]) == ["hulls/part-0.parquet"] * 2 + ["hulls/part-1.parquet"]


def test_columns_beyond_the_contract_are_carried_along(tmp_path: Path) -> None:
    fleet = FleetLogs(usual_fleet().rows).hull("H8", keel="steel").hull("H9", keel="oak", beds=2)
    hulls = read_fleet(fleet.write(tmp_path, files=2)).hulls.set_index("hull_id")
    assert hulls["keel"].dropna().to_dict() == {"H8": "steel", "H9": "oak"}
    assert hulls["keel"].index.tolist() == ["H1", "H2", "H8", "H9"]
    assert hulls.loc["H9", "beds"] == 2


def test_an_extra_column_of_two_types_is_kept_as_text(tmp_path: Path) -> None:
    folder = usual_fleet().write(tmp_path)
    for number, value in enumerate([["blue"], [[1, 2]], [7]]):
        row = {"hull_id": [f"X{number}"], "layout": ["twin"], "paint": value}
        write_table(folder, "hulls", pa.table(row), f"x{number}.parquet")
    paint = read_fleet(folder).hulls.set_index("hull_id")["paint"]
    assert paint.loc[["X0", "X1", "X2"]].tolist() == ["blue", "[1, 2]", "7"]


def test_an_extra_column_named_as_one_of_ours_is_renamed(tmp_path: Path) -> None:
    folder = usual_fleet().write(tmp_path)
    row = {"hull_id": ["X"], "layout": ["twin"], "log_row": ["third"], "standing": ["firm"]}
    write_table(folder, "hulls", pa.table(row))
    hull = read_fleet(folder).hulls.set_index("hull_id").loc["X"]
    assert (hull["given_log_row"], hull["given_standing"]) == ("third", "firm")


def test_unknown_settings_are_noted(tmp_path: Path) -> None:
    folder = usual_fleet().setting(harbour_master="night shift").write(tmp_path)
    assert rules(read_fleet(folder), "fleet.toml") == {"unknown-setting": 0}


def test_findings_have_the_columns_of_the_check_command(tmp_path: Path) -> None:
    findings = read_fleet(usual_fleet().write(tmp_path)).findings
    assert list(findings.columns) == FINDING_COLUMNS
    assert FINDING_COLUMNS == ["log", "rule", "severity", "rows", "first", "what_to_do"]
    assert findings["rows"].dtype == "int64"


def test_a_live_fleet_is_read_as_of_now_and_what_lies_ahead_is_counted(tmp_path: Path) -> None:
    fleet = FleetLogs().hull("H1").mooring("E").berth("H1", "E", since="2020-01-01")
    fleet.position("pencil").outing("H1", "2020-05-01").outing("H1", "2190-05-01")
    logbook = read_fleet(fleet.write(tmp_path))
    assert abs(logbook.on - pd.Timestamp.now("UTC")) < pd.Timedelta("1min")
    assert len(logbook.outings) == 1
    assert rules(logbook, "outings") == {"after-now": 1}


def test_a_simulated_fleet_is_read_as_of_its_last_logged_moment(tmp_path: Path) -> None:
    fleet = usual_fleet().setting(simulated=True).reading("H1", "pencil", "2031-07-01 10:00")
    fleet.reading("H1", "plate", "2031-07-01", entered_at="2031-07-02 08:00")
    fleet.booking("H1", "2031-09-01", "2031-09-02")
    assert read_fleet(fleet.write(tmp_path)).on == pd.Timestamp("2031-07-02 08:00", tz="UTC")


def test_looking_back_hides_what_was_later_or_written_down_later(tmp_path: Path) -> None:
    fleet = usual_fleet().reading("H1", "pencil", "2031-05-01 10:00", 8.0)
    fleet.reading("H1", "plate", "2031-05-01 10:00", 14.0, entered_at="2031-05-03")
    fleet.outing("H1", "2031-05-01 09:00", 2.0).outing("H2", "2031-05-01 09:00", 2.5)
    fleet.berth("H1", "L", since="2031-05-02").booking("H1", "2031-09-01", "2031-09-02")
    logbook = read_fleet(fleet.write(tmp_path), "2031-05-01T11:00")
    assert list(logbook.readings["position"]) == ["pencil"]
    assert list(logbook.outings["hull_id"]) == ["H1"]
    assert "L" not in set(logbook.berths["mooring_id"])
    assert len(logbook.bookings) == 1
    assert "after-now" not in set(logbook.findings["rule"])


def test_a_retirement_still_to_come_is_not_known(tmp_path: Path) -> None:
    fleet = usual_fleet(0).hull("H1", retired="2031-05-02").berth("H1", "E")
    folder = fleet.write(tmp_path)
    assert pd.isna(read_fleet(folder, "2031-05-01").hulls["retired"].iloc[0])
    assert read_fleet(folder, "2031-05-02").hulls["retired"].notna().all()


def test_a_day_that_is_none_is_refused(tmp_path: Path) -> None:
    folder = usual_fleet().write(tmp_path)
    with pytest.raises(Refusal, match="yesterday is not a date or time"):
        read_fleet(folder, "yesterday")


def test_reading_changes_no_file(tmp_path: Path) -> None:
    folder = usual_fleet().season("H1", "2031-05-01", 3).setting(name="x").write(tmp_path)
    before = snapshot(folder)
    read_fleet(folder, "2031-06-01")
    fingerprint(folder)
    assert snapshot(folder) == before


def test_the_fingerprint_changes_with_every_file_of_the_fleet(tmp_path: Path) -> None:
    folder = usual_fleet().write(tmp_path)
    seen = [fingerprint(folder)]
    assert fingerprint(folder) == seen[0]
    (folder / "fleet.toml").write_text('name = "x"\n')
    seen.append(fingerprint(folder))
    usual_fleet().outing("H1", "2031-05-01").write(folder)
    seen.append(fingerprint(folder))
    os.utime(folder / "hulls" / "part-0.parquet", ns=(0, time.time_ns() + 10**9))
    seen.append(fingerprint(folder))
    (folder / "hulls" / ".tmp").write_text("half a row")
    assert fingerprint(folder) == seen[-1]
    assert len(set(seen)) == 4


def test_the_dictionary_holds_every_column_once_and_says_what_it_means() -> None:
    table = column_dictionary()
    assert not table.duplicated(["log", "column"]).any()
    assert (table["meaning"] != "").all()
    assert (table.loc[table["kind"] == "number", "unit"] != "").all()
    ordered = table[table["event_time"]].groupby("log").size()
    assert ordered.to_dict() == {log.name: 1 for log in LOGS.values() if log.event_time}


def test_every_row_may_say_who_entered_it_when_and_what_it_corrects() -> None:
    assert all(set(ENTRY) <= set(log.columns) for log in LOGS.values())
