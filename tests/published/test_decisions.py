"""Decisions with answers in print, exact answers, and answers of other programs."""

import itertools

import numpy as np
import pytest
from scipy import stats
from scipy.integrate import quad

from corrosion.workshop.decisions import (
    age_replacement,
    enough,
    hold_count,
    hold_normal,
    hold_poisson,
    how_many,
    total,
    weibull_survival,
)


def test_weibull_parts_are_replaced_at_the_root_of_the_textbook_equation() -> None:
    # Barlow & Hunter (1960): h(T) * int_0^T S - F(T) = planned / (late - planned).
    # Shape 2.5, scale 1000, costs 1 and 5: T* = 493.04696, rate .003462043, computed once from
    # that equation with scipy; the printed digits.
    found = age_replacement(weibull_survival(2.5, 1000.0), 1.0, 5.0, longest=4000.0)
    assert found.age == pytest.approx(493.04696, abs=5e-4)
    assert found.cost_rate == pytest.approx(0.003462043, abs=5e-10)
    lived = quad(lambda t: np.exp(-((t / 1000) ** 2.5)), 0, found.age)[0]
    hazard = 2.5 / 1000 * (found.age / 1000) ** 1.5
    ended = 1 - np.exp(-((found.age / 1000) ** 2.5))
    assert hazard * lived - ended == pytest.approx(1 / (5 - 1), abs=1e-6)


def test_lives_spread_evenly_are_replaced_at_one_half_for_eight() -> None:
    # Uniform(0, 1), costs 1 and 5: the rate (1 + 4T) / (T - T^2/2) is least where
    # 2T^2 + T - 1 = 0, at 1/2, and is 8 there; exact
    found = age_replacement(lambda age: np.clip(1 - age, 0, 1), 1.0, 5.0, longest=1.0)
    assert found.age == pytest.approx(0.5, abs=1e-6)
    assert found.cost_rate == pytest.approx(8.0, abs=1e-9)
    assert found.late_share == pytest.approx(0.5, abs=1e-6)


def test_lives_without_ageing_are_never_replaced_early() -> None:
    # exponential lives: the cost rate falls with T, whatever the costs (Barlow & Hunter 1960)
    found = age_replacement(lambda age: np.exp(-age / 100.0), 1.0, 5.0, longest=3000.0)
    assert np.isinf(found.age)
    assert found.cost_rate == pytest.approx(5.0 / 100.0, rel=1e-6)


def test_normal_demand_is_met_as_in_print() -> None:
    # Snyder & Shen, Fundamentals of Supply Chain Theory, example 4.3: N(50, 8), h .18, p .70;
    # 56.60395593, expected cost 1.997605193; the printed digits.
    held = hold_normal(50.0, 8.0, 0.18, 0.70)
    assert held.quantity == pytest.approx(56.60395593, abs=5e-9)
    assert held.cost == pytest.approx(1.997605193, abs=5e-10)


def test_poisson_demand_is_met_as_in_print() -> None:
    # Snyder & Shen, example 4.7: Poisson(6), h 1, p 4; 8 pieces, expected cost 3.570106946.
    held = hold_poisson(6.0, 1.0, 4.0)
    assert held.quantity == 8
    assert held.cost == pytest.approx(3.570106946, abs=5e-10)


def test_no_other_whole_number_costs_less() -> None:
    # brute force over every quantity
    probability = how_many(np.array([0.9, 0.2, 0.4, 0.7, 0.05]))
    held = hold_count(probability, 2.0, 3.0)
    demand = np.arange(probability.size)
    costs = [
        float(probability @ (2.0 * np.maximum(q - demand, 0) + 3.0 * np.maximum(demand - q, 0)))
        for q in demand
    ]
    assert held.cost == pytest.approx(min(costs), abs=1e-12)
    assert costs[int(held.quantity)] == min(costs)


def test_three_unequal_chances_add_up_exactly() -> None:
    # (.9 + .1z)(.8 + .2z)(.7 + .3z) multiplied out by hand
    assert how_many(np.array([0.1, 0.2, 0.3])) == pytest.approx(
        [0.504, 0.398, 0.092, 0.006], abs=1e-15
    )


def test_unequal_chances_add_up_as_over_every_outcome() -> None:
    # brute force over all 2^9 outcomes
    chances = np.random.default_rng(5).uniform(size=9)
    counted = np.zeros(10)
    for outcome in itertools.product((0, 1), repeat=9):
        counted[sum(outcome)] += np.prod(np.where(outcome, chances, 1 - chances))
    assert how_many(chances) == pytest.approx(counted, abs=1e-14)


def test_equal_chances_are_scipys_binomial_even_when_many() -> None:
    assert how_many(np.full(700, 0.3)) == pytest.approx(
        stats.binom.pmf(np.arange(701), 700, 0.3), abs=1e-13
    )


def test_sums_of_poissons_are_scipys_poisson() -> None:
    counts = np.arange(80)
    parts = [stats.poisson.pmf(counts, mean) for mean in (0.5, 1.5, 3.0)]
    assert total(parts)[:40] == pytest.approx(stats.poisson.pmf(counts[:40], 5.0), abs=1e-14)


@pytest.mark.parametrize(("share", "wanted"), [(0.5, 0), (0.504, 0), (0.51, 1), (0.95, 2), (1, 3)])
def test_enough_is_the_least_number_that_suffices(share: float, wanted: int) -> None:
    assert enough(how_many(np.array([0.1, 0.2, 0.3])), share) == wanted


def test_nothing_to_add_is_nought_for_sure() -> None:
    assert how_many(np.array([])).tolist() == [1.0]
