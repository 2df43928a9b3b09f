"""The calendar file: by the letter of RFC 5545, and right by the clock on the wall."""

from __future__ import annotations

import io
import re
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pandas as pd
import pytest
from dateutil.tz import tzical
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from corrosion.records.settings import Bay, Settings
from corrosion.reports.calendar_file import calendar, slots
from corrosion.reports.zone_rules import zone_rules

LISBON = ZoneInfo("Europe/Lisbon")
NOW = pd.Timestamp("2031-03-24 07:30", tz="UTC")
NO_WINDOWS = pd.DataFrame(
    {
        "mooring_id": pd.Series(dtype=object),
        "opens": pd.Series(dtype="datetime64[us, UTC]"),
        "closes": pd.Series(dtype="datetime64[us, UTC]"),
    }
)


def line(hull_id: str, day: str, **cells: object) -> dict[str, object]:
    usual = {"mooring_id": "E", "bay": 1, "replace": "pencil", "measure": "", "hours": 1.5}
    return {"hull_id": hull_id, "day": date.fromisoformat(day), "parts": "1 x A", **usual, **cells}


def lines(*rows: dict[str, object]) -> pd.DataFrame:
    return pd.DataFrame(list(rows), columns=list(line("H", "2031-03-24")))


def written(
    *rows: dict[str, object],
    earlier: tuple[pd.DataFrame, ...] = (),
    zone: ZoneInfo = LISBON,
    bays: tuple[Bay, ...] = (),
    windows: pd.DataFrame = NO_WINDOWS,
    week: str = "2031-03-24",
    issued: bool = True,
    moment: pd.Timestamp = NOW,
) -> bytes:
    return calendar(
        lines(*rows),
        earlier,
        Settings(timezone=zone, bays=bays),
        windows,
        week=date.fromisoformat(week),
        moment=moment,
        issued=issued,
    )


def events(text: bytes) -> dict[str, dict[str, object]]:
    """Hull to its event, as a strict reader of the library sees it."""
    found = Calendar.from_ical(text)
    assert not found.errors
    read = {}
    for event in found.walk("VEVENT"):
        assert not event.errors
        read[str(event["summary"]).split()[0]] = {
            "uid": str(event["uid"]),
            "begins": event.decoded("dtstart"),
            "ends": event.decoded("dtend"),
            "status": str(event["status"]),
            "sequence": int(event["sequence"]),
            "said": str(event["description"]),
        }
    return read


def unfolded(text: bytes) -> list[str]:
    """RFC 5545, 3.1: a line break before a space or tab is a fold; nothing else is removed."""
    return re.sub(r"\r\n[ \t]", "", text.decode("utf-8")).split("\r\n")


def by_the_letter(text: bytes) -> None:
    """Check against RFC 5545 without the library that wrote it."""
    assert text.endswith(b"\r\n")
    for raw in text.split(b"\r\n"):
        assert len(raw) <= 75  # 3.1: lines SHOULD NOT be longer than 75 octets
        assert b"\r" not in raw
        assert b"\n" not in raw
    rows = unfolded(text)[:-1]
    assert rows[0] == "BEGIN:VCALENDAR"
    assert rows[-1] == "END:VCALENDAR"
    open_: list[str] = []
    names: list[list[str]] = []
    for row in rows:
        # 3.1: name *(";" param) ":" value; names are letters, digits and hyphens
        assert re.match(r"[A-Z0-9-]+(;[A-Z-]+=(\"[^\"]*\"|[^\";:,]*))*:", row), row
        name, _, value = row.partition(":")
        if name == "BEGIN":
            open_.append(value)
            names.append([])
        elif name == "END":
            assert open_.pop() == value
            within = names.pop()
            if value == "VEVENT":  # 3.6.1: required once each
                for must in ("UID", "DTSTAMP", "DTSTART", "DTEND", "SEQUENCE", "STATUS"):
                    assert within.count(must) == 1
            if value == "VTIMEZONE":  # 3.6.5
                assert within.count("TZID") == 1
            if value in ("STANDARD", "DAYLIGHT"):
                for must in ("DTSTART", "TZOFFSETFROM", "TZOFFSETTO"):
                    assert within.count(must) == 1
        else:
            names[-1].append(name.partition(";")[0])
        if name.partition(";")[0] in ("SUMMARY", "LOCATION", "DESCRIPTION"):
            # 3.3.11: comma, semicolon and backslash are escaped; no control characters
            assert not re.search(r"(?<!\\)(\\\\)*[,;]", value), row
            assert not re.search(r"[\x00-\x08\x0a-\x1f\x7f]", value)
    assert not open_
    assert rows.count("VERSION:2.0") == 1
    assert sum(row.startswith("PRODID:") for row in rows) == 1


def defined_zones(text: bytes) -> set[str]:
    return {row[5:] for row in unfolded(text) if row.startswith("TZID:")}


def used_zones(text: bytes) -> set[str]:
    return set(re.findall(r"^DT\w+;TZID=([^:;]+):", "\n".join(unfolded(text)), re.MULTILINE))


def utc_by_rules(text: bytes, local: datetime) -> datetime:
    """Local time to UTC by the file's own VTIMEZONE alone, as a phone that knows no zones does.

    RFC 5545, 3.6.5: the observance with the last onset at or before the moment holds.
    """
    onsets = []
    for zone in Calendar.from_ical(text).walk("VTIMEZONE"):
        for part in zone.walk():
            if part.name in ("STANDARD", "DAYLIGHT"):
                begins = [part.decoded("dtstart")]
                dates = part.get("rdate", [])
                for each in dates if isinstance(dates, list) else [dates]:
                    begins += [entry.dt for entry in each.dts]
                assert "rrule" not in part  # written out, so that no rule has to be worked out
                onsets += [(when, part.decoded("tzoffsetto")) for when in begins]
    offset = max((when, to) for when, to in onsets if when <= local.replace(tzinfo=None))[1]
    return (local.replace(tzinfo=None) - offset).replace(tzinfo=UTC)


# The days on which clocks change in the European Union: last Sundays of March and October
# (Directive 2000/84/EC), 30 March and 26 October 2031.
@pytest.mark.parametrize(
    ("day", "offset_h"),
    [("2031-03-28", 0), ("2031-03-31", 1), ("2031-10-24", 1), ("2031-10-27", 0)],
)
def test_a_bay_opens_at_the_same_time_on_the_wall_on_both_sides_of_a_clock_change(
    day: str, offset_h: int
) -> None:
    text = written(line("H1", day), bays=(Bay("E", hours=(time(7, 30), time(16))),))
    begins = events(text)["H1"]["begins"]
    assert isinstance(begins, datetime)
    assert begins.replace(tzinfo=None) == datetime.fromisoformat(f"{day}T07:30")
    assert begins.utcoffset() == timedelta(hours=offset_h)
    assert utc_by_rules(text, begins) == begins.astimezone(UTC)
    assert f"DTSTART;TZID=Europe/Lisbon:{day.replace('-', '')}T073000" in unfolded(text)


@pytest.mark.parametrize("zone", ["Europe/Lisbon", "America/St_Johns", "Australia/Lord_Howe"])
def test_another_reader_of_the_zone_finds_the_same_moments(zone: str) -> None:
    # python-dateutil works from the file's VTIMEZONE alone; reference library
    days = ["2031-01-15", "2031-03-08", "2031-03-31", "2031-07-01", "2031-10-30", "2031-12-20"]
    text = written(*(line(f"H{n}", day) for n, day in enumerate(days)), zone=ZoneInfo(zone))
    read = tzical(io.StringIO("\n".join(unfolded(text)))).get(zone)
    for event in events(text).values():
        begins = event["begins"]
        assert isinstance(begins, datetime)
        assert begins.replace(tzinfo=read).astimezone(UTC) == begins.astimezone(UTC)


@pytest.mark.parametrize("day", ["2031-03-30", "2031-10-26"])
def test_hours_pass_as_they_pass_on_the_day_on_which_the_clocks_change(day: str) -> None:
    night = (Bay("E", hours=(time(0, 30), time(23))),)
    slot = events(written(line("H1", day, hours=4.0), bays=night))["H1"]
    begins, ends = slot["begins"], slot["ends"]
    assert isinstance(begins, datetime)
    assert isinstance(ends, datetime)
    assert ends.astimezone(UTC) - begins.astimezone(UTC) == timedelta(hours=4)


@pytest.mark.parametrize("zone", ["CET", "America/St_Johns", "Australia/Lord_Howe", "Asia/Tokyo"])
def test_other_zones_are_defined_too_and_their_rules_give_the_same_moments(zone: str) -> None:
    text = written(line("H1", "2031-04-08"), line("H2", "2031-11-05"), zone=ZoneInfo(zone))
    by_the_letter(text)
    assert used_zones(text) <= defined_zones(text)
    for event in events(text).values():
        begins = event["begins"]
        assert isinstance(begins, datetime)
        assert utc_by_rules(text, begins) == begins.astimezone(UTC)
        assert begins.astimezone(ZoneInfo(zone)).time() == time(8)


def test_a_fleet_on_utc_needs_no_zone() -> None:
    text = written(line("H1", "2031-04-08"), zone=ZoneInfo("UTC"))
    by_the_letter(text)
    assert "DTSTART:20310408T080000Z" in unfolded(text)
    assert not defined_zones(text)


def test_every_zone_that_is_used_is_defined() -> None:
    text = written(line("H1", "2031-03-28"))
    assert used_zones(text) == defined_zones(text) == {"Europe/Lisbon"}


def test_an_empty_plan_is_a_calendar_without_events() -> None:
    text = written()
    by_the_letter(text)
    assert events(text) == {}


def test_a_draft_is_tentative_and_an_issued_plan_confirmed() -> None:
    assert events(written(line("H1", "2031-03-25"), issued=False))["H1"]["status"] == "TENTATIVE"
    assert events(written(line("H1", "2031-03-25")))["H1"]["status"] == "CONFIRMED"


def test_a_hull_that_moves_within_its_week_keeps_its_uid_and_its_sequence_grows() -> None:
    first = lines(line("H1", "2031-03-25"))
    old = events(written(line("H1", "2031-03-25")))["H1"]
    new = events(written(line("H1", "2031-03-27"), earlier=(first,)))["H1"]
    again = events(written(line("H1", "2031-03-27"), earlier=(first, first)))["H1"]
    assert old["uid"] == new["uid"] == again["uid"]
    assert [old["sequence"], new["sequence"], again["sequence"]] == [0, 1, 2]
    assert new["begins"] > old["begins"]  # type: ignore[operator]


def test_hulls_and_weeks_have_uids_of_their_own() -> None:
    both = events(written(line("H1", "2031-03-25"), line("H2", "2031-03-25")))
    later = events(written(line("H1", "2031-04-01")))
    assert len({both["H1"]["uid"], both["H2"]["uid"], later["H1"]["uid"]}) == 3


def test_a_pull_out_that_is_dropped_is_cancelled_where_it_stood() -> None:
    earlier = lines(line("H1", "2031-03-25"), line("H2", "2031-03-26"))
    uid = events(written(line("H2", "2031-03-26")))["H2"]["uid"]
    found = events(written(line("H1", "2031-03-25"), earlier=(earlier,)))
    assert found["H1"]["status"] == "CONFIRMED"
    assert found["H2"]["status"] == "CANCELLED"
    assert found["H2"]["uid"] == uid
    assert found["H2"]["begins"].date() == date(2031, 3, 26)  # type: ignore[attr-defined]


def test_what_is_over_is_not_cancelled() -> None:
    earlier = lines(line("H1", "2031-03-18"), line("H2", "2031-03-25"), line("H3", "2031-03-27"))
    wednesday = pd.Timestamp("2031-03-26 07:30", tz="UTC")
    found = events(written(earlier=(earlier,), moment=wednesday))
    assert list(found) == ["H3"]


def test_an_event_that_was_moved_twice_is_cancelled_from_where_it_stood_last() -> None:
    plans = (lines(line("H1", "2031-03-25")), lines(line("H1", "2031-03-28")))
    found = events(written(earlier=plans))
    assert found["H1"]["begins"].date() == date(2031, 3, 28)  # type: ignore[attr-defined]
    assert found["H1"]["sequence"] == 2


def test_hulls_of_one_bay_follow_each_other_and_bays_work_side_by_side() -> None:
    table = lines(
        line("H1", "2031-03-25", hours=1.5),
        line("H2", "2031-03-25", hours=2.0),
        line("H3", "2031-03-25", bay=2),
    )
    found = slots(table, Settings(timezone=LISBON), NO_WINDOWS)
    clock = [(slot.begins.strftime("%H:%M"), slot.ends.strftime("%H:%M")) for slot in found]
    assert clock == [("08:00", "09:30"), ("09:30", "11:30"), ("08:00", "09:30")]


def test_planned_hours_are_rounded_up_to_five_minutes() -> None:
    table = lines(line("H1", "2031-03-25", hours=1.58), line("H2", "2031-03-25", hours=0.25))
    found = slots(table, Settings(timezone=LISBON), NO_WINDOWS)
    clock = [(slot.begins.strftime("%H:%M"), slot.ends.strftime("%H:%M")) for slot in found]
    assert clock == [("08:00", "09:35"), ("09:35", "09:50")]


def test_both_changes_of_the_clock_are_in_the_definition_of_the_zone() -> None:
    rows = unfolded(written(line("H1", "2031-06-25")))
    # both at 01:00 UTC (Directive 2000/84/EC): 01:00 by winter time, 02:00 by summer time
    assert {"DTSTART:20310330T010000", "DTSTART:20311026T020000"} <= set(rows)


# Changes printed in the IANA Time Zone Database, rule lines of `europe`, `northamerica` and
# `australasia` (from memory): Newfoundland at 02:00 local, Lord Howe by half an hour.
@pytest.mark.parametrize(
    ("zone", "onsets"),
    [
        ("America/St_Johns", {("2031-03-09T02:00", -150), ("2031-11-02T02:00", -210)}),
        ("Australia/Lord_Howe", {("2031-04-06T02:00", 630), ("2031-10-05T02:00", 660)}),
        ("Asia/Tokyo", set()),
    ],
)
def test_clock_changes_begin_by_the_clock_that_they_end(
    zone: str, onsets: set[tuple[str, int]]
) -> None:
    rules = zone_rules(ZoneInfo(zone), 2031, 2031)
    found = {
        (f"{part.decoded('dtstart'):%Y-%m-%dT%H:%M}",
         int(part.decoded("tzoffsetto").total_seconds() // 60))
        for part in rules.subcomponents[1:]
    }  # fmt: skip
    assert found == onsets


def test_work_begins_when_the_slip_can_be_used() -> None:
    tide = pd.DataFrame(
        {
            "mooring_id": ["E", "E", "B"],
            "opens": pd.to_datetime(
                ["2031-03-25 06:00", "2031-03-25 11:20", "2031-03-25 09:00"], utc=True
            ),
            "closes": pd.to_datetime(
                ["2031-03-25 08:30", "2031-03-25 15:00", "2031-03-25 18:00"], utc=True
            ),
        }
    )
    found = slots(lines(line("H1", "2031-03-25")), Settings(timezone=LISBON), tide)
    assert found[0].begins.strftime("%H:%M") == "11:20"  # the longer of its two windows


odd_text = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=90)


@given(st.lists(odd_text, min_size=1, max_size=3, unique=True))
def test_any_name_gives_a_file_to_the_letter_that_says_it_back(names: list[str]) -> None:
    text = written(*(line(name, "2031-03-25", replace=name, mooring_id=name) for name in names))
    by_the_letter(text)
    read = [str(event["description"]) for event in Calendar.from_ical(text).walk("VEVENT")]
    shown = ["".join(c if c.isprintable() else " " for c in name).split() for name in names]
    for said, parts in zip(read, shown, strict=True):
        assert " ".join(parts) in said
