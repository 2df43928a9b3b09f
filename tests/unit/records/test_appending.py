"""Facts about appending: one new file, whole or not at all; nothing lost, nothing written twice."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pyarrow.parquet as pq
import pytest

from corrosion.common.errors import LogMissing, LogRefused
from corrosion.records import operator
from corrosion.records.logbook import append, append_all, entry_names, read_fleet
from corrosion.records.logs import LOGS
from tests.fleets import usual_fleet
from tests.unit.records.appended import everything_in, look

NOW = pd.Timestamp("2031-05-03T12:00Z")
ON = "2031-06-01"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return usual_fleet().setting(timezone="Europe/Lisbon").write(tmp_path / "fleet")


def test_a_row_is_read_as_it_was_written_with_who_and_when(folder: Path) -> None:
    written = append(folder, "readings", look(photo="a.jpg"), operator("dock, early shift"), NOW)
    row = read_fleet(folder, ON).readings.iloc[0]
    assert row["size_mm"] == 8.1
    assert row["read_at"] == pd.Timestamp("2031-05-02T13:30Z")  # Lisbon is an hour ahead in summer
    assert (row["entered_by"], row["entered_at"]) == ("dock, early shift", NOW)
    assert (row["entry_id"],) == written.entry_ids
    assert row["photo"] == "a.jpg"


def test_one_file_holds_every_column_of_the_log_and_no_hidden_file_is_left(folder: Path) -> None:
    written = append(folder, "readings", look(), operator("dock"))
    assert written.file is not None
    assert {*LOGS["readings"].names} <= {*pq.read_schema(written.file).names}
    assert [path.name for path in (folder / "readings").iterdir()] == [written.file.name]


def test_an_entry_that_is_there_already_adds_nothing(folder: Path) -> None:
    first = append(folder, "readings", look(entry_id="tap"), operator("dock"))
    second = append(folder, "readings", look(entry_id="tap"), operator("dock"))
    assert (first.added, second.added, second.already) == (1, 0, ("tap",))
    assert second.file is None
    assert len(read_fleet(folder, ON).readings) == 1


def test_an_entry_of_another_programs_file_is_known_too(tmp_path: Path) -> None:
    fleet = usual_fleet().reading("H1", "pencil", "2031-05-02", 8.0, entry_id="theirs")
    folder = fleet.write(tmp_path)
    assert append(folder, "readings", look(entry_id="theirs"), operator("dock")).added == 0


def test_of_rows_that_share_an_entry_id_one_is_written(folder: Path) -> None:
    rows = pd.concat([look(entry_id="a"), look(entry_id="a"), look(entry_id="b")])
    assert append(folder, "readings", rows, operator("dock")).added == 2


@pytest.mark.parametrize(
    ("cells", "why"),
    [
        ({"size_mm": "8,1"}, r"1 row where size_mm is not a number \(first: row 1, H1, pencil"),
        ({"size_mm": float("inf")}, "size_mm is infinite"),
        ({"verdict": "fine"}, "verdict is not one of ok, worn"),
        ({"removed": "perhaps"}, "removed is not yes or no"),
        ({"read_at": "2031-02-30"}, "read_at is not a time"),
        ({"read_at": "1831-02-01"}, "read_at lies outside 1900 to 2200"),
        ({"read_at": "2031-03-30T01:30"}, "read_at never was on the clock that day"),
        ({"read_at": "2031-10-26T01:30"}, "read_at was on the clock twice that day"),
        ({"hull_id": None}, "hull_id is missing"),
        ({"hull_id": "  "}, "hull_id is missing"),
    ],
)
def test_what_the_dictionary_does_not_allow_is_refused_and_no_file_changes(
    folder: Path, cells: dict[str, object], why: str
) -> None:
    before = everything_in(folder)
    with pytest.raises(LogRefused, match=f"readings: .*{why}"):
        append(folder, "readings", look(**cells), operator("dock"))
    assert everything_in(folder) == before


def test_a_column_given_twice_no_log_no_folder_and_nobody_are_refused(folder: Path) -> None:
    with pytest.raises(LogRefused, match="two columns are called size_mm"):
        append(
            folder, "readings", pd.concat([look(), look()[["size_mm"]]], axis=1), operator("dock")
        )
    with pytest.raises(LogMissing, match="there is no such log"):
        append(folder, "diary", look(), operator("dock"))
    with pytest.raises(LogMissing, match="there is no such folder"):
        append(folder / "gone", "readings", look(), operator("dock"))
    with pytest.raises(LogRefused, match="Give a role or a shift"):
        append(folder, "readings", look(), operator("  "))


@pytest.mark.parametrize(
    "when",
    [
        pd.Timestamp("2031-05-02T13:30Z"),
        pd.Timestamp("2031-05-02T14:30+01:00").to_pydatetime(),
        "2031-05-02T13:30Z",
        "2031-05-02 14:30",
    ],
    ids=repr,
)
def test_a_time_may_come_in_any_form_and_beside_others(folder: Path, when: object) -> None:
    rows = pd.concat([look(read_at=when), look(read_at="2031-05-02T13:30Z")])
    append(folder, "readings", rows, operator("dock"), NOW)
    assert set(read_fleet(folder, ON).readings["read_at"]) == {pd.Timestamp("2031-05-02T13:30Z")}


def test_a_clock_that_was_put_back_writes_after_the_last_entry_and_says_so(folder: Path) -> None:
    append(folder, "readings", look(8.1), operator("dock"), NOW)
    written = append(folder, "readings", look(8.0), operator("dock"), NOW - pd.Timedelta(hours=3))
    times = read_fleet(folder, ON).readings["entered_at"]
    assert sorted(times) == [NOW, NOW + pd.Timedelta(1, "us")]
    assert "the clock was put back" in written.said[0]
    assert (
        append(folder, "readings", look(7.9), operator("dock"), NOW + pd.Timedelta(hours=1)).said
        == ()
    )


def test_a_clock_that_was_reset_writes_after_the_last_entry_too(folder: Path) -> None:
    append(folder, "readings", look(8.1), operator("dock"), NOW)
    append(folder, "readings", look(8.0), operator("dock"), pd.Timestamp("2000-01-01T00:00Z"))
    assert read_fleet(folder, ON).readings["entered_at"].min() == NOW


def test_one_entry_from_a_far_future_does_not_hide_those_that_follow(folder: Path) -> None:
    append(folder, "readings", look(8.1), operator("dock"), NOW + pd.Timedelta(days=9000))
    written = append(folder, "readings", look(8.0), operator("dock"), NOW)
    assert read_fleet(folder, ON).readings["size_mm"].tolist() == [8.0]
    assert "the clock was put back" in written.said[0]


def test_what_was_just_written_is_seen_though_the_clock_was_put_back(folder: Path) -> None:
    ahead = pd.Timestamp.now("UTC") + pd.Timedelta(hours=5)
    append(folder, "readings", look(read_at="2026-01-02T10:00Z"), operator("dock"), ahead)
    append(folder, "readings", look(8.0, read_at="2026-01-02T10:00Z"), operator("dock"))
    assert len(read_fleet(folder).readings) == 2


def test_an_old_anode_out_and_a_new_one_in_go_together(folder: Path) -> None:
    new = pd.DataFrame([{"hull_id": "H1", "position": "pencil", "fitted_at": "2031-05-02T15:00"}])
    out = append_all(
        folder, {"readings": look(removed=True), "fittings": new}, operator("mechanic"), NOW
    )
    assert [*out] == ["fittings", "readings"]
    logbook = read_fleet(folder, ON)
    assert len(logbook.readings) == 1
    assert "2031-05-02T14:00Z" in {f"{at:%Y-%m-%dT%H:%MZ}" for at in logbook.fittings["fitted_at"]}


def test_of_rows_that_go_together_none_is_written_when_one_is_refused(folder: Path) -> None:
    before = everything_in(folder)
    new = pd.DataFrame([{"hull_id": "H1", "position": "pencil", "fitted_at": "2031-02-30"}])
    with pytest.raises(LogRefused, match="fitted_at is not a time"):
        append_all(folder, {"readings": look(), "fittings": new}, operator("mechanic"))
    assert everything_in(folder) == before


def test_any_row_can_be_corrected_by_what_it_says(tmp_path: Path) -> None:
    folder = usual_fleet().reading("H1", "pencil", "2031-05-01", 81.0).write(tmp_path)
    history = read_fleet(folder, ON).history["readings"]
    name = entry_names("readings", history)[0]
    append(folder, "readings", look(8.1, corrects=name), operator("office"), NOW)
    logbook = read_fleet(folder, ON)
    assert logbook.readings["size_mm"].tolist() == [8.1]
    assert sorted(logbook.history["readings"]["standing"]) == ["corrected", "stands"]
    assert "corrects-unknown" not in set(logbook.findings["rule"])


def test_a_strike_out_needs_no_more_than_the_name_of_the_row(folder: Path) -> None:
    (name,) = append(folder, "readings", look(), operator("dock"), NOW).entry_ids
    append(
        folder,
        "readings",
        pd.DataFrame([{"corrects": name, "void": True}]),
        operator("office"),
        NOW,
    )
    logbook = read_fleet(folder, ON)
    assert logbook.readings.empty
    assert set(logbook.history["readings"]["standing"]) == {"voided"}


def test_rows_that_say_the_same_have_names_of_their_own(tmp_path: Path) -> None:
    fleet = usual_fleet()
    for _ in range(3):
        fleet.reading("H1", "pencil", "2031-05-01", 8.0)
    history = read_fleet(fleet.write(tmp_path), ON).history["readings"]
    names = list(entry_names("readings", history))
    assert len({*names}) == 3
    assert names[1:] == [f"{names[0]}-2", f"{names[0]}-3"]


@pytest.mark.parametrize("log", ["readings", "outings", "hulls", "fittings"])
def test_some_rows_have_the_names_that_they_have_among_all(folder: Path, log: str) -> None:
    if log == "readings":
        for _ in range(3):
            append(folder, log, look(), operator("dock"), NOW)
    rows = read_fleet(folder, ON).history[log]
    history = pd.concat([rows.assign(entry_id=None), rows, rows[::2]], ignore_index=True)
    told_by = LOGS[log].event_time or LOGS[log].keys[0]
    history.loc[::5, told_by] = pd.NaT if LOGS[log].event_time else None
    every = entry_names(log, history)
    chance = np.random.default_rng(7)
    for share in (0.1, 0.5, 1.0):
        asked = chance.random(len(history)) < share
        pd.testing.assert_series_equal(entry_names(log, history, asked), every[asked])


def test_names_stay_when_files_are_split_shuffled_or_cut(tmp_path: Path) -> None:
    fleet = usual_fleet()
    for day in range(1, 9):
        note = None if day % 2 else "x"
        fleet.reading("H1", "pencil", f"2031-05-0{day}", 9 - day / 10, note=note)
    whole = read_fleet(fleet.write(tmp_path / "a"), ON).history["readings"]
    fleet.rows["readings"].reverse()
    split = read_fleet(fleet.write(tmp_path / "b", files=3), ON).history["readings"]
    cut = read_fleet(tmp_path / "a", "2031-05-04T12:00").history["readings"]
    names = [list(entry_names("readings", each)) for each in (whole, split, cut)]
    assert names[0] == names[1]
    assert names[2] == names[0][:4]


def test_own_files_beside_a_single_file_are_no_second_place(tmp_path: Path) -> None:
    folder = usual_fleet().write(tmp_path)
    (folder / "hulls" / "part-0.parquet").rename(folder / "hulls.parquet")
    (folder / "hulls").rmdir()
    append(
        folder,
        "hulls",
        pd.DataFrame([{"hull_id": "H9", "layout": "twin"}]),
        operator("office"),
        NOW,
    )
    logbook = read_fleet(folder, ON)
    assert list(logbook.hulls["hull_id"]) == ["H1", "H2", "H9"]
    assert "two-places" not in set(logbook.findings["rule"])
