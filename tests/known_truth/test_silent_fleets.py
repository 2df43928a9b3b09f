"""Silence is not rest: forecasts after weeks without entries, against the hidden wear.

Bounds are this project's own. Each is asked of fleets of several seeds and of other physics, pooled
(a worn anode is rare in one week); what one seed is worth is in `silence_study`.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from tests.known_truth.silence_study import examined, scored

pytestmark = pytest.mark.slow

KINDS = ("standard", "arrhenius", "messy")
SEEDS = (31, 32)


def _all(case: str, kinds: tuple[str, ...], seeds: tuple[int, ...] = SEEDS) -> pd.DataFrame:
    return pd.concat([examined(case, kind, seeds) for kind in kinds], ignore_index=True)


def test_a_silent_fleet_is_forecast_as_well_as_when_the_silence_began():
    scores = scored(_all("fleet", KINDS))
    assert 0.85 <= scores["expected_over_observed"] <= 1.2
    assert scores["skill"] >= scores["skill_then"] - 0.06
    assert scores["halved"] <= 0.03  # by weeks that truly went otherwise than was expected


def test_a_silent_mooring_is_forecast_as_well_and_the_others_as_before():
    table = _all("mooring", ("four_moorings", "four_moorings_arrhenius"), (31, 32, 33))
    silent, others = (table[table["silent"] == is_silent] for is_silent in (True, False))
    scores = scored(silent)
    assert 0.85 <= scores["expected_over_observed"] <= 1.2
    assert scores["skill"] >= scores["skill_then"] - 0.06
    moved = np.abs(others["risk"] - others["risk_full"])
    assert moved.mean() < 0.003
    assert scored(others)["skill"] >= scored(others)["skill_in_place"] - 0.02


@pytest.mark.parametrize("case", ["late", "late_dated"])
def test_entries_up_to_ten_days_late_cost_little(case):
    scores = scored(_all(case, KINDS))
    assert scores["skill"] >= scores["skill_in_place"] - 0.03


def test_hulls_that_lie_still_while_others_work_are_not_taken_for_silent():
    table = examined("laid_up", "laid_up", (31, 32, 33))
    still = table[table["silent"]]
    assert abs((still["worn"] - still["worn_true"]).mean()) < 0.01


def test_a_look_inside_a_silence_is_not_read_as_fast_wear():
    scores = scored(_all("looks", ("standard", "arrhenius")))
    assert scores["skill"] >= scores["skill_in_place"] - 0.04
    assert abs(scores["worn_bias"]) < 0.01
