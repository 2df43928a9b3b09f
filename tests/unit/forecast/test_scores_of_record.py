"""Scores of the track record that a hand can check."""

import numpy as np
import pandas as pd
import pytest

from corrosion.forecast.backtest import in_one_line
from corrosion.forecast.backtest.scores import blame, misses, reliability, rivals, share_interval
from corrosion.forecast.backtest.spans import HORIZONS_DAYS
from tests.unit.forecast.said_rows import said


def _rows(chances: list[float], happened: list[float]) -> pd.DataFrame:
    rows = pd.concat([said(hull_id=f"H{n}") for n in range(len(chances))], ignore_index=True)
    at = pd.Timestamp("2031-05-15", tz="UTC")
    return rows.assign(
        chance=chances, next_found=happened, next_days=10.0, next_at=at, next_worn=0.7, low=0.6,
        high=0.8, **{f"found_{d}": happened for d in HORIZONS_DAYS},
        **{f"how_{d}": "sound" for d in HORIZONS_DAYS},
    )  # fmt: skip


def test_the_ends_of_a_share_are_those_of_a_reference_library():
    # statsmodels.stats.proportion.proportion_confint(method='beta'), reference library
    from statsmodels.stats.proportion import proportion_confint

    for worn, looks in ((0, 12), (3, 20), (7, 7)):
        ends = share_interval(np.array([worn]), np.array([looks]))
        expected = proportion_confint(worn, looks, method="beta")
        assert np.ravel(ends) == pytest.approx(np.nan_to_num(expected), abs=1e-9)


def test_said_and_found_of_a_band_are_means_and_counts():
    table = reliability(_rows([0.08, 0.12, 0.1, 0.9], [0, 1, 0, 1]))
    band = table[table["to_chance"] == 0.15].iloc[0]
    assert (band["said"], band["looks"], band["worn"]) == (pytest.approx(0.1), 3, 1)
    assert band["found"] == pytest.approx(1 / 3)
    assert band["low"] < 1 / 3 < band["high"]


def test_brier_scores_are_those_of_the_textbook():
    # mean of squared distances: (0.04 + 0.01 + 0.04 + 0.01) / 4, and a quarter for the average
    table = rivals(_rows([0.2, 0.1, 0.8, 0.9], [0, 0, 1, 1])).set_index("rule")
    assert table.loc["these forecasts", "brier"] == pytest.approx(0.025)
    assert table.loc["the average", "brier"] == pytest.approx(0.25)
    assert table.loc["these forecasts", "skill"] == pytest.approx(0.9)
    assert set(table.index[2:]) == {"by the calendar", "by engine hours", "half gone"}


def test_misses_are_named_on_both_sides():
    table = misses(_rows([0.03, 0.95, 0.5], [1, 0, 1]), 0.1)
    assert list(table["what"]) == ["worn, not expected", "expected, still sound"]
    assert list(table["hull_id"]) == ["H0", "H1"]


def test_the_line_says_how_many_of_those_given_one_in_ten_were_worn():
    table = reliability(_rows([0.1] * 20, [1.0] * 3 + [0.0] * 17))
    sentence = "of 20 anodes given about 1 in 10 to be worn at their next look, 3 were"
    assert in_one_line(table) == sentence
    assert in_one_line(table.iloc[:0]) == ""


def test_use_and_wear_are_parted_and_each_look_counts_once():
    rows = _rows([0.5, 0.7, 0.3, 0.99], [1.0, 1.0, 0.0, 1.0]).assign(
        chance_used=[0.3, 0.3, 0.1, 0.99], engine_h_said=30.0, engine_h_run=20.0,
        hull_id=["H1", "H1", "H2", "H3"], next_at=pd.Timestamp("2031-05-20", tz="UTC"),
    )  # fmt: skip
    middle, every = (row for _, row in blame(rows).iterrows())
    # two Mondays met at the look of H1: counted once, with their mean
    assert (middle["looks"], middle["found"]) == (2, 1.0)
    assert middle["said"] == pytest.approx(0.6 + 0.3)
    assert middle["said_with_use"] == pytest.approx(0.3 + 0.1)
    # hulls stray by 0.7 and 0.1, which is more than looks on their own would
    assert middle["high"] == pytest.approx(0.4 + 1.959964 * np.hypot(0.7, 0.1))
    assert middle["low"] == 0.0
    apart = blame(rows.assign(next_found=[0.3, 0.3, 0.1, 0.99])).iloc[0]
    assert apart["high"] == pytest.approx(0.4 + 1.959964 * np.sqrt(0.3 * 0.7 + 0.1 * 0.9))
    assert (middle["hours_said"], middle["hours_run"]) == (60.0, 40.0)
    assert (every["looks"], every["found"]) == (3, 2.0)
