"""A day that the manager fixed holds, or the plan says which rule is in its way."""

from __future__ import annotations

import pytest

from corrosion.records.settings import Bay, Settings
from corrosion.workshop.plan.conflict import MAY_BE_IN_THE_WAY, say_conflict
from corrosion.workshop.plan.rules import RULES
from corrosion.workshop.plan.solving import solve
from tests.plan_cases import Anode, Work, day
from tests.unit.workshop.planned_jobs import days_of, jobs, one_bay, planned, worn_hulls

WORKDAYS = (0, 1, 2, 3, 4)
WORN = (Anode(days_left=1.0, worn=0.99),)
FRESH = (Anode(days_left=400.0, worn=0.05),)


def test_a_booked_hull_waits_for_its_first_free_day() -> None:
    assert days_of(planned(Work(worn_hulls(1), one_bay(), booked={"H1": [0, 1, 2]}))) == [3]


def test_the_manager_holds_a_hull_back() -> None:
    assert planned(Work(worn_hulls(1), one_bay(), skipped={"H1": range(7)})) == []


def test_a_pin_may_use_the_kept_slot() -> None:
    fleet = Settings(bays=(Bay("E", (0,), 1),), unplanned_per_week=1)
    visits = planned(Work({"H1": WORN, "H2": FRESH}, fleet, pins={"H2": day(0)}))
    assert [(job.hull, job.day) for job in visits] == [("H2", 0)]


def test_a_pin_holds_though_another_day_is_cheaper() -> None:
    visits = planned(Work({"H1": WORN, "H2": FRESH}, one_bay(), pins={"H1": day(3), "H2": day(1)}))
    assert {job.hull: job.day for job in visits} == {"H1": 3, "H2": 1}


@pytest.mark.parametrize(
    ("work", "rule"),
    [
        (Work(worn_hulls(1), one_bay(), booked={"H1": [2]}, pins={"H1": day(2)}), "on hire"),
        (Work(worn_hulls(1), one_bay(), pins={"H1": day(5)}), "does not work on that weekday"),
        (Work(worn_hulls(1), one_bay(hours_per_day=0.5), pins={"H1": day(2)}), "takes longer"),
        (Work(worn_hulls(1), Settings(bays=(Bay("L"),)), pins={"H1": day(2)}), "no bay serves E"),
        (
            Work(worn_hulls(2), one_bay(hulls_per_day=1), pins={"H1": day(2), "H2": day(2)}),
            "the bay takes no more hulls that day",
        ),
        (
            Work(worn_hulls(2), one_bay(hours_per_day=2.0), pins={"H1": day(2), "H2": day(2)}),
            "the bay has no hours left that day",
        ),
    ],
)
def test_a_pin_that_does_not_fit_names_the_rule_and_the_nearest_plan(work: Work, rule: str) -> None:
    programme = work.programme()
    conflict = say_conflict(programme, solve(programme))
    assert rule in conflict
    assert "nearest plan" in conflict


def test_the_nearest_plan_is_near_the_pin() -> None:
    work = Work(worn_hulls(1), one_bay(), booked={"H1": [3]}, pins={"H1": day(3)})
    programme = work.programme()
    solved = solve(programme)
    assert "takes it out on Wed 4 Jun" in say_conflict(programme, solved)
    assert days_of(jobs(programme, solved)) == [2]


def test_every_rule_that_may_keep_a_pin_from_its_day_can_be_named() -> None:
    cannot = {"one time a hull", "room in later weeks", "hires that sisters take"}
    assert set(MAY_BE_IN_THE_WAY) == set(RULES) - cannot
