"""A decision is shown before it is written; a plan that was issued is not changed for little."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from corrosion.common.errors import LogRefused
from corrosion.forecast.appraisal import Appraisal, appraise
from corrosion.records import operator
from corrosion.records.logbook import read_fleet
from corrosion.records.settings import Bay, Settings
from corrosion.workshop.issued import issue_plan
from corrosion.workshop.overrides import PIN, SKIP
from corrosion.workshop.plan import (
    Plan,
    decide_as_previewed,
    make_plan,
    preview_decision,
    say_preview,
)
from corrosion.workshop.plan.churn import CHURN_COST, churn_of, churn_said, issued_days
from corrosion.workshop.plan.columns import lay_out_columns
from corrosion.workshop.plan.solving import solve
from tests.fleets import FleetLogs, usual_fleet
from tests.plan_cases import Anode, Work, day

pytestmark = pytest.mark.slow

MONDAY = date(2031, 6, 2)
ON = pd.Timestamp("2031-06-01 20:00", tz="UTC")
LATER = ON + pd.Timedelta(hours=1)


def worn_fleet() -> FleetLogs:
    """Four hulls, H1 and H4 at the mooring with the one bay, which takes one hull a day."""
    fleet = usual_fleet(4)
    fleet.setting(timezone="UTC")
    for hull_id, shares in (("H1", (0.4, 1.01)), ("H2", (0.4, 0.9)), ("H4", (0.1, 0.3))):
        fleet.season(hull_id, "2031-04-02", 55)
        for ahead, share in zip((20, 59), shares, strict=True):
            at = pd.Timestamp("2031-04-01 07:00") + pd.Timedelta(days=ahead)
            fleet.reading(hull_id, "pencil", str(at), 9.0 - 2.6 * share)
    return fleet


BAY = """
[[bays]]
mooring_id = "E"
weekdays = ["Mon", "Tue", "Wed"]
hulls_per_day = 1
"""


@pytest.fixture(scope="module")
def logs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    written = worn_fleet().write(tmp_path_factory.mktemp("worn"))
    with (written / "fleet.toml").open("a", encoding="utf-8") as settings:
        settings.write("unplanned_per_week = 0\n" + BAY)
    return written


@pytest.fixture
def folder(logs: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(logs, tmp_path / "own"))


@pytest.fixture(scope="module")
def appraisal(logs: Path) -> Appraisal:
    return appraise(logs, ON)


@pytest.fixture(scope="module")
def plan(appraisal: Appraisal) -> Plan:
    return make_plan(appraisal, MONDAY)


def day_of(plan: Plan, hull_id: str) -> date:
    return plan.pulls.set_index("hull_id")["day"][hull_id]


def test_a_preview_names_who_makes_room_and_writes_nothing(
    folder: Path, appraisal: Appraisal, plan: Plan
) -> None:
    taken = day_of(plan, "H1")
    preview = preview_decision(appraisal, plan, PIN, "H4", taken)
    assert preview.fits
    assert preview.becomes == taken
    assert "H1" in set(preview.displaced["hull_id"])
    assert preview.cost_more > 0
    preview_text = " ".join(say_preview(preview, appraisal))
    assert "H1:" in preview_text
    assert "more" in preview_text
    assert read_fleet(folder, LATER).plan_changes.empty


def test_what_a_preview_shows_is_what_comes_of_the_decision(
    folder: Path, appraisal: Appraisal, plan: Plan
) -> None:
    preview = preview_decision(appraisal, plan, PIN, "H4", day_of(plan, "H1"))
    decide_as_previewed(folder, preview, operator("office"), reason="owner asked", now=ON)
    after = make_plan(appraise(folder, LATER), MONDAY)
    for row in preview.displaced.to_dict("records"):
        assert row["after"] == after.pulls.set_index("hull_id")["day"].get(row["hull_id"])
    assert day_of(after, "H4") == preview.becomes


def test_an_impossible_pin_says_why_and_cannot_be_written(
    folder: Path, appraisal: Appraisal, plan: Plan
) -> None:
    sunday = MONDAY + timedelta(days=6)
    preview = preview_decision(appraisal, plan, PIN, "H4", sunday)
    assert not preview.fits
    assert "does not work on that weekday" in preview.why_not
    with pytest.raises(LogRefused, match="nothing is written"):
        decide_as_previewed(folder, preview, operator("office"), now=ON)
    assert read_fleet(folder, LATER).plan_changes.empty


def test_a_skip_shows_what_waiting_costs(appraisal: Appraisal, plan: Plan) -> None:
    preview = preview_decision(appraisal, plan, SKIP, "H1", MONDAY)
    assert preview.fits
    assert preview.becomes is None or preview.becomes >= MONDAY + timedelta(days=7)
    assert preview.cost_more > 0


def test_a_plan_is_written_once_however_often_it_is_issued_and_anew_where_the_work_is_other(
    folder: Path, appraisal: Appraisal, plan: Plan
) -> None:
    first = issue_plan(folder, plan, appraisal, operator("office"), now=ON)
    again = appraise(folder, LATER)
    plans, zone = again.logbook.plans, again.logbook.settings.timezone
    days = dict(zip(plan.pulls["hull_id"], plan.pulls["day"], strict=True))
    assert issued_days(plans, MONDAY, zone) == days
    assert issued_days(plans, MONDAY - timedelta(days=7), zone) == {}
    same = make_plan(again, MONDAY)
    assert any("No churn_cost in fleet.toml" in each for each in same.assumed)
    assert issue_plan(folder, same, again, operator("office"), now=LATER) == first
    assert read_fleet(folder, LATER).plans["plan_id"].nunique() == 1
    other = replace(same, pulls=same.pulls.assign(replace=[("plate",)] * len(same.pulls)))
    assert issue_plan(folder, other, again, operator("office"), now=LATER) != first
    assert read_fleet(folder, LATER).plans["plan_id"].nunique() == 2


def test_a_fleet_that_says_its_price_of_a_change_is_taken_at_its_word() -> None:
    assert churn_of(Settings()) == CHURN_COST == 15.0
    assert churn_of(Settings(churn_cost=0.0)) == 0.0
    assert churn_said(Settings(churn_cost=4.0), {"H1": MONDAY}) == ()
    assert churn_said(Settings(), {}) == ()


WORN = {"H1": (Anode(days_left=1.0, worn=0.99),)}


@pytest.mark.parametrize(("churn", "stays"), [(0.0, False), (1e6, True)])
def test_an_issued_visit_keeps_its_day_where_changing_it_is_dear(churn: float, stays: bool) -> None:
    work = Work(WORN, Settings(bays=(Bay("E", (0, 1, 2, 3, 4), 1),), unplanned_per_week=0))
    assert _day_chosen(work, lambda s: replace(s, issued={"H1": day(3)}, churn=churn)) == (
        3 if stays else 0
    )


def test_a_pin_pays_nothing_for_changing_the_issued_plan() -> None:
    fleet = Settings(bays=(Bay("E", (0, 1, 2, 3, 4), 1),), unplanned_per_week=0)
    work = Work(WORN, fleet, pins={"H1": day(1)})
    assert _day_chosen(work, lambda s: replace(s, issued={"H1": day(3)}, churn=1e6)) == 1


def _day_chosen(work: Work, changed: Callable) -> int:
    programme = work.programme()
    setting = changed(programme.setting)
    columns = lay_out_columns(programme.options, setting)
    solved = solve(replace(programme, setting=setting, columns=columns))
    return int(columns.day[solved.chosen[np.flatnonzero(columns.day[solved.chosen] >= 0)[0]]])
