"""Printed values behind the flushing verdict: boundary tests, hidden causes, sizes of trials."""

from __future__ import annotations

import numpy as np
import pytest
from statsmodels.stats.power import TTestPower

from corrosion.comparison.flushing.hidden import hidden_cause, strength
from corrosion.comparison.flushing.profile import boundary_p


@pytest.mark.parametrize(("size", "critical"), [(0.10, 1.64), (0.05, 2.71), (0.01, 5.41)])
def test_half_of_the_mass_at_nothing_moves_the_critical_value(size, critical):
    # Self & Liang 1987, JASA 82:605, case 5; the values as usually printed (2.71 for 5 %), from
    # memory; they are the squares of one-sided normal points: 1.2816, 1.6449 and 2.3263
    assert boundary_p(critical) == pytest.approx(size, rel=0.01)


def test_the_ratio_of_a_rate_that_cannot_be_negative_follows_the_mixture():
    # by the definition of the case: one normal estimate, held at 0 from below
    drawn = np.maximum(np.random.default_rng(5).normal(size=200_000), 0.0) ** 2
    assert (drawn == 0).mean() == pytest.approx(0.5, abs=0.004)
    for critical in (1.64, 2.71, 5.41):
        assert (drawn > critical).mean() == pytest.approx(boundary_p(critical), abs=0.003)


def test_nothing_gained_is_no_evidence_at_all():
    assert boundary_p(0.0) == 1.0
    assert boundary_p(-1.0) == 1.0


@pytest.mark.parametrize(("ratio", "printed"), [(3.9, 7.26), (1.8, 3.0)])
def test_a_hidden_cause_has_to_be_as_strong_as_printed(ratio, printed):
    # VanderWeele & Ding 2017, Annals of Internal Medicine 167:268, the example of breastfeeding
    # and respiratory deaths, risk ratio 3.9 with lower end 1.8; from memory
    assert strength(ratio) == pytest.approx(printed, abs=0.005)


def test_a_hidden_cause_of_that_strength_makes_just_that_ratio():
    # Ding & VanderWeele 2016, Epidemiology 27:368: the bound, both strengths equal
    for ratio in (1.05, 1.3, 2.0, 4.0):
        e = strength(ratio)
        assert e * e / (2 * e - 1) == pytest.approx(ratio)


def test_a_share_saved_is_put_to_the_hidden_cause_as_the_ratio_that_it_stands_for():
    cause = hidden_cause(0.25, 0.0)
    assert cause.ratio == pytest.approx(4 / 3)
    assert cause.strength_low == 1.0


@pytest.mark.parametrize(("effect", "pairs"), [(0.5, 34), (0.8, 15), (0.2, 199)])
def test_a_paired_trial_takes_as_many_pairs_as_tables_say(effect, pairs):
    # Cohen 1988, Statistical Power Analysis, power 0.80 at two-sided 5 %; from memory
    needed = TTestPower().solve_power(effect_size=effect, alpha=0.05, power=0.8)
    assert np.ceil(needed) == pairs
