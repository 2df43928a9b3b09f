"""Clock changes in the calendar file: every moment is the one on the wall."""

from __future__ import annotations

import io
import re
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pandas as pd
import pytest
from dateutil.tz import tzical
from icalendar import Calendar

from corrosion.records.settings import Bay
from corrosion.reports.zone_rules import zone_rules
from tests.unit.reports.calendar_texts import (
    by_the_letter,
    events,
    line,
    unfolded,
    written,
)

LISBON = ZoneInfo("Europe/Lisbon")
NOW = pd.Timestamp("2031-03-24 07:30", tz="UTC")


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
    begins = {
        (f"{part.decoded('dtstart'):%Y-%m-%dT%H:%M}",
         int(part.decoded("tzoffsetto").total_seconds() // 60))
        for part in rules.subcomponents[1:]
    }  # fmt: skip
    assert begins == onsets
