"""What the desk was told of hires, where it is read: list, calendar file, the auditor's report."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest
from icalendar import Calendar

from corrosion.forecast import Appraisal, appraise
from corrosion.records import append, operator
from corrosion.reports import calendar_of_week, changed_hires, hull_report
from corrosion.workshop import Plan, issue_plan
from tests.fleets import usual_fleet
from tests.plans import a_plan, left
from tests.unit.reports.calendar_texts import by_the_letter
from tests.unit.workshop.test_hires_told import ISSUED_AT, hire

pytestmark = pytest.mark.slow

TOLD = ("2031-06-03 08:00", "2031-06-04 08:00", "2031-06-05 08:00")
LATER = ISSUED_AT + pd.Timedelta(hours=3)


def planned(*hires: dict[str, object], on: pd.Timestamp = ISSUED_AT) -> Plan:
    table = pd.DataFrame(list(hires), columns=list(hire("H1")))
    stay = (left("H1"), left("H2"))
    return replace(a_plan(stay=stay, on=f"{on:%Y-%m-%d %H:%M}"), hires=table)


def on_day(number: int, change: str = "move", to: str = "") -> dict[str, object]:
    return hire("H1", change, to, pd.Timestamp(TOLD[number], tz="UTC"))


THEN = planned(on_day(0, to="H2"), on_day(1, to="H2"), on_day(2, to="H2"))
NOW = planned(
    on_day(1, "cancel"), hire("H2", to="H1", starts=pd.Timestamp("2031-06-06", tz="UTC")), on=LATER
)


@pytest.fixture(scope="module")
def after(tmp_path_factory: pytest.TempPathFactory) -> Appraisal:
    """Three moves were told; the first is in the book, one is called off now, one is dropped."""
    fleet = usual_fleet(2).setting(timezone="Europe/Lisbon", currency="EUR")
    for hull_id in ("H1", "H2"):
        fleet.season(hull_id, "2031-04-02", 55)
        fleet.reading(hull_id, "pencil", "2031-05-20 07:00", 8.0)
    for number, starts in enumerate(TOLD):
        ends = f"{pd.Timestamp(starts) + pd.Timedelta(hours=2)}"
        fleet.booking("H1", starts, ends, entry_id=f"hire-{number}")
    folder: Path = fleet.write(tmp_path_factory.mktemp("fleet"))
    issue_plan(folder, THEN, appraise(folder, ISSUED_AT), operator("office"), now=ISSUED_AT)
    starts = pd.Timestamp(TOLD[0], tz="UTC")
    row = {"hull_id": "H2", "starts": starts, "ends": starts + pd.Timedelta(hours=2)}
    moved = pd.DataFrame([row | {"corrects": "hire-0"}])
    append(folder, "bookings", moved, operator("desk"), ISSUED_AT + pd.Timedelta(hours=1))
    return appraise(folder, LATER)


def test_the_desks_list_says_of_each_hire_whether_it_was_told_so(after: Appraisal) -> None:
    page = changed_hires(NOW, after)
    assert "told otherwise on Mon 2 Jun 2031, 06:30: move to H2" in page
    assert "new: not told before" in page
    assert "Stays after all" in page
    assert page.count("customer told") == 3  # the one in the book already wants nothing
    again = changed_hires(planned(on_day(1, to="H2"), on=LATER), after)
    assert "as told on Mon 2 Jun 2031, 06:30" in again


def test_a_calendar_of_an_issued_plan_has_the_hires_that_it_told_of_and_what_the_book_made_of_them(
    after: Appraisal,
) -> None:
    file, issued = calendar_of_week(NOW, after.logbook)
    assert issued
    by_the_letter(file)
    events = {
        f"{event.decoded('dtstart'):%d}": (str(event["summary"]), str(event["status"]))
        for event in Calendar.from_ical(file).walk("VEVENT")
    }
    assert events == {
        "03": ("Hire of H1 moves to H2", "CONFIRMED"),
        "04": ("Hire of H1 moves to H2", "TENTATIVE"),
        "05": ("Hire of H1 moves to H2", "TENTATIVE"),
    }
    assert "As the desk was told on 2031-06-02 06:30." in file.decode().replace("\r\n ", "")


def test_a_hire_that_the_next_plan_asks_for_no_more_is_cancelled_in_its_calendar(
    after: Appraisal,
) -> None:
    issue_plan(after.logbook.folder, NOW, after, operator("office"), now=LATER)
    logbook = appraise(after.logbook.folder, LATER + pd.Timedelta(minutes=1)).logbook
    events = {
        f"{event.decoded('dtstart'):%d}": (str(event["summary"]), str(event["status"]))
        for event in Calendar.from_ical(calendar_of_week(NOW, logbook)[0]).walk("VEVENT")
    }
    assert events == {
        "03": ("Hire of H1 moves to H2", "CONFIRMED"),
        "04": ("Hire of H1 is called off", "TENTATIVE"),
        "05": ("Hire of H1 moves to H2", "CANCELLED"),
        "06": ("Hire of H2 moves to H1", "TENTATIVE"),
    }


def test_the_auditors_report_has_what_the_desk_was_told_of_both_hulls(after: Appraisal) -> None:
    for hull_id in ("H1", "H2"):
        page = hull_report(after, hull_id)
        assert "What the desk was told of its hires" in page
        assert page.count("Moves to <bdi>H2</bdi>") == 3
        assert "H1 is in the bay" in page
