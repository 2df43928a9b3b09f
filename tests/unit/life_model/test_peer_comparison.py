"""Paces beside sisters: chances are chances, and what is called out is what stands out."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from corrosion.life_model.peer_comparison import (
    FALSE_A_MONTH,
    FALSE_BY_NATURE,
    FALSE_STILL_A_MONTH,
    Pace,
    middles,
    natural,
)


@given(st.floats(0.0, 6.0), st.floats(0.0, 6.0), st.floats(1e-6, 4.0), st.floats(0.15, 0.28))
def test_a_faster_pace_is_never_morenatural(pace, more, noise, hull_sd):
    slow, fast = sorted([pace, pace + more])
    chance = natural(Pace(np.array([slow, fast]), np.array([noise, noise])), hull_sd)
    assert (chance >= 0).all()
    assert (chance <= 1).all()
    assert chance[1] <= chance[0] + 1e-12


def test_without_reading_noise_the_law_is_the_gamma_of_a_reference_library():
    # scipy.stats.gamma, reference library: mean 1, standard deviation 0.25
    pace = np.array([0.8, 1.2, 1.6, 2.0])
    chance = natural(Pace(pace, np.full(4, 1e-12)), 0.25)
    np.testing.assert_allclose(chance, stats.gamma.sf(pace, 16, scale=1 / 16), rtol=1e-6)


def test_with_much_noise_the_law_is_near_the_normal_of_a_reference_library():
    # scipy.stats.norm, reference library
    chance = natural(Pace(np.array([3.0]), np.array([4.0])), 0.2)
    assert chance[0] == pytest.approx(stats.norm.sf(2.0 / np.hypot(2.0, 0.2)), rel=0.02)


def test_a_hull_that_nobody_looked_at_is_as_natural_as_can_be():
    assert natural(Pace(np.array([0.0]), np.array([np.inf])), 0.2)[0] == 1.0


def test_the_middle_of_a_berth_is_its_median_and_of_too_few_is_one():
    values = np.array([0.8, 0.9, 1.2, 1.3, 9.0, 2.0, np.nan])
    berth = np.array([0, 0, 0, 0, 0, 1, 1])
    np.testing.assert_allclose(middles(values, berth), [1.2] * 5 + [1.0] * 2)


def test_the_false_calls_that_are_promised_are_within_one_a_month():
    assert FALSE_A_MONTH + FALSE_BY_NATURE <= 1.0
    assert FALSE_STILL_A_MONTH <= 1.0
