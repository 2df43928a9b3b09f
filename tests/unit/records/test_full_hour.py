"""What a server works out of thousands of hulls is of the full hour, never of another day."""

from __future__ import annotations

from pathlib import Path
from zoneinfo import ZoneInfo

import pandas as pd
import pytest

from corrosion.records import read_fleet
from corrosion.records.logbook import moments
from corrosion.records.logbook.moments import full_hour
from tests.bench.wide_fleet import write_wide_fleet

LISBON, CALCUTTA = ZoneInfo("Europe/Lisbon"), ZoneInfo("Asia/Kolkata")


def utc(text: str) -> pd.Timestamp:
    return pd.Timestamp(text, tz="UTC")


@pytest.mark.parametrize(
    ("moment", "full"),
    [
        ("2031-06-14 09:10", "2031-06-14 10:00"),
        ("2031-06-14 10:00", "2031-06-14 10:00"),
        ("2031-06-14 22:20", "2031-06-14 22:59"),  # midnight in Lisbon is 23:00
        ("2031-06-14 22:59:30", "2031-06-14 22:59:30"),  # and past its last minute no hour fills
        ("2031-06-14 23:00", "2031-06-14 23:00"),
    ],
)
def test_the_hour_is_filled_up_and_no_day_is_begun_before_its_time(moment: str, full: str) -> None:
    assert full_hour(utc(moment), 1_000, LISBON) == utc(full)
    assert full_hour(utc(moment), 999, LISBON) == utc(moment)


def test_where_the_clock_is_half_an_hour_off_the_day_still_ends_at_its_own_midnight() -> None:
    assert full_hour(utc("2031-06-14 18:10"), 5_000, CALCUTTA) == utc("2031-06-14 18:29")


def test_only_who_asks_for_it_and_names_no_moment_gets_the_full_hour(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = write_wide_fleet(tmp_path, 3)
    last = read_fleet(folder).on
    monkeypatch.setattr(moments, "MANY_HULLS", 3)
    assert read_fleet(folder).on == last  # a command's answer is of the moment itself
    assert read_fleet(folder, to_the_hour=True).on == last.ceil("h") != last
    assert read_fleet(folder, last, to_the_hour=True).on == last
