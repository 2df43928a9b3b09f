"""The logs that the simulator writes are logs of the contract, spoilt only where it says so."""

from __future__ import annotations

import pandas as pd
import pytest

from tests.known_truth.simulator import simulate, write
from tests.known_truth.small import small

pytestmark = pytest.mark.slow

REQUIRED = {
    "hulls": {"hull_id", "layout"},
    "moorings": {"mooring_id", "water"},
    "berths": {"hull_id", "mooring_id", "stays", "since"},
    "water_samples": {"mooring_id", "sampled_at"},
    "anode_positions": {
        *("layout", "position", "circuit", "alloy", "new_size_mm", "limit_size_mm"),
    },
    "outings": {"hull_id", "started", "ended", "engine_hours"},
    "flushes": {"hull_id", "flushed_at"},
    "fittings": {"hull_id", "position", "fitted_at"},
    "readings": {"hull_id", "position", "read_at"},
    "bookings": {"hull_id", "starts", "ends"},
}


def test_logs_hold_what_the_contract_requires(fleet, tmp_path):
    folder = write(fleet, tmp_path / "fleet")
    for log, columns in REQUIRED.items():
        if log == "bookings" and not fleet.plan.bookings:
            continue
        table = pd.read_parquet(folder / log)
        assert columns <= set(table.columns), log
        assert table[sorted(columns)].notna().all(axis=None), log
        for column in table.columns[table.dtypes.astype(str).str.startswith("datetime")]:
            assert str(table[column].dtype) == "datetime64[us, UTC]", (log, column)


def test_logs_end_at_the_end_of_the_logs_except_bookings(fleet):
    times = {"outings": "ended", "flushes": "flushed_at", "readings": "read_at"}
    times |= {"fittings": "fitted_at", "water_samples": "sampled_at"}
    for log, column in times.items():
        assert fleet.tables[log][column].max() <= fleet.end
    if fleet.plan.bookings:
        assert fleet.tables["bookings"]["starts"].max() > fleet.end


def test_a_reading_says_a_size_or_a_range_or_a_verdict(fleet):
    readings = fleet.tables["readings"]
    ways = readings["size_mm"].notna().astype(int)
    ways += (readings["size_low_mm"].notna() & readings["size_high_mm"].notna()).astype(int)
    ways += readings["verdict"].notna().astype(int)
    assert (ways == 1).all()
    assert (readings["size_low_mm"].dropna() <= readings["size_high_mm"].dropna()).all()


def test_the_book_as_it_stood_holds_no_hire_booked_later(tmp_path):
    fleet = small("late_bookings")
    on = fleet.dates(3)[1]
    book = pd.read_parquet(write(fleet, tmp_path / "then", on) / "bookings")
    whole = pd.read_parquet(write(fleet, tmp_path / "later") / "bookings")
    past, ahead = whole["starts"] <= on, whole["starts"] > on + pd.Timedelta(days=20)
    assert (book["starts"] <= on).sum() == past.sum()
    assert 0 < (book["starts"] > on + pd.Timedelta(days=20)).sum() < 0.5 * ahead.sum()
    assert "taken_h" not in book


def test_kinds_differ_in_what_they_are_for():
    eye = small("by_eye").tables["readings"]
    assert eye["size_low_mm"].notna().mean() == pytest.approx(0.5, abs=0.08)
    assert eye["verdict"].notna().mean() == pytest.approx(0.2, abs=0.07)
    assert (small("rounded").tables["readings"]["size_mm"] * 2 % 1 == 0).all()
    assert "bookings" not in small("nobookings").tables
    assert set(small("fresh_only").tables["moorings"]["water"]) == {"fresh"}
    assert len(small("many_moorings").moorings) == 6


def test_planted_mistakes_stand_in_the_rows_that_are_said():
    fleet = small("messy")
    planted = fleet.planted
    assert {"inches", "negative", "twice"} <= set(planted["mistake"])
    negative = planted.query("mistake == 'negative'")["row"]
    assert (fleet.tables["outings"].loc[negative, "engine_hours"] < 0).all()
    inches = planted.query("mistake == 'inches'")["row"]
    assert (fleet.tables["readings"].loc[inches, "size_mm"] < 1.0).all()
    for log in ("readings", "outings", "flushes"):
        rows = planted.query("log == @log and mistake == 'twice'")["row"]
        assert fleet.tables[log].loc[rows].duplicated(keep=False).all()
        assert fleet.tables[log].duplicated(keep=False).sum() == len(rows)


def test_changes_that_nobody_wrote_down_leave_no_trace_in_the_logs():
    fleet = simulate("messy", 1)
    written = len(fleet.tables["fittings"])
    assert 0 < len(fleet.lives) - written < 0.1 * len(fleet.lives)
    assert fleet.tables["readings"].drop_duplicates()["removed"].sum() == written - len(
        fleet.tables["fittings"].drop_duplicates(["hull_id", "position"])
    )
