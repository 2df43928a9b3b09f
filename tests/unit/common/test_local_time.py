"""Clock readings and calendar days over a change of the clocks.

Europe/Lisbon by the time zone database: put forward on 2031-03-30 01:00 UTC (01:00 to 02:00 on the
wall), put back on 2031-10-26 01:00 UTC (02:00 to 01:00).
"""

from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from corrosion.common import (
    after_days,
    dates_after_days,
    midnight_before,
    moment_at,
    read_clock,
)
from corrosion.records.logbook.moments import localised

LISBON = ZoneInfo("Europe/Lisbon")


def utc(text: str) -> pd.Timestamp:
    return pd.Timestamp(text, tz="UTC")


def test_of_two_alike_the_earlier_is_meant_and_the_second_is_told() -> None:
    reading = read_clock(datetime(2031, 10, 26, 1, 30), LISBON)
    assert reading.moment == utc("2031-10-26 00:30")
    assert reading.second == utc("2031-10-26 01:30")
    assert not reading.skipped


def test_a_reading_that_never_was_is_the_next_that_the_clock_showed() -> None:
    reading = read_clock(datetime(2031, 3, 30, 1, 30), LISBON)
    assert reading.moment == utc("2031-03-30 01:00")
    assert (reading.second, reading.skipped) == (None, True)


@pytest.mark.parametrize("start", ["2031-10-20 00:00", "2031-03-24 00:00", "2031-10-24 07:30"])
def test_seven_days_on_it_is_as_late_on_the_clock(start: str) -> None:
    # 168 hours on, it would be 23:00 of the day before in autumn and 01:00 in spring
    moment = pd.Timestamp(start, tz=LISBON)
    later = after_days(moment, 7, LISBON)
    assert later.tz_localize(None) == pd.Timestamp(start) + pd.Timedelta(days=7)
    assert later - moment != pd.Timedelta(hours=168)


walls = st.datetimes(datetime(2031, 3, 1), datetime(2031, 11, 30))


@given(walls)
def test_single_readings_and_columns_of_them_follow_one_rule(wall: datetime) -> None:
    stamp = pd.Timestamp(wall).as_unit("us")
    times, twice, skipped = localised(stamp.to_datetime64().reshape(1), LISBON)
    reading = read_clock(wall, LISBON)
    assert reading.moment == utc(str(times[0]))
    assert (reading.second is not None, reading.skipped) == (twice[0], skipped[0])
    assert moment_at(wall, LISBON) == reading.moment


@given(walls, st.integers(0, 400))
def test_whole_days_keep_the_date_of_the_calendar(wall: datetime, days: int) -> None:
    start = moment_at(wall, LISBON)
    shown = start.tz_convert(LISBON).tz_localize(None) + pd.Timedelta(days=days)
    assert after_days(start, days, LISBON).date() == shown.date()


@given(
    st.lists(st.floats(0.0, 3660.0), max_size=6),
    st.sampled_from(["2031-03-29 12:10", "2031-10-25 01:30", "2031-07-01 00:00"]),
    st.sampled_from([LISBON, ZoneInfo("Australia/Lord_Howe"), ZoneInfo("America/Sao_Paulo")]),
)
def test_dates_all_at_once_are_the_dates_one_by_one(
    days: list[float], on: str, zone: ZoneInfo
) -> None:
    moment = utc(on)
    days_ahead = np.array([*days, np.nan, 0.0, 1.0, 155.5])
    one_by_one = [
        None if np.isnan(each) else after_days(moment, float(each), zone).date()
        for each in days_ahead
    ]
    assert dates_after_days(moment, days_ahead, zone) == one_by_one


@pytest.mark.parametrize(
    ("moment", "began"),
    [
        ("2031-03-30 12:00", "2031-03-30 00:00"),
        ("2031-06-14 23:30", "2031-06-14 23:00"),  # summer time: the next day has begun
        ("2031-06-14 22:59", "2031-06-13 23:00"),
        ("2031-10-26 23:00", "2031-10-25 23:00"),  # a day of 25 hours
    ],
)
def test_a_day_begins_at_midnight_on_the_fleets_own_clock(moment: str, began: str) -> None:
    assert midnight_before(utc(moment), LISBON) == utc(began)


def test_where_a_clock_never_showed_midnight_the_day_begins_when_it_was_put_forward() -> None:
    # Africa/Cairo by the time zone database: put forward on 2031-04-25 at 00:00 to 01:00
    cairo = ZoneInfo("Africa/Cairo")
    assert midnight_before(utc("2031-04-25 10:00"), cairo) == utc("2031-04-24 22:00")
