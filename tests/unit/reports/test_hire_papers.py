"""The list of changed hires for the desk, and the same hires in the calendar file."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from zoneinfo import ZoneInfo

import pandas as pd
import pytest
from icalendar import Calendar

from corrosion.forecast.appraisal import Appraisal, appraise
from corrosion.records.settings import Settings
from corrosion.reports import changed_hires
from corrosion.reports.calendar_file import calendar
from corrosion.reports.week_papers import hires_of_week
from corrosion.workshop.plan import Plan
from tests.fleets import usual_fleet
from tests.plans import a_plan, pull, pulls
from tests.unit.reports.calendar_texts import NO_WINDOWS, by_the_letter

LISBON = ZoneInfo("Europe/Lisbon")


def hire(start: str, hull_id: str, to: str, change: str, cost: float) -> dict[str, object]:
    starts = pd.Timestamp(start, tz="UTC")
    return {
        "starts": starts, "ends": starts + pd.Timedelta(hours=2), "hull_id": hull_id,
        "to_hull_id": to, "change": change, "cost": cost, "why": "H1 is in the bay",
        "mooring_id": "E", "kind": "twin",
    }  # fmt: skip


HIRES = pd.DataFrame(
    [
        hire("2031-06-03 08:00", "H1", "H2", "move", 10.0),
        hire("2031-06-04 08:00", "H1", "", "cancel", 180.0),
        hire("2031-06-08 22:30", "H3", "", "look-first", 0.0),
        hire("2031-06-11 08:00", "H4", "H2", "move", 10.0),
    ]
)


@pytest.fixture
def plan() -> Plan:
    return replace(a_plan(), hires=HIRES)


@pytest.fixture(scope="module")
def appraisal(tmp_path_factory: pytest.TempPathFactory) -> Appraisal:
    fleet = usual_fleet(2).setting(timezone="Europe/Lisbon", currency="EUR")
    for hull_id in ("H1", "H2"):
        fleet.season(hull_id, "2031-04-02", 55)
        fleet.reading(hull_id, "pencil", "2031-05-20 07:00", 8.0)
    return appraise(fleet.write(tmp_path_factory.mktemp("fleet")), "2031-06-02 05:30")


def test_the_desk_reads_what_becomes_of_each_hire_by_the_clock_on_its_wall(
    plan: Plan, appraisal: Appraisal
) -> None:
    page = changed_hires(plan, appraisal)
    assert "4 hires change" in page
    assert "Tue 3 Jun 2031, 09:00 to 11:00" in page  # Lisbon is an hour ahead in June
    assert "Moves to <bdi>H2</bdi>" in page
    assert "Call it off" in page
    assert "Waits for a look" in page
    assert page.count("customer told") == 4


def test_a_plan_that_changes_no_hire_says_so(appraisal: Appraisal) -> None:
    assert "No hire changes within two weeks" in changed_hires(a_plan(), appraisal)


def test_the_week_has_the_hires_that_begin_in_it_by_the_fleets_own_days(plan: Plan) -> None:
    assert list(hires_of_week(plan.hires, plan.week, ZoneInfo("UTC"))["hull_id"]) == [
        "H1",
        "H1",
        "H3",
    ]
    # 22:30 UTC on Sunday is Monday by the clock of Tallinn
    assert list(hires_of_week(plan.hires, plan.week, ZoneInfo("Europe/Tallinn"))["hull_id"]) == [
        "H1",
        "H1",
    ]


def test_the_calendar_has_changed_hires_at_their_hours_and_leaves_them_to_the_desk(
    plan: Plan,
) -> None:
    file = calendar(
        pulls(pull("H1", "2031-06-03")).assign(replace="", measure="", parts=""), (),
        Settings(timezone=LISBON), NO_WINDOWS, week=date(2031, 6, 2), moment=plan.on, issued=True,
        hires=plan.hires,
    )  # fmt: skip
    by_the_letter(file)
    events = Calendar.from_ical(file).walk("VEVENT")
    by_summary = {str(each["summary"]): each for each in events}
    assert "Hire of H1 is called off" in by_summary
    assert "Hire of H3 waits for a look" in by_summary
    moved = by_summary["Hire of H1 moves to H2"]
    assert str(moved["status"]) == "TENTATIVE"
    assert moved.decoded("dtstart") == pd.Timestamp("2031-06-03 08:00", tz="UTC")
    assert len({str(each["uid"]) for each in events}) == 5
