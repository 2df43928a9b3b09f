"""The oracles of idle anodes weigh looks as the laws say, and know no less than each other."""

import numpy as np
import pytest
from scipy import stats

from tests.known_truth.idle_oracle import asked, chance_idle
from tests.known_truth.small import small


def test_one_look_at_an_anode_of_known_pace_is_two_normal_laws() -> None:
    chance = chance_idle(np.array([0.05]), np.array([0.3]), 0.05, 0.0016, 0.0, 0.025)
    idle = 0.025 * stats.norm.pdf(0.05, 0.0, 0.05)
    sound = 0.975 * stats.norm.pdf(0.05, 0.3, np.sqrt(0.05**2 + 0.0016 * 0.3))
    assert chance == pytest.approx(idle / (idle + sound))


def test_looks_that_tell_nothing_leave_the_share_that_is_idle() -> None:
    chance = chance_idle(np.array([0.02, -0.01]), np.zeros(2), 0.05, 0.0016, 0.1, 0.025)
    assert chance == pytest.approx(0.025)


def test_an_idle_anode_is_told_where_a_sound_one_would_have_lost_much() -> None:
    table = asked(small("unbonded", 6))
    assert (table["due_worn"] > 0.15).all()
    assert (table[["knows_hull", "knows_anode"]] > 0.9).all(axis=None)
