"""Ranges that did not hold are widened by what is sure, and ranges that held are left alone."""

import numpy as np
import pandas as pd
import pytest

from corrosion.forecast.backtest.widening import LEAST_LOOKS, MOST, widening

Z80 = 1.2815515655446004


def _judged(looks: int, true_sd: float, seed: int = 3) -> pd.DataFrame:
    """Looks that stray by `true_sd` where the forecasts promised 1."""
    worn = np.random.default_rng(seed).normal(0.0, true_sd, looks)
    at = pd.Timestamp("2031-05-15", tz="UTC")
    return pd.DataFrame(
        {
            "hull_id": [f"H{n}" for n in range(looks)], "position": "pencil", "next_at": at,
            "next_days": 7.0, "next_worn": worn, "next_found": 0.0, "low": -Z80, "high": Z80,
        }
    )  # fmt: skip


def test_ranges_that_are_too_narrow_by_half_are_widened_by_nearly_half():
    widened = widening(_judged(1200, 1.5))
    assert widened.low <= 1.5 <= widened.high
    assert 1.3 <= widened.factor <= 1.5


@pytest.mark.parametrize("seed", range(5))
def test_ranges_that_hold_what_they_promise_are_left_alone(seed):
    # the lower end is 97.5 % sure, halved for looks that go together: 1 in 100 would be touched
    assert widening(_judged(600, 1.0, seed)).factor == pytest.approx(1.0, abs=0.02)


def test_ranges_that_are_too_wide_are_never_narrowed():
    assert widening(_judged(600, 0.5)).factor == 1.0


def test_few_looks_change_nothing_and_a_wild_record_only_so_much():
    assert widening(_judged(LEAST_LOOKS - 1, 5.0)).factor == 1.0
    assert widening(_judged(2000, 50.0)).factor == MOST


def test_widened_ranges_hold_their_promise_on_the_next_looks():
    factor = widening(_judged(1500, 1.6, seed=1)).factor
    fresh = _judged(1500, 1.6, seed=2)
    held = (fresh["next_worn"].abs() <= Z80 * factor).mean()
    before = (fresh["next_worn"].abs() <= Z80).mean()
    assert before < 0.62
    assert 0.74 <= held <= 0.82
