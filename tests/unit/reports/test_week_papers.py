"""The papers of one week, from a fleet's own logs and plan."""

import dataclasses
from datetime import date
from pathlib import Path

import pandas as pd
import pytest
from icalendar import Calendar

from corrosion.forecast.appraisal import Appraisal, appraise
from corrosion.records import operator
from corrosion.records.logbook import read_fleet
from corrosion.reports.week_papers import (
    bay_days,
    calendar_of_week,
    picks_of_week,
    said_lines,
    sheets_of_week,
    week_days,
)
from corrosion.workshop.issued import issue_plan
from corrosion.workshop.plan import Plan, make_plan
from tests.fleets import FleetLogs, usual_fleet
from tests.plans import a_plan, left, pull

pytestmark = pytest.mark.slow

NOW = pd.Timestamp("2031-06-02 05:30", tz="UTC")


def worn_fleet() -> FleetLogs:
    """Three hulls in turn at E, B and L; H1's pencil is nearly at its limit of 6.4 mm."""
    fleet = usual_fleet(3).setting(
        name="Ferry steps",
        timezone="Europe/Lisbon",
        simulated=True,
        bays=[
            {"mooring_id": "E", "weekdays": ["Mon", "Wed"], "hulls_per_day": 2},
            {"mooring_id": "B", "weekdays": ["Thu"], "hours": ["09:00", "15:00"]},
        ],
        stock={"P-1": 1},
    )
    for number, lost_mm in ((1, 2.4), (2, 1.2), (3, 0.2)):
        fleet.season(f"H{number}", "2031-04-02", 58)
        for day, share in ((20, 0.35), (40, 0.7), (58, 1.0)):
            at = pd.Timestamp("2031-04-01 07:00") + pd.Timedelta(days=day)
            fleet.reading(f"H{number}", "pencil", str(at), round(9.0 - lost_mm * share, 2))
    return fleet


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write(worn_fleet(), tmp_path_factory.mktemp("fleet"))


def write(fleet: FleetLogs, folder: Path) -> Path:
    """TOML tables are written by hand: the builder writes plain values only."""
    tables = {name: fleet.settings.pop(name) for name in ("bays", "stock")}
    for row in fleet.rows["anode_positions"]:
        row["part_number"] = {"pencil": "P-1", "plate": "P-2"}[row["position"]]
    fleet.write(folder)
    lines = []
    for bay in tables["bays"]:  # type: ignore[attr-defined]
        lines += ["[[bays]]", *(f"{key} = {value!r}" for key, value in bay.items())]
    lines += ["[stock]", *(f"{part} = {n}" for part, n in tables["stock"].items())]  # type: ignore[attr-defined]
    with (folder / "fleet.toml").open("a", encoding="utf-8") as file:
        file.write("\n".join(lines).replace("'", '"') + "\n")
    return folder


@pytest.fixture(scope="module")
def appraisal(folder: Path) -> Appraisal:
    return appraise(folder, NOW)


@pytest.fixture(scope="module")
def plan(appraisal: Appraisal) -> Plan:
    return make_plan(appraisal)


def test_the_plan_of_a_real_fleet_comes_out_as_sheets(plan: Plan, appraisal: Appraisal) -> None:
    html = sheets_of_week(plan, appraisal, "a4")
    assert "<bdi>H1</bdi>" in html
    assert "pencil</bdi>: REPLACE" in html
    assert "Simulated" in html
    assert "method" in html


def test_the_sheet_of_one_hull_is_its_own(appraisal: Appraisal) -> None:
    both = a_plan(pull("H1", "2031-06-04"), pull("H2", "2031-06-12"), stay=(left("H3"),))
    html = sheets_of_week(both, appraisal, "letter", "H2")
    assert "<bdi>H2</bdi>" in html
    assert "<bdi>H1</bdi>" not in html
    assert "<title>Work sheet · H2 · Thu 12 Jun 2031</title>" in html


def test_the_pick_list_counts_against_what_the_fleet_says_it_has(
    plan: Plan, appraisal: Appraisal
) -> None:
    html = picks_of_week(plan, appraisal, "a4")
    assert "P-1" in html
    assert "SHORT by" not in html
    twice = a_plan(pull("H1", "2031-06-04", parts={"P-1": 3}))
    assert "SHORT by 2" in picks_of_week(twice, appraisal, "letter")


def test_days_by_bays_hold_every_pull_out_of_the_week_once_and_closed_days_say_why(
    appraisal: Appraisal,
) -> None:
    both = a_plan(pull("H1", "2031-06-04"), pull("H2", "2031-06-12"), stay=(left("H3"),))
    table = bay_days(both, appraisal.logbook)
    assert len(table) == 14
    assert [hull for hulls in table["hulls"] for hull in hulls] == ["H1"]
    open_days = table[table["closed"] == ""]
    assert set(zip(open_days["mooring_id"], open_days["day"], strict=True)) == {
        ("E", date(2031, 6, 2)),
        ("E", date(2031, 6, 4)),
        ("B", date(2031, 6, 5)),
    }


def test_a_week_without_pull_outs_still_has_its_papers(appraisal: Appraisal) -> None:
    nobody = a_plan(stay=(left("H1"), left("H2"), left("H3")))
    assert "No hull comes out" in sheets_of_week(nobody, appraisal, "a4")
    assert "Nothing is to be taken along" in picks_of_week(nobody, appraisal, "a4")
    assert not bay_days(nobody, appraisal.logbook)["hulls"].map(len).any()
    file, issued = calendar_of_week(nobody, appraisal.logbook)
    assert not Calendar.from_ical(file).walk("VEVENT")
    assert not issued


def test_the_calendar_is_a_draft_until_a_plan_is_issued_and_then_stays_with_it(
    tmp_path: Path,
) -> None:
    folder = write(worn_fleet(), tmp_path)
    appraisal = appraise(folder, NOW)
    first = a_plan(pull("H1", "2031-06-04"), pull("H2", "2031-06-05", mooring_id="B"))
    later = a_plan(pull("H1", "2031-06-05"))

    def events(plan: Plan) -> dict[str, tuple[str, int, str]]:
        logbook = read_fleet(folder, NOW + pd.Timedelta(hours=1))
        file, _ = calendar_of_week(plan, logbook)
        return {
            str(event["summary"])[:2]: (
                str(event["status"]),
                int(event["sequence"]),
                event.decoded("dtstart").strftime("%a %H:%M"),
            )
            for event in Calendar.from_ical(file).walk("VEVENT")
        }

    draft = {"H1": ("TENTATIVE", 0, "Wed 08:00"), "H2": ("TENTATIVE", 0, "Thu 09:00")}
    assert events(first) == draft
    issue_plan(folder, first, appraisal, operator("office"), now=NOW)
    confirmed = {name: ("CONFIRMED", *rest) for name, (_, *rest) in draft.items()}
    # what is issued stands, whatever the plan of the moment would be
    assert events(later) == events(first) == confirmed
    issue_plan(folder, later, appraisal, operator("office"), now=NOW + pd.Timedelta(minutes=30))
    assert events(first) == {
        "H1": ("CONFIRMED", 1, "Thu 08:00"),
        "H2": ("CANCELLED", 1, "Thu 09:00"),
    }


def test_what_an_earlier_issue_foresaw_for_a_later_week_is_no_more_than_a_draft(
    tmp_path: Path,
) -> None:
    folder = write(worn_fleet(), tmp_path)
    first = a_plan(
        pull("H1", "2031-06-04"), pull("H2", "2031-06-12", mooring_id="B"), pull("H3", "2031-06-11")
    )
    issue_plan(folder, first, appraise(folder, NOW), operator("office"), now=NOW)
    later = a_plan(pull("H2", "2031-06-12", mooring_id="B"), week="2031-06-09")
    file, confirmed = calendar_of_week(later, read_fleet(folder, NOW))
    events = Calendar.from_ical(file).walk("VEVENT")
    assert not confirmed
    assert {str(event["summary"])[:2]: str(event["status"]) for event in events} == {
        "H2": "TENTATIVE",
        "H3": "CANCELLED",
    }


def test_the_plan_as_rows_is_text_throughout() -> None:
    (row,) = said_lines(a_plan(pull("H1", "2031-06-04", replace=("a", "b"), seals={"P": 1})).pulls)[
        ["replace", "measure", "parts"]
    ].to_numpy()
    assert list(row) == ["a, b", "", "seals: 1 x P"]


def test_a_week_is_said_with_both_its_ends() -> None:
    assert week_days(date(2031, 6, 30)) == "Mon 30 Jun to Sun 6 Jul 2031"


def test_a_plan_rests_on_what_was_known_and_says_when(plan: Plan, appraisal: Appraisal) -> None:
    assert plan.on == appraisal.logbook.on
    named = dataclasses.replace(plan, week=date(2031, 6, 9))
    assert "9 Jun" in sheets_of_week(named, appraisal, "a4")
