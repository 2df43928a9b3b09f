"""Inspect-by: hours or months, whichever comes first, from the fleet's own rule."""

from datetime import date

import numpy as np
import pytest

from corrosion.forecast.appraisal import appraise
from corrosion.forecast.inspection import look_moves_days, look_pays
from tests.fleets import FleetLogs

pytestmark = pytest.mark.slow


def _anode(tmp_path, on: str = "2031-06-01", **rule: float):
    fleet = FleetLogs().mooring("E", "salt").position("pencil", gauge="diameter", **rule)
    for number in range(3):
        hull = f"H{number}"
        fleet.hull(hull).berth(hull, "E", "lifted").fitting(hull, "pencil", "2031-04-01")
        fleet.season(hull, "2031-04-02", 60, flushed=True)
        fleet.reading(hull, "pencil", "2031-05-22", 8.0)
    return appraise(fleet.write(tmp_path), on).forecast.anodes.iloc[0]


def test_days_alone_count_from_the_last_look(tmp_path):
    anode = _anode(tmp_path, inspect_days=30.0)
    assert (anode["inspect_by"], anode["inspect_rule"]) == (date(2031, 6, 21), "months")


def test_hours_come_first_where_the_hull_works_hard(tmp_path):
    # 1.8 engine hours a day: ten days since the look leave 2 of 20 hours, about a day
    anode = _anode(tmp_path, inspect_days=90.0, inspect_hours=20.0)
    assert anode["inspect_rule"] == "hours"
    assert date(2031, 6, 1) <= anode["inspect_by"] <= date(2031, 6, 4)


def test_what_is_overdue_is_due_on_the_day_of_the_report(tmp_path):
    anode = _anode(tmp_path, inspect_hours=5.0)
    assert anode["inspect_by"] == date(2031, 6, 1)


def test_a_position_without_a_rule_has_no_date(tmp_path):
    anode = _anode(tmp_path)
    assert anode["inspect_by"] is None
    assert anode["inspect_rule"] == ""


def test_a_look_moves_dates_by_what_it_can_teach():
    # normal rule of combining: sd 0.1 and an error of 0.1 move the middle by 0.1 / sqrt(2)
    days = np.array([0.0, 28.0])
    worn, sd = np.array([[0.5, 0.78]]), np.array([[0.1, 0.15]])
    moved_days = look_moves_days(worn, sd, np.array([0.1]), days)
    assert moved_days[0] == pytest.approx(0.1 / np.sqrt(2) / 0.01)
    assert look_moves_days(worn, sd * 1e-3, np.array([0.1]), days)[0] < 0.1


@pytest.mark.parametrize(
    ("moves", "pull", "pays"), [(10.0, 20.0, True), (3.0, 20.0, False), (30.0, 90.0, False)]
)
def test_a_look_pays_where_a_near_date_would_move(moves, pull, pays):
    assert look_pays(np.array([moves]), np.array([pull]))[0] == pays
