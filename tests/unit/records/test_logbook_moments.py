"""Facts about times: UTC inside, the fleet's clock where a time does not say."""

from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc
import pytest
from hypothesis import given
from hypothesis import strategies as st

from corrosion.common.errors import LogRefused, Refusal
from corrosion.records.logbook import Logbook, parse_on, read_fleet
from corrosion.records.logbook.moments import assumed_by_pandas, localised
from tests.fleets import usual_fleet, write_table

LISBON = ZoneInfo("Europe/Lisbon")
LATER = "2032-06-01"


def samples_with(folder: Path, times: pa.Array, zone: str = "UTC") -> Logbook:
    """A fleet of that zone with a water sample at each of these times."""
    usual_fleet().setting(timezone=zone).write(folder)
    cells = {"mooring_id": pa.array(["E"] * len(times)), "sampled_at": times}
    write_table(folder, "water_samples", pa.table(cells))
    return read_fleet(folder, LATER)


def notes_of(logbook: Logbook) -> dict[str, tuple[str, int, str]]:
    mine = logbook.findings[logbook.findings["log"] == "water_samples"]
    notes = zip(mine["severity"], mine["rows"], mine["first"], strict=True)
    return dict(zip(mine["rule"], notes, strict=True))


NOON = datetime(2031, 7, 1, 12, 30, 15, tzinfo=UTC)


@pytest.mark.parametrize(
    "times",
    [
        *(pa.array([NOON], pa.timestamp(unit, "UTC")) for unit in ("s", "ms", "us", "ns")),
        pa.array([NOON], pa.timestamp("us", "Asia/Tokyo")),
        pa.array([NOON], pa.timestamp("ms", "+05:30")),
        pa.array([NOON], pa.timestamp("s", "Mars/Crater")),
        pa.array(["2031-07-01T12:30:15Z"]),
        pa.array(["2031-07-01 12:30:15z"]),
        pa.array([" 2031-07-01T13:30:15.000+01:00 "]),
        pa.array(["2031-07-01 13:30:15 +0100"]),
        pa.array(["2031-07-01T08:30:15,000000001-04"]).dictionary_encode(),
        pa.array([b"2031-07-01T12:30:15Z"]),
    ],
    ids=lambda array: str(array.type),
)
def test_a_time_with_its_zone_is_read_from_every_type_that_holds_one(
    tmp_path: Path, times: pa.Array
) -> None:
    logbook = samples_with(tmp_path, times, "Asia/Tokyo")
    assert logbook.water_samples["sampled_at"].tolist() == [pd.Timestamp(NOON)]
    assert notes_of(logbook) == {}


@pytest.mark.parametrize(
    "times",
    [
        pa.array([datetime(2031, 7, 1, 12, 30), None], pa.timestamp("us")),
        pa.array([datetime(2031, 7, 1, 12, 30), None], pa.timestamp("ns")),
        pa.array(["2031-07-01 12:30", ""]),
        pa.array(["2031-07-01T12:30:00.000000000", None]),
    ],
    ids=lambda array: str(array.type),
)
def test_a_time_without_a_zone_is_read_on_the_fleets_clock_and_it_is_said(
    tmp_path: Path, times: pa.Array
) -> None:
    logbook = samples_with(tmp_path, times, "Europe/Lisbon")
    known = logbook.water_samples["sampled_at"].dropna()
    assert known.tolist() == [pd.Timestamp("2031-07-01 11:30Z")]
    first = "E, 2031-07-01 12:30, sampled_at 2031-07-01 12:30"
    assert notes_of(logbook) == {"naive-time": ("note", 1, first)}
    assert "Europe/Lisbon" in logbook.findings.set_index("rule").loc["naive-time", "what_to_do"]


@pytest.mark.parametrize(
    "dates",
    [
        pa.array([date(2031, 7, 1)]),
        pa.array([date(2031, 7, 1)], pa.date64()),
        pa.array(["2031-07-01"]),
        pa.array([datetime(2031, 7, 1)], pa.timestamp("ms")),
    ],
    ids=lambda array: str(array.type),
)
def test_a_date_alone_is_midnight_of_the_fleets_clock_and_nothing_is_said(
    tmp_path: Path, dates: pa.Array
) -> None:
    usual_fleet(0).berth("X", "E").setting(timezone="Europe/Lisbon").write(tmp_path)
    cells = {"hull_id": pa.array(["X"]), "layout": pa.array(["t"]), "in_service": dates}
    write_table(tmp_path, "hulls", pa.table(cells))
    logbook = read_fleet(tmp_path, LATER)
    assert logbook.hulls["in_service"].tolist() == [pd.Timestamp("2031-06-30 23:00", tz="UTC")]
    assert "hulls" not in set(logbook.findings["log"])


def test_a_mixed_column_of_texts_is_read_cell_by_cell(tmp_path: Path) -> None:
    texts = ["2031-07-01", "2031-07-01 12:30", "2031-07-01T12:30:00Z", None, "2031-01-01T00:00+02"]
    logbook = samples_with(tmp_path, pa.array(texts), "Europe/Lisbon")
    expected = ["2030-12-31 22:00", "2031-06-30 23:00", "2031-07-01 11:30", "2031-07-01 12:30"]
    known = logbook.water_samples["sampled_at"].dropna()
    assert [f"{time:%Y-%m-%d %H:%M}" for time in known] == expected
    assert notes_of(logbook)["naive-time"][:2] == ("note", 1)


@pytest.mark.parametrize(
    ("times", "first"),
    [
        (pa.array(["2031-07-01", "07/01/2031"]), "07/01/2031"),
        (pa.array(["2031-02-30", None]), "2031-02-30"),
        (pa.array(["2031-07-01T25:00", "2031-07-01T05:00"]), "2031-07-01T25:00"),
        (pa.array(["1 July 2031", None]), "1 July 2031"),
        (pa.array(["20310701", None]), "20310701"),
        (pa.array([1940673015, None]), "1940673015"),
        (pa.array([True, None]), "True"),
    ],
    ids=lambda value: str(value)[:20],
)
def test_what_is_not_plainly_a_time_is_refused(tmp_path: Path, times: pa.Array, first: str) -> None:
    with pytest.raises(
        LogRefused,
        match=rf"water_samples: 1 row where sampled_at is not a time \(first: .*{first}\)\. Write",
    ):
        samples_with(tmp_path, times)


def test_a_time_that_the_clock_skipped_moves_on_to_when_it_went_on(tmp_path: Path) -> None:
    # IANA time zone database: Lisbon's clocks went from 01:00 to 02:00 on 2024-03-31
    skipped = pa.array([datetime(2024, 3, 31, 1, 30)], pa.timestamp("us"))
    logbook = samples_with(tmp_path, skipped, "Europe/Lisbon")
    assert logbook.water_samples["sampled_at"].tolist() == [pd.Timestamp("2024-03-31 01:00Z")]
    assert notes_of(logbook)["time-skipped"][:2] == ("doubtful", 1)


def test_a_time_that_came_twice_is_taken_as_the_earlier_and_noted(tmp_path: Path) -> None:
    # IANA time zone database: Lisbon's clocks went from 02:00 to 01:00 on 2024-10-27
    twice = pa.array([datetime(2024, 10, 27, 1, 30)], pa.timestamp("us"))
    logbook = samples_with(tmp_path, twice, "Europe/Lisbon")
    assert logbook.water_samples["sampled_at"].tolist() == [pd.Timestamp("2024-10-27 00:30Z")]
    assert notes_of(logbook)["time-twice"][:2] == ("note", 1)


@pytest.mark.parametrize(
    "times",
    [
        pa.array([2**62, -(2**62), 0], pa.timestamp("ms")),
        pa.array([2**62, -(2**62), 0], pa.timestamp("us", "UTC")),
        pa.array([2**31 - 1, -(2**31), 0], pa.date32()),
        pa.array(["9999-12-31", "0001-01-01", "1970-01-01"]),
        pa.array(["9999-12-31T00:00Z", "0001-01-01T00:00Z", "1970-01-01"]),
    ],
    ids=lambda array: f"{array.type}",
)
def test_a_time_outside_any_calendar_is_set_aside_and_counted(
    tmp_path: Path, times: pa.Array
) -> None:
    usual_fleet().write(tmp_path)
    cells = {"hull_id": ["H1"] * 3, "starts": times, "ends": times}
    write_table(tmp_path, "bookings", pa.table(cells))
    logbook = read_fleet(tmp_path, LATER)
    assert logbook.bookings["starts"].isna().sum() == 2
    findings = logbook.findings[logbook.findings["rule"] == "no-such-time"]
    assert set(zip(findings["severity"], findings["rows"], strict=True)) == {("set-aside", 2)}


@pytest.mark.parametrize(
    ("given", "moment"),
    [
        ("2031-07-01", "2031-06-30 23:00Z"),
        ("2031-07-01T14:30", "2031-07-01 13:30Z"),
        ("2031-07-01 14:30:10.5", "2031-07-01 13:30:10.5Z"),
        ("2031-07-01T14:30+02:00", "2031-07-01 12:30Z"),
        ("2031-07-01T14:30Z", "2031-07-01 14:30Z"),
        (date(2031, 7, 1), "2031-06-30 23:00Z"),
        (datetime(2031, 7, 1, 14, 30), "2031-07-01 13:30Z"),
        (datetime(2031, 7, 1, 14, tzinfo=timezone(timedelta(hours=2))), "2031-07-01 12:00Z"),
        (pd.Timestamp("2031-07-01"), "2031-06-30 23:00Z"),
        (pd.Timestamp("2031-07-01", tz="Asia/Tokyo"), "2031-06-30 15:00Z"),
    ],
)
def test_the_moment_asked_about_is_read_on_the_fleets_clock(
    given: str | date | datetime, moment: str
) -> None:
    read = parse_on(given, LISBON)
    assert read == pd.Timestamp(moment)
    assert (str(read.tz), read.unit) == ("UTC", "us")


@pytest.mark.parametrize(
    "given", ["", "today", "31.12.2031", "2031-7-1", "2031-02-30", "0001-01-01", pd.NaT]
)
def test_a_moment_that_is_none_is_refused(given: str) -> None:
    with pytest.raises(Refusal, match=r"is not a date or time\. Write 2031-05-02 or"):
        parse_on(given, LISBON)


ZONES = ["Europe/Lisbon", "America/St_Johns", "Australia/Lord_Howe", "Africa/Casablanca", "UTC"]


@given(
    st.lists(st.datetimes(datetime(1975, 1, 1), datetime(2036, 1, 1)), min_size=1, max_size=20),
    st.sampled_from(ZONES),
)
def test_clock_readings_agree_with_the_reference_library(clock: list[datetime], name: str) -> None:
    """Reference: `zoneinfo` of Python's standard library, fold 0 (the earlier of two)."""
    zone = ZoneInfo(name)
    times, twice, skipped = localised(np.array(clock, "datetime64[us]"), zone)
    for reading, moment, two, none in zip(clock, times.tolist(), twice, skipped, strict=True):
        first, second = (
            reading.replace(tzinfo=zone, fold=fold).astimezone(UTC).replace(tzinfo=None)
            for fold in (0, 1)
        )
        assert two == (first < second)
        assert none == (first > second)
        if none:  # between the two readings of a clock that jumped, at the jump
            assert second < moment <= first
        else:
            assert moment == first


@given(
    st.lists(
        st.one_of(
            st.datetimes(datetime(2020, 1, 1), datetime(2035, 1, 1)),
            st.sampled_from([datetime(2031, 3, 30, 2, 30), datetime(2031, 10, 26, 2, 30)]),
            st.sampled_from([datetime(2031, 3, 30, 1, 30), datetime(2031, 10, 26, 1, 30)]),
            st.none(),
        ),
        max_size=6,
    ),
    st.sampled_from(
        ["UTC", "Europe/Lisbon", "Europe/Dublin", "Africa/Casablanca", "Australia/Lord_Howe"]
    ),
    st.booleans(),
)
def test_times_are_the_same_where_the_system_lacks_a_time_zones_name(
    clock: list[datetime | None], name: str, first: bool
) -> None:
    """The reference is pyarrow, which reads the system's own table of time zones."""
    column = pa.array(clock, pa.timestamp("us"))
    ways = ("earliest", "latest") if first else ("latest", "earliest")
    known = pc.assume_timezone(column, name, ambiguous=ways[0], nonexistent=ways[1])
    expected = known.cast(pa.timestamp("us")).to_numpy(zero_copy_only=False)
    np.testing.assert_array_equal(assumed_by_pandas(column, ZoneInfo(name), *ways), expected)


def test_a_fleet_in_a_zone_that_the_system_does_not_name_is_read_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock = pa.array(["2031-07-01T12:30", "2031-03-30T02:30", "2031-10-26T02:30"])
    known = samples_with(tmp_path / "known", clock, "CET")

    def unknown(*_: object, **__: object) -> None:
        raise pa.ArrowInvalid("CET not found in timezone database")

    monkeypatch.setattr(pc, "assume_timezone", unknown)
    again = samples_with(tmp_path / "again", clock, "CET")
    pd.testing.assert_frame_equal(again.water_samples, known.water_samples)
    assert notes_of(again) == notes_of(known)
