"""One week as the manager looks at it, put together from the logs."""

from datetime import date
from pathlib import Path

import pandas as pd
import pytest

from corrosion.forecast.appraisal import appraise
from corrosion.records import operator
from corrosion.reports.planned_week import hired_out, plan_week
from corrosion.workshop.issued import issue_plan
from corrosion.workshop.overrides import decide
from tests.unit.reports.test_week_papers import worn_fleet, write

pytestmark = pytest.mark.slow

NOW = pd.Timestamp("2031-06-02 05:30", tz="UTC")
SOON = NOW + pd.Timedelta(minutes=5)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write(worn_fleet(), tmp_path)


def test_a_week_has_every_hull_once_and_nothing_issued_to_begin_with(folder: Path) -> None:
    week = plan_week(appraise(folder, NOW))
    assert sorted([*week.pulls["hull_id"], *week.left["hull_id"]]) == ["H1", "H2", "H3"]
    assert week.issued.empty
    assert week.drift.empty
    assert not week.confirmed
    assert week.calendar.startswith(b"BEGIN:VCALENDAR\r\n")


def test_a_hull_hired_out_by_decision_leaves_the_issued_plan_with_its_reason(folder: Path) -> None:
    before = appraise(folder, NOW)
    issue_plan(folder, plan_week(before).plan, before, operator("office"), now=NOW)
    decide(
        folder,
        "hire-out",
        "H1",
        operator("office"),
        day=date(2031, 6, 2),
        reason="no other",
        now=SOON,
    )
    after = appraise(folder, SOON)
    week = plan_week(after)
    assert hired_out(before) == {}
    assert hired_out(after) == {"H1": "no other"}
    assert "H1" not in set(week.pulls["hull_id"])
    (reason,) = week.drift.loc[week.drift["hull_id"] == "H1", "said"]
    assert "hired out by decision (no other)" in reason
    assert week.confirmed
