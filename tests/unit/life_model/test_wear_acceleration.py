"""Wear that speeds up over a life: straightened for the fit, bent back for people."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from corrosion.forecast.appraisal import Appraisal, appraise
from corrosion.life_model.wear_acceleration import bent_back, slope, straightened
from tests.known_truth.simulator.physics import shrinking
from tests.wearing import Group, wearing_fleet

ON = "2031-07-12"
GROWTHS = st.floats(-0.45, 3.0)
SHARES = st.floats(-1.0, 3.0)


@given(GROWTHS)
def test_new_stays_new_and_the_limit_stays_the_limit(growth: float) -> None:
    assert straightened(np.array([0.0, 1.0]), growth) == pytest.approx([0.0, 1.0])
    assert bent_back(np.array([0.0, 1.0]), growth) == pytest.approx([0.0, 1.0])


@given(SHARES, GROWTHS)
def test_bending_undoes_straightening(share: float, growth: float) -> None:
    there = straightened(np.array([share]), growth)
    assert bent_back(there, growth) == pytest.approx([share], abs=1e-9)


@given(st.floats(0.01, 1.9), GROWTHS)
def test_the_slope_is_that_of_the_straightened_share(share: float, growth: float) -> None:
    ends = straightened(np.array([share - 1e-5, share + 1e-5]), growth)
    assert slope(np.array([share]), growth)[0] == pytest.approx(np.diff(ends)[0] / 2e-5, rel=1e-4)


@given(st.floats(0.05, 3.0))
def test_a_spent_anode_wears_so_much_faster_than_a_new_one(growth: float) -> None:
    new, spent = slope(np.array([0.0, 1.0]), growth)
    assert new / spent == pytest.approx(1 + growth)


def test_the_law_is_that_of_the_simulated_fleets_which_know_nothing_of_it() -> None:
    even = np.linspace(0, 1.5, 16)
    assert bent_back(even, 0.8) == pytest.approx(shrinking(even, 0.8))


def test_no_growth_changes_nothing() -> None:
    share = np.array([-0.3, 0.2, 1.7])
    assert (straightened(share, 0.0) == share).all()
    assert (bent_back(share, 0.0) == share).all()


def fitted(folder: Path, growth: float) -> Appraisal:
    fleet = wearing_fleet(Group("A", "salt", 6, 1, 0.016, growth=growth))
    return appraise(fleet.write(folder), ON)


@pytest.mark.slow
def test_wear_that_speeds_up_is_found_and_even_wear_is_left_alone(tmp_path: Path) -> None:
    assert fitted(tmp_path / "even", 0.0).fit.model.design.growth == 0.0
    assert fitted(tmp_path / "growing", 1.5).fit.model.design.growth == pytest.approx(1.5, abs=0.4)


def test_what_is_said_of_an_anode_is_what_a_caliper_shows(tmp_path: Path) -> None:
    appraisal = fitted(tmp_path, 1.5)
    anodes = appraisal.forecast.anodes
    assert appraisal.fit.model.design.growth > 0
    off = anodes["worn"] - (9.0 - anodes["last_size_mm"]) / 2.6
    # 1.8 engine hours since the last look
    assert off.abs().max() < 0.08
    assert ((anodes["worn_low"] < anodes["worn"]) & (anodes["worn"] < anodes["worn_high"])).all()
