"""The scores are the textbook's: worked by hand, or found again by another route."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy.stats import mannwhitneyu

from tests.known_truth.exam import judge
from tests.known_truth.program import Answers
from tests.known_truth.scores import auc, bootstrap, brier, brier_skill, decidable, log_loss, score

RISK = np.array([0.9, 0.6, 0.6, 0.1])
CROSSED = np.array([True, True, False, False])


def judged(**columns: object) -> pd.DataFrame:
    rows = {
        "fleet": "f-1",
        "date": pd.Timestamp("2031-06-01", tz="UTC"),
        "hull_id": ["H1", "H1", "H2", "H2"],
        "risk": RISK,
        "hull_risk": [0.95, 0.95, 0.65, 0.65],
        "crossed": CROSSED,
        "worn_true": [0.9, 0.8, 0.7, 0.1],
        "worn": [0.9, 0.9, 0.7, 0.1],
        "days_left": [3.0, 9.0, 40.0, np.inf],
        "seen_days": 100.0,
        "days_left_10": [1.0, 10.0, 20.0, 50.0],
        "days_left_50": [3.0, 15.0, 40.0, 70.0],
        "days_left_90": [5.0, 20.0, 60.0, 90.0],
    }
    return pd.DataFrame(rows | columns)


def test_auc_counts_a_tie_as_half():
    assert auc(RISK, CROSSED) == pytest.approx((2 + 1 + 0.5) / 4)


def test_auc_is_mann_and_whitneys_statistic():
    rng = np.random.default_rng(1)
    risk, crossed = rng.random(200).round(1), rng.random(200) < 0.3
    expected = mannwhitneyu(risk[crossed], risk[~crossed]).statistic  # scipy
    pairs = crossed.sum() * (~crossed).sum()
    assert auc(risk, crossed) == pytest.approx(expected / pairs, abs=1e-12)


def test_auc_is_unknown_when_nothing_or_everything_crossed():
    assert np.isnan(auc(RISK, np.zeros(4, bool)))
    assert np.isnan(auc(RISK, np.ones(4, bool)))


def test_brier_and_its_skill_are_as_worked_by_hand():
    assert brier(RISK, CROSSED) == pytest.approx((0.01 + 0.16 + 0.36 + 0.01) / 4)
    assert brier_skill(RISK, CROSSED) == pytest.approx(1 - 0.135 / 0.25)


def test_the_average_has_no_skill():
    assert brier_skill(np.full(4, 0.5), CROSSED) == pytest.approx(0.0)


def test_log_loss_is_clipped_so_that_a_sure_miss_is_finite():
    assert log_loss(np.array([0.0]), np.array([True])) == pytest.approx(-np.log(1e-6))
    assert log_loss(RISK, CROSSED) == pytest.approx(-np.log([0.9, 0.6, 0.4, 0.9]).mean())


def test_an_interval_that_reaches_beyond_the_simulated_end_is_not_judged_either_way():
    rows = judged(days_left_90=[5.0, 120.0, 120.0, 90.0])
    assert list(decidable(rows).index) == [0, 3]


def test_an_anode_already_past_its_limit_has_no_interval_to_judge():
    assert list(decidable(judged(worn_true=[1.2, 0.8, 0.7, 0.1])).index) == [1, 2, 3]


def test_coverage_says_on_which_side_the_intervals_miss():
    scored = score(judged())  # inside, sooner, inside, never seen: later
    assert (scored["covered"], scored["sooner"], scored["later"]) == (0.5, 0.25, 0.25)


def test_coverage_of_the_next_sixty_days_is_told_apart():
    assert score(judged())["covered_60_days"] == pytest.approx(2 / 3)


def test_a_hull_crosses_when_any_of_its_anodes_does():
    assert score(judged())["auc_hulls"] == 1.0


def test_expected_over_observed_is_the_sum_of_the_risks_over_the_crossings():
    assert score(judged())["expected_over_observed"] == pytest.approx(2.2 / 2)


def test_bootstrap_intervals_hold_the_score_and_widen_it():
    rng = np.random.default_rng(5)
    risk = rng.random(300)
    many = pd.concat([judged()] * 75, ignore_index=True).assign(
        hull_id=np.repeat(np.arange(60), 5), risk=risk, crossed=rng.random(300) < risk
    )
    ends = bootstrap(many, 40, np.random.default_rng(2)).loc["brier"]
    assert ends["low"] < score(many)["brier"] < ends["high"]


def test_an_anode_that_the_program_leaves_out_gets_the_mean_risk():
    truth = pd.DataFrame(
        {"hull_id": ["H1", "H1"], "position": ["a", "b"], "crossed": [True, False]}
    )
    anodes = pd.DataFrame({"hull_id": ["H1"], "position": ["a"], "risk": [0.4], "worn": [0.5]})
    hulls = pd.DataFrame({"hull_id": ["H1"], "risk": [0.5]})
    table = judge(truth, Answers(anodes, hulls))
    assert list(table["risk"]) == [0.4, 0.4]
    assert list(table["judged"]) == [True, False]
