"""The calendar file: by the letter of RFC 5545, and right by the clock on the wall."""

from __future__ import annotations

from datetime import date
from zoneinfo import ZoneInfo

import pandas as pd
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from corrosion.records.settings import Settings
from corrosion.reports.calendar_file import slots
from tests.unit.reports.calendar_texts import (
    NO_WINDOWS,
    by_the_letter,
    events,
    line,
    lines,
    written,
)

LISBON = ZoneInfo("Europe/Lisbon")
NOW = pd.Timestamp("2031-03-24 07:30", tz="UTC")


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
    calendar = events(written(line("H1", "2031-03-25"), earlier=(earlier,)))
    assert calendar["H1"]["status"] == "CONFIRMED"
    assert calendar["H2"]["status"] == "CANCELLED"
    assert calendar["H2"]["uid"] == uid
    assert calendar["H2"]["begins"].date() == date(2031, 3, 26)  # type: ignore[attr-defined]


def test_what_is_over_is_not_cancelled() -> None:
    earlier = lines(line("H1", "2031-03-18"), line("H2", "2031-03-25"), line("H3", "2031-03-27"))
    wednesday = pd.Timestamp("2031-03-26 07:30", tz="UTC")
    calendar = events(written(earlier=(earlier,), moment=wednesday))
    assert list(calendar) == ["H3"]


def test_an_event_that_was_moved_twice_is_cancelled_from_where_it_stood_last() -> None:
    plans = (lines(line("H1", "2031-03-25")), lines(line("H1", "2031-03-28")))
    calendar = events(written(earlier=plans))
    assert calendar["H1"]["begins"].date() == date(2031, 3, 28)  # type: ignore[attr-defined]
    assert calendar["H1"]["sequence"] == 2


def test_hulls_of_one_bay_follow_each_other_and_bays_work_side_by_side() -> None:
    table = lines(
        line("H1", "2031-03-25", hours=1.5),
        line("H2", "2031-03-25", hours=2.0),
        line("H3", "2031-03-25", bay=2),
    )
    planned = slots(table, Settings(timezone=LISBON), NO_WINDOWS)
    clock = [(slot.begins.strftime("%H:%M"), slot.ends.strftime("%H:%M")) for slot in planned]
    assert clock == [("08:00", "09:30"), ("09:30", "11:30"), ("08:00", "09:30")]


def test_planned_hours_are_rounded_up_to_five_minutes() -> None:
    table = lines(line("H1", "2031-03-25", hours=1.58), line("H2", "2031-03-25", hours=0.25))
    planned = slots(table, Settings(timezone=LISBON), NO_WINDOWS)
    clock = [(slot.begins.strftime("%H:%M"), slot.ends.strftime("%H:%M")) for slot in planned]
    assert clock == [("08:00", "09:35"), ("09:35", "09:50")]


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
    planned = slots(lines(line("H1", "2031-03-25")), Settings(timezone=LISBON), tide)
    assert planned[0].begins.strftime("%H:%M") == "11:20"  # the longer of its two windows


odd_text = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=90)


@given(st.lists(odd_text, min_size=1, max_size=3, unique=True))
def test_any_name_gives_a_file_to_the_letter_that_says_it_back(names: list[str]) -> None:
    text = written(*(line(name, "2031-03-25", replace=name, mooring_id=name) for name in names))
    by_the_letter(text)
    read = [str(event["description"]) for event in Calendar.from_ical(text).walk("VEVENT")]
    shown = ["".join(c if c.isprintable() else " " for c in name).split() for name in names]
    for summary, parts in zip(read, shown, strict=True):
        assert " ".join(parts) in summary


def test_a_visit_stands_at_the_half_hour_that_the_plan_gave_it() -> None:
    starts = pd.Timestamp("2031-03-25 10:30", tz="UTC")
    event = events(written({**line("H1", "2031-03-25"), "starts": starts}))["H1"]
    assert event["begins"] == starts
