"""Amending: any row can be corrected or struck out by a new row, and its history be read."""

from pathlib import Path

import pandas as pd
import pytest

from corrosion.data_entry import (
    columns_of,
    correction,
    doubted_rows,
    entries_of,
    findings_by_gravity,
    matter,
    named_rows,
    recent,
    shown,
    standing_row,
    striking_out,
    write_draft,
)
from corrosion.records import operator
from corrosion.records.checks import check_logs
from corrosion.records.logbook import Logbook, read_fleet
from corrosion.records.logs import LOGS
from tests.fleets import usual_fleet

NOW = pd.Timestamp("2031-06-01 12:00", tz="UTC")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    fleet = usual_fleet().season("H1", "2031-04-02", 20, flushed=True)
    fleet.sample("E", "2031-05-01 08:00", temperature_c=15.0).booking(
        "H1", "2031-06-02 09:00", "2031-06-02 11:00"
    )
    fleet.add("meters", hull_id="H1", changed_at="2031-05-01", event="zeroed")
    fleet.add("engine_swaps", hull_id="H1", swapped_at="2031-05-01", engine="two")
    fleet.add("stock_moves", part_number="P1", pieces=3.0, moved_at="2031-05-01")
    fleet.reading("H1", "pencil", "2031-05-01 07:00", 0.33, entered_at="2031-05-01 08:00")
    return fleet.write(tmp_path / "fleet")


def texts(book: Logbook, log: str, row: pd.Series, **changed: str) -> dict[str, str]:
    cells = {"name": row.get("name_said"), **{k: v for k, v in row.items() if k != "name"}}
    return {c.name: shown(c, cells.get(c.name), book.settings) for c in columns_of(log)} | changed


def newest(book: Logbook, log: str) -> pd.Series:
    return named_rows(book, log).iloc[-1]


def test_a_row_without_an_entry_id_is_corrected_and_both_can_be_read(folder: Path) -> None:
    book = read_fleet(folder, NOW)
    row = newest(book, "readings")
    assert pd.isna(row["entry_id"])
    made = correction(book, "readings", row, texts(book, "readings", row, size_mm="8,4"))
    write_draft(folder, made, operator("workshop"), "fix", NOW)
    later = read_fleet(folder, NOW)
    assert later.readings["size_mm"].tolist() == [8.4]
    rows = matter(later, "readings", row["name"])
    assert rows["standing"].tolist() == ["corrected", "stands"]
    assert rows["size_mm"].tolist() == [0.33, 8.4]
    assert matter(later, "readings", "fix")["name"].tolist() == rows["name"].tolist()


def test_a_correction_can_be_corrected_again(folder: Path) -> None:
    later = NOW + pd.Timedelta(minutes=1)
    for name, size in (("one", "8"), ("two", "8,1")):
        book = read_fleet(folder, later)
        row = standing_row(matter(book, "readings", newest(book, "readings")["name"]))
        assert row is not None
        made = correction(book, "readings", row, texts(book, "readings", row, size_mm=size))
        write_draft(folder, made, operator("workshop"), name, NOW)
    assert read_fleet(folder, later).readings["size_mm"].tolist() == [8.1]


@pytest.mark.parametrize(
    "log", sorted(set(LOGS) - {"slip_windows", "plan_changes", "plans", "plan_hires"})
)
def test_a_row_of_any_log_can_be_struck_out_and_stays_in_the_history(
    folder: Path, log: str
) -> None:
    book = read_fleet(folder, NOW)
    row = newest(book, log)
    write_draft(folder, striking_out(log, row, "entered twice"), operator("office"), "strike", NOW)
    later = read_fleet(folder, NOW)
    assert len(later.tables[log]) == len(book.tables[log]) - 1
    assert len(later.history[log]) == len(book.history[log]) + 1
    rows = matter(later, log, row["name"])
    assert standing_row(rows) is None
    assert rows["reason"].dropna().tolist() == ["entered twice"]


def test_striking_out_wants_a_reason(folder: Path) -> None:
    book = read_fleet(folder, NOW)
    assert "Say why" in striking_out("readings", newest(book, "readings"), " ").wrong[0]


def test_a_correction_that_changes_nothing_is_not_written(folder: Path) -> None:
    book = read_fleet(folder, NOW)
    row = newest(book, "outings")
    made = correction(book, "outings", row, texts(book, "outings", row))
    assert made.wrong == ("Nothing was changed yet.",)


def test_a_hull_is_renamed_and_sold_by_corrections_and_keeps_its_history(folder: Path) -> None:
    book = read_fleet(folder, NOW)
    rows = named_rows(book, "hulls")
    row = rows[rows["hull_id"] == "H1"].iloc[0]
    changed = texts(book, "hulls", row, name="Plover", retired="2031-05-30")
    write_draft(folder, correction(book, "hulls", row, changed), operator("office"), "sold", NOW)
    later = read_fleet(folder, NOW)
    hull = later.hulls[later.hulls["hull_id"] == "H1"].iloc[0]
    assert hull["name"] == "Plover"
    assert hull["retired"] == pd.Timestamp("2031-05-30", tz="UTC")
    assert len(later.outings) == 20
    before = read_fleet(folder, NOW - pd.Timedelta(minutes=1))
    assert pd.isna(before.hulls[before.hulls["hull_id"] == "H1"].iloc[0]["retired"])


def test_the_newest_entries_come_first_with_who_wrote_them(folder: Path) -> None:
    book = read_fleet(folder, NOW)
    row = newest(book, "readings")
    made = correction(book, "readings", row, texts(book, "readings", row, size_mm="8"))
    write_draft(folder, made, operator("workshop"), "fix", NOW)
    entries = recent(read_fleet(folder, NOW))
    assert entries["name"].tolist()[0] == "fix"
    assert entries["entered_by"].tolist()[0] == "workshop"
    assert entries["standing"].tolist() == ["stands", "corrected"]


def test_the_rows_behind_a_finding_are_told_with_the_name_to_correct_them_by(
    folder: Path,
) -> None:
    checked = check_logs(read_fleet(folder, NOW))
    findings = findings_by_gravity(checked)
    assert findings["rule"].tolist()[0] == "inch-for-mm"
    assert bool(findings["shown"].tolist()[0])
    rows = doubted_rows(checked, "readings", "inch-for-mm")
    assert rows["about"].tolist() == ["H1 pencil"]
    assert rows["name"].tolist() == [newest(checked.logbook, "readings")["name"]]


def test_every_entry_about_a_hull_is_offered_the_latest_first(folder: Path) -> None:
    entries = entries_of(read_fleet(folder, NOW), "H1", most=12)
    assert len(entries) == 12
    assert entries["at"].is_monotonic_decreasing
    assert {"bookings", "readings", "meters", "engine_swaps", "outings"} <= set(entries["log"])
