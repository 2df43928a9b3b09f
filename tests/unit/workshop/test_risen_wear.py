"""Wear that rose at a look is taken to go on: for the hull, and for a berth where two show it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from corrosion.workshop.berth_groups import Surprise, risen_pace, risen_since
from corrosion.workshop.plan.columns import lay_out_columns
from corrosion.workshop.plan.programme import lay_out_programme
from corrosion.workshop.plan.prospects import brought_forward
from corrosion.workshop.plan.risen import say_risen
from corrosion.workshop.plan.solving import solve
from tests.plan_cases import GRID, Anode, Work
from tests.unit.workshop.planned_jobs import jobs, one_bay

ON = pd.Timestamp("2031-06-02", tz="UTC")
GROUPS = pd.DataFrame({"group": ["E a", "E a", "E b"]}, index=["H1", "H2", "H3"])
ANODES = pd.DataFrame(
    {
        "hull_id": ["H1", "H1", "H2", "H2", "H3"],
        "circuit": ["hull", "engine", "hull", "engine", "hull"],
        "last_read_at": ON - pd.to_timedelta([2, 2, 20, 20, 5], unit="D"),
    }
)


def surprise(hull_id: str, ratio: float, days_ago: float = 2.0) -> Surprise:
    at = ON - pd.Timedelta(days=days_ago)
    return Surprise(hull_id, str(GROUPS.at[hull_id, "group"]), True, at, ratio)


def test_one_hull_speaks_for_its_own_anodes_outside_alone() -> None:
    pace = risen_pace(ANODES, GROUPS, [surprise("H1", 2.0)])
    assert pace.tolist() == [2.0, 1.0, 1.0, 1.0, 1.0]
    assert risen_pace(ANODES, GROUPS, []).tolist() == [1.0] * 5


def test_two_hulls_speak_for_their_berth_and_never_for_more_than_thrice() -> None:
    pace = risen_pace(ANODES, GROUPS, [surprise("H1", 5.0), surprise("H2", 1.5)])
    assert pace.tolist() == [3.0, 1.0, 3.0, 1.0, 1.0]


def test_wear_rose_no_longer_ago_than_the_last_look_or_the_first_that_showed_it() -> None:
    days = risen_since(ANODES, GROUPS, [surprise("H1", 2.0, days_ago=9.0)], ON)
    assert days[[0, 2, 4]] == pytest.approx([2.0, 9.0, 5.0])


def test_what_wears_twice_as_fast_is_due_in_half_the_time_and_nothing_else_moves() -> None:
    ahead = Work({"H1": (Anode(40.0),), "H2": (Anode(40.0),)}).prospects()
    fast = brought_forward(ahead, np.array([2.0, 1.0]), np.zeros(2), 0.1)
    assert float(fast.when_worn(0, 1.0)) == pytest.approx(
        float(ahead.when_worn(0, 1.0)) / 2, rel=0.02
    )
    assert fast.when_chance(0, 0.1) == pytest.approx(ahead.when_chance(0, 0.1) / 2, rel=0.05)
    for name in ("worn", "sd", "chance", "past", "over"):
        np.testing.assert_array_equal(getattr(fast, name)[1], getattr(ahead, name)[1])
    assert (fast.chance[0] >= ahead.chance[0] - 1e-12).all()
    assert (np.diff(fast.chance[0]) >= 0).all()


def test_days_since_the_rise_are_gone_through_faster_as_well() -> None:
    ahead = Work({"H1": (Anode(40.0),)}).prospects()
    fast = brought_forward(ahead, np.array([2.0]), np.array([6.0]), 0.1)
    assert fast.worn[0, 0] == pytest.approx(float(np.interp(6.0, GRID, ahead.worn[0])))


def test_a_hull_whose_wear_rose_comes_out_sooner() -> None:
    work = Work({"H1": (Anode(20.0, worn=0.8),)}, settings=one_bay(), weeks=4)
    setting, days = work.setting(), []
    for times in (1.0, 2.5):
        own = replace(
            setting, ahead=brought_forward(setting.ahead, np.array([times]), np.array([0.0]), 0.1)
        )
        options = work.options(own)
        programme = lay_out_programme(lay_out_columns(options, own), options, own)
        days += [job.day for job in jobs(programme, solve(programme))]
    assert len(days) == 2
    assert days[1] < days[0]


def test_the_plan_says_whose_wear_rose() -> None:
    assert say_risen({}) == ()
    assert "H1 (2.5 times) and H2 (1.8 times)" in say_risen({"H2": 1.8, "H1": 2.5})[0]
