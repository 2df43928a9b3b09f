"""Facts about corrections: rows are never rewritten, and one of each matter stands."""

from pathlib import Path

import pandas as pd

from corrosion.records.logbook import Logbook, read_fleet
from tests.fleets import FleetLogs, usual_fleet

ON = "2031-06-01"


def read(fleet: FleetLogs, folder: Path) -> Logbook:
    return read_fleet(fleet.write(folder), ON)


def look(
    fleet: FleetLogs,
    entry_id: str | None,
    corrects: str | None = None,
    hour: int | None = None,
    void: bool | None = None,
) -> FleetLogs:
    """A reading of H1's pencil, entered at that hour of 2 May; its note is its entry's name."""
    entered = None if hour is None else f"2031-05-02 {hour:02d}:00"
    cells = {"entry_id": entry_id, "corrects": corrects, "entered_at": entered, "void": void}
    return fleet.reading("H1", "pencil", "2031-05-01", 8.0, note=entry_id, **cells)


def fates(logbook: Logbook) -> dict[str | None, str]:
    history = logbook.history["readings"]
    return dict(zip(history["note"], history["standing"], strict=True))


def oddities(logbook: Logbook) -> dict[str, tuple[str, int]]:
    mine = logbook.findings[logbook.findings["log"] == "readings"]
    counted = zip(mine["severity"], mine["rows"], strict=True)
    return dict(zip(mine["rule"], counted, strict=True))


def test_rows_without_corrections_stand(tmp_path: Path) -> None:
    logbook = read(look(look(usual_fleet(), "a"), None), tmp_path)
    assert fates(logbook) == {"a": "stands", None: "stands"}
    assert len(logbook.readings) == 2


def test_a_correction_takes_the_place_of_its_row(tmp_path: Path) -> None:
    logbook = read(look(look(usual_fleet(), "a"), "b", "a"), tmp_path)
    assert fates(logbook) == {"a": "corrected", "b": "stands"}
    assert logbook.readings["entry_id"].tolist() == ["b"]
    assert "standing" not in logbook.readings


def test_a_correction_needs_no_entry_id_of_its_own(tmp_path: Path) -> None:
    logbook = read(look(look(usual_fleet(), "a"), None, "a"), tmp_path)
    assert fates(logbook) == {"a": "corrected", None: "stands"}


def test_corrections_are_followed_along_a_chain_whatever_their_clocks_say(tmp_path: Path) -> None:
    fleet = look(look(look(usual_fleet(), "a", hour=9), "b", "a", 8), "c", "b", 7)
    assert fates(read(fleet, tmp_path)) == {"a": "corrected", "b": "corrected", "c": "stands"}


def test_of_two_corrections_the_one_entered_last_stands(tmp_path: Path) -> None:
    logbook = read(look(look(look(usual_fleet(), "a"), "b", "a", 11), "c", "a", 10), tmp_path)
    assert fates(logbook) == {"a": "corrected", "b": "stands", "c": "corrected"}
    assert oddities(logbook) == {"corrected-twice": ("note", 2)}


def test_a_void_row_is_struck_out(tmp_path: Path) -> None:
    assert fates(read(look(usual_fleet(), "a", void=True), tmp_path)) == {"a": "voided"}


def test_a_void_row_strikes_out_the_row_that_it_names(tmp_path: Path) -> None:
    logbook = read(look(look(usual_fleet(), "a"), "v", "a", void=True), tmp_path)
    assert fates(logbook) == {"a": "voided", "v": "voided"}
    assert logbook.readings.empty


def test_striking_out_a_correction_does_not_bring_back_what_it_corrected(tmp_path: Path) -> None:
    fleet = look(look(look(usual_fleet(), "a"), "b", "a"), "v", "b", void=True)
    assert fates(read(fleet, tmp_path)) == {"a": "voided", "b": "voided", "v": "voided"}


def test_a_row_struck_out_by_mistake_comes_back_by_a_correction(tmp_path: Path) -> None:
    fleet = look(look(look(usual_fleet(), "a"), "v", "a", void=True), "b", "v")
    assert fates(read(fleet, tmp_path)) == {"a": "corrected", "v": "voided", "b": "stands"}


def test_a_row_both_corrected_and_struck_out_keeps_its_correction_and_is_noted(
    tmp_path: Path,
) -> None:
    logbook = read(look(look(look(usual_fleet(), "a"), "b", "a", 9), "v", "a", 10, True), tmp_path)
    assert fates(logbook) == {"a": "corrected", "b": "stands", "v": "voided"}
    assert oddities(logbook) == {"corrected-twice": ("note", 2)}


def test_a_correction_of_no_row_stands_and_is_doubtful(tmp_path: Path) -> None:
    logbook = read(look(usual_fleet(), "b", "nowhere"), tmp_path)
    assert fates(logbook) == {"b": "stands"}
    assert oddities(logbook) == {"corrects-unknown": ("doubtful", 1)}


def test_a_correction_reaches_only_rows_of_its_own_log(tmp_path: Path) -> None:
    fleet = look(usual_fleet(), "b", "f").outing("H1", "2031-05-01", entry_id="f")
    logbook = read(fleet, tmp_path)
    assert len(logbook.outings) == 1
    assert oddities(logbook) == {"corrects-unknown": ("doubtful", 1)}


def test_rows_that_correct_each_other_all_stand_and_are_doubtful(tmp_path: Path) -> None:
    fleet = look(look(look(usual_fleet(), "a", "c"), "b", "a"), "c", "b")
    fleet = look(look(fleet, "d", "d"), "e", "a")
    logbook = read(fleet, tmp_path)
    assert fates(logbook) == {"a": "corrected"} | dict.fromkeys("bcde", "stands")
    assert oddities(logbook) == {"corrects-in-circle": ("doubtful", 4)}


def test_a_correction_of_an_entry_id_used_twice_counts_for_both_and_is_doubtful(
    tmp_path: Path,
) -> None:
    fleet = look(usual_fleet(), "a").reading("H1", "pencil", "2031-05-01", 8.9, entry_id="a")
    logbook = read(look(fleet, "b", "a"), tmp_path)
    standing = logbook.history["readings"]["standing"].tolist()
    assert sorted(standing) == ["corrected", "corrected", "stands"]
    assert oddities(logbook) == {"entry-id-twice": ("doubtful", 2)}


def test_an_entry_that_was_written_again_counts_once_and_it_is_said(tmp_path: Path) -> None:
    logbook = read(look(look(usual_fleet(), "a", hour=9), "a", hour=15), tmp_path)
    assert logbook.readings["entered_at"].tolist() == [pd.Timestamp("2031-05-02T09:00Z")]
    assert oddities(logbook) == {"written-again": ("note", 1)}


def test_a_correction_written_down_later_does_not_count_yet(tmp_path: Path) -> None:
    folder = look(look(usual_fleet(), "a", hour=9), "b", "a", 15).write(tmp_path)
    assert fates(read_fleet(folder, "2031-05-02T12:00")) == {"a": "stands"}
    assert fates(read_fleet(folder, "2031-05-02T15:00")) == {"a": "corrected", "b": "stands"}


def test_bookings_are_corrected_too(tmp_path: Path) -> None:
    fleet = usual_fleet().booking("H1", "2031-09-01", "2031-09-02", entry_id="a")
    fleet.booking("H1", "2031-09-01", "2031-09-03", entry_id="b", corrects="a")
    fleet.booking("H1", "2031-09-05", "2031-09-06", void=True)
    assert read(fleet, tmp_path).bookings["entry_id"].tolist() == ["b"]


def test_a_long_chain_of_corrections_is_followed_to_its_end(tmp_path: Path) -> None:
    fleet = look(usual_fleet(), "0")
    for number in range(1, 1200):
        look(fleet, str(number), str(number - 1))
    assert read(fleet, tmp_path).readings["entry_id"].tolist() == ["1199"]
