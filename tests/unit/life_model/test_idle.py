"""What two looks prove of an anode that does not wear beside its sisters."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy.special import expit

from corrosion.forecast.protection import RARE_LOG_ODDS
from corrosion.life_model.peer_comparison.idle import STRANGE, idle_log_odds
from corrosion.life_model.peer_comparison.spans import FleetLooks, Pace, last_looks

LOOK_SD = 0.02  # share of the allowance: 0.12 mm of a block of 5.5 mm


def chance(due: float, worn: float, looks: int = 2) -> float:
    """Chance that an anode gives no current, by even looks up to where a sound one lost `due`."""
    steps = np.linspace(0.0, 1.0, looks + 1)
    error = np.full(steps.size, LOOK_SD**2)
    table = pd.DataFrame(
        {"life": 0, "worn": worn * steps, "clock": due * steps, "error": error, "at_h": 400 * steps}
    )
    one = np.zeros(1, dtype=np.intp)
    fleet = FleetLooks(table, one, one, np.zeros(1, bool), one, 0.04**2, 0.15)
    windows = [last_looks(fleet, back, one) for back in (2, 3)]
    beside = Pace(np.ones(1), np.full(1, 0.15**2))
    return float(expit(RARE_LOG_ODDS + idle_log_odds(windows, beside, fleet, one))[0])


@pytest.mark.parametrize("due", [0.2, 0.3, 0.5])
def test_two_looks_at_an_anode_that_lost_nothing_where_sisters_lost_a_fifth_prove_it(due):
    assert chance(due, 0.0) >= 0.9


def test_where_next_to_nothing_was_due_nothing_is_proved():
    assert chance(0.03, 0.0) < 0.3


@pytest.mark.parametrize("share", [0.7, 1.0, 1.4])
def test_an_anode_that_wears_like_its_sisters_is_not_suspected(share):
    assert chance(0.3, 0.3 * share) < 0.01


def test_half_the_wear_that_was_due_is_no_proof():
    assert chance(0.3, 0.15) < 0.1


def test_no_number_of_looks_proves_more_than_mixed_up_anodes_allow():
    most = expit(RARE_LOG_ODDS + np.log(3.0 / STRANGE / (0.08 * np.sqrt(2 * np.pi))))
    assert chance(0.9, 0.0, looks=9) < most
