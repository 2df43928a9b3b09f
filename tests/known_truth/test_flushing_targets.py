"""The share that flushing saves is found again, and is not seen where there is none.

A smaller version of `python -m tests.known_truth.study --ask flushing`; bounds are this project's
own and allow for what so few fleets leave to chance.
"""

from __future__ import annotations

from functools import cache

import pandas as pd
import pytest

from tests.known_truth.questions import flushing_summary, put

pytestmark = pytest.mark.slow

SEEDS = (1, 2)
SAVING = ("standard", "confounded", "afloat_cannot")
NULL = ("null_flush", "null_confounded")
WIDEST = 0.25


@cache
def asked(kind: str, seeds: tuple[int, ...] = SEEDS) -> pd.DataFrame:
    return pd.concat([put("flushing", kind, seed) for seed in seeds], ignore_index=True)


def test_the_truth_lies_inside_the_interval_also_where_hard_worked_hulls_are_flushed_less():
    inside = pd.concat([asked(kind) for kind in SAVING])["inside"]
    assert inside.sum() >= 5  # of six


@pytest.mark.parametrize("kind", SAVING)
def test_forty_hulls_give_an_interval_that_is_of_use(kind):
    table = asked(kind)
    assert ((table["high"] - table["low"]) < WIDEST).all()
    assert (table["verdict"] == "saves").all()


@pytest.mark.parametrize("kind", NULL)
def test_no_saving_is_seen_where_flushing_does_nothing(kind):
    table = asked(kind)
    assert not (table["verdict"] == "saves").any()
    assert (table["low"] == 0).all()


def test_four_hulls_and_sixty_days_get_no_invented_number():
    table = asked("small4")
    assert (table["verdict"] == "cannot-tell").all()
    assert table[["said", "low", "high"]].isna().all(axis=None)


@pytest.mark.parametrize(
    ("kind", "flag"),
    [
        ("unlogged", "with no row"),
        ("ticked", "ticked with many others"),
        ("six_oclock", "ticked with many others"),
        ("silent_salt", "kept no flush log"),
        ("silent_brackish", "kept no flush log"),
    ],
)
def test_a_badly_kept_flush_log_is_flagged_and_widens_the_interval(kind, flag):
    table = asked(kind, (1,))
    assert table["note"].str.contains(flag).all()
    beyond = (table["true"] - table["high"]).clip(lower=0) + (table["low"] - table["true"]).clip(
        lower=0
    )
    assert (beyond < 0.03).all()


def test_the_summary_counts_fleets_and_keeps_the_binomial_interval():
    # 9 of 10: Clopper and Pearson 1934, 0.555 to 0.997, by scipy and by any table
    rows = pd.DataFrame(
        {
            "fleet": [f"standard-{n}" for n in range(10)],
            "verdict": "saves",
            "true": 0.3,
            "said": 0.31,
            "low": 0.2,
            "high": 0.4,
            "inside": [True] * 9 + [False],
            "raw": 0.1,
        }
    )
    summary = flushing_summary(rows).iloc[0]
    assert summary["inside"] == "9/10"
    assert summary["interval"] == "0.55 to 1.00"  # Clopper and Pearson: 0.5550 to 0.9975
