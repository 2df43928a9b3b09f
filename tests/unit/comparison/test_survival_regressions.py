"""Regressions on lives: design, hazards."""

import numpy as np
import pandas as pd
import pytest

from corrosion.common.errors import TooLittle
from corrosion.comparison.hazards import design, proportional_hazards


def _fleet(seed=1, hulls=40, anodes=4, hull_spread=0.0):
    """Simulate lives: Weibull, shape 3, salt half as long as fresh, looked at every 25 h."""
    rng = np.random.default_rng(seed)
    hull = np.repeat(np.arange(hulls), anodes)
    water = np.where(hull % 2 == 0, "fresh", "salt")
    scale = (
        np.where(water == "salt", 200.0, 400.0)
        * np.exp(hull_spread * rng.standard_normal(hulls))[hull]
    )
    life = scale * rng.weibull(3.0, len(hull))
    low = np.floor(life / 25.0) * 25.0
    worn = life < 350.0
    return pd.DataFrame(
        {
            "hull_id": hull.astype(str), "water": water, "entry": 0.0,
            "low": np.where(worn, low, 350.0), "high": np.where(worn, low + 25.0, np.inf),
            "hours_a_day": rng.uniform(1.0, 4.0, len(hull)),
        }
    )  # fmt: skip


def _term(regression, term):
    return regression.effects.set_index("term").loc[term]


def test_a_text_becomes_a_column_for_every_value_but_the_most_frequent():
    table = pd.DataFrame({"water": ["salt", "fresh", "salt", "brackish"], "size": [1, 2, 3, 4]})
    columns = design(table, ["water", "size"])
    assert set(columns) == {"water: fresh", "water: brackish", "size"}
    assert columns["water: fresh"].tolist() == [0, 1, 0, 0]


def test_proportional_hazards_find_the_eightfold_hazard_of_salt():
    # halved Weibull lives of shape 3 are 2 ** 3 times the hazard
    salt = _term(proportional_hazards(_fleet(), ["water"]), "water: salt")
    assert salt["low"] < 8.0 < salt["high"]


def test_a_column_that_does_nothing_is_told_from_one_that_does():
    fit = proportional_hazards(_fleet(), ["water", "hours_a_day"])
    assert _term(fit, "water: salt")["p_value"] < 1e-6
    assert _term(fit, "hours_a_day")["p_value"] > 0.01


def test_anodes_that_are_alike_within_a_hull_widen_the_interval():
    lives = _fleet(hull_spread=0.5)
    alone = _term(proportional_hazards(lives, ["water"], by_hull=False), "water: salt")
    by_hull = _term(proportional_hazards(lives, ["water"]), "water: salt")
    assert by_hull["estimate"] == pytest.approx(alone["estimate"])
    assert np.log(by_hull["high"] / by_hull["low"]) > 1.2 * np.log(alone["high"] / alone["low"])


def test_fewer_worn_lives_than_parameters_are_refused():
    lives = _fleet().assign(high=np.inf)
    lives.loc[0, ["low", "high"]] = [100.0, 125.0]
    with pytest.raises(TooLittle, match="1 of 160 anode lives end at a look past the limit, 2"):
        proportional_hazards(lives, ["water", "hours_a_day"])


def test_a_fit_that_cannot_settle_is_a_result_that_says_so():
    # every anode of salt worn in the same bracket, none of fresh: the effect runs off
    lives = pd.DataFrame(
        {
            "hull_id": list("abcdefgh"), "water": ["salt"] * 4 + ["fresh"] * 4, "entry": 0.0,
            "low": [100.0] * 4 + [400.0] * 4, "high": [100.0] * 4 + [np.inf] * 4,
        }
    )  # fmt: skip
    fit = proportional_hazards(lives, ["water"], by_hull=False)
    assert not fit.converged or not np.isfinite(fit.effects["high"]).all()
