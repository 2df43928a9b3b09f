"""Decisions with answers in print, exact answers, and answers of other programs."""

import numpy as np
import pytest
from scipy.integrate import quad

from corrosion.workshop.decisions import age_replacement


def weibull(shape: float, scale: float):
    """Return the survival curve of Weibull lives."""
    return lambda age: np.exp(-((np.asarray(age) / scale) ** shape))


def test_weibull_parts_are_replaced_at_the_root_of_the_textbook_equation() -> None:
    # Barlow & Hunter (1960): h(T) * int_0^T S - F(T) = planned / (late - planned).
    # Shape 2.5, scale 1000, costs 1 and 5: T* = 493.04696, rate .003462043, computed once from
    # that equation with scipy; the printed digits.
    best = age_replacement(weibull(2.5, 1000.0), 1.0, 5.0, longest=4000.0)
    assert best.age == pytest.approx(493.04696, abs=5e-4)
    assert best.cost_rate == pytest.approx(0.003462043, abs=5e-10)
    lived = quad(lambda t: np.exp(-((t / 1000) ** 2.5)), 0, best.age)[0]
    hazard = 2.5 / 1000 * (best.age / 1000) ** 1.5
    ended = 1 - np.exp(-((best.age / 1000) ** 2.5))
    assert hazard * lived - ended == pytest.approx(1 / (5 - 1), abs=1e-6)


def test_lives_spread_evenly_are_replaced_at_one_half_for_eight() -> None:
    # Uniform(0, 1), costs 1 and 5: the rate (1 + 4T) / (T - T^2/2) is least where
    # 2T^2 + T - 1 = 0, at 1/2, and is 8 there; exact
    best = age_replacement(lambda age: np.clip(1 - age, 0, 1), 1.0, 5.0, longest=1.0)
    assert best.age == pytest.approx(0.5, abs=1e-6)
    assert best.cost_rate == pytest.approx(8.0, abs=1e-9)
    assert best.late_share == pytest.approx(0.5, abs=1e-6)


def test_lives_without_ageing_are_never_replaced_early() -> None:
    # exponential lives: the cost rate falls with T, whatever the costs (Barlow & Hunter 1960)
    best = age_replacement(lambda age: np.exp(-age / 100.0), 1.0, 5.0, longest=3000.0)
    assert np.isinf(best.age)
    assert best.cost_rate == pytest.approx(5.0 / 100.0, rel=1e-6)
