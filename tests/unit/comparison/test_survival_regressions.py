"""Regressions on lives: design, hazards, bracketed lives, life at a share."""

import numpy as np
import pandas as pd
import pytest
from statsmodels.tools.numdiff import approx_fprime

from corrosion.common.errors import TooLittle
from corrosion.comparison.hazards import bracketed_lives, design, proportional_hazards
from corrosion.comparison.weibull import BracketedLife, chance_worn, life_at


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
    columns = design(table, ["water", "size"], constant=True)
    assert set(columns) == {"const", "water: fresh", "water: brackish", "size"}
    assert columns["water: fresh"].tolist() == [0, 1, 0, 0]
    assert columns["const"].tolist() == [1, 1, 1, 1]


def test_bracketed_lives_find_the_halved_life_in_salt():
    fit = bracketed_lives(_fleet(), ["water"], by_hull=False)
    salt = _term(fit, "water: salt")
    assert fit.converged
    assert salt["low"] < 0.5 < salt["high"]
    assert salt["ratio"] == pytest.approx(0.5, rel=0.15)
    assert (fit.lives, fit.hulls) == (160, 40)


def test_proportional_hazards_find_the_eightfold_hazard_of_salt():
    # halved Weibull lives of shape 3 are 2 ** 3 times the hazard
    salt = _term(proportional_hazards(_fleet(), ["water"]), "water: salt")
    assert salt["low"] < 8.0 < salt["high"]


def test_a_column_that_does_nothing_is_told_from_one_that_does():
    fit = proportional_hazards(_fleet(), ["water", "hours_a_day"])
    assert _term(fit, "water: salt")["p_value"] < 1e-6
    assert _term(fit, "hours_a_day")["p_value"] > 0.01


@pytest.mark.parametrize("method", [bracketed_lives, proportional_hazards])
def test_anodes_that_are_alike_within_a_hull_widen_the_interval(method):
    lives = _fleet(hull_spread=0.5)
    alone = _term(method(lives, ["water"], by_hull=False), "water: salt")
    by_hull = _term(method(lives, ["water"]), "water: salt")
    assert by_hull["estimate"] == pytest.approx(alone["estimate"])
    assert np.log(by_hull["high"] / by_hull["low"]) > 1.2 * np.log(alone["high"] / alone["low"])


def test_fewer_worn_lives_than_parameters_are_refused():
    lives = _fleet().assign(high=np.inf)
    lives.loc[0, ["low", "high"]] = [100.0, 125.0]
    with pytest.raises(TooLittle, match="1 of 160 anode lives end at a look past the limit, 3"):
        bracketed_lives(lives, ["water"])
    with pytest.raises(TooLittle, match="2 needed"):
        proportional_hazards(lives, ["water", "hours_a_day"])


def test_brackets_that_began_late_are_read_from_their_entry():
    lives = _fleet()
    late = lives.assign(entry=np.where(lives["low"] >= 100.0, 100.0, 0.0))
    fit = bracketed_lives(late)
    assert fit.converged
    # a watch from 100 h on is worth less than one from new: the likelihood is a conditional one
    assert fit.log_likelihood > bracketed_lives(lives).log_likelihood


@pytest.mark.parametrize("distribution", ["weibull", "lognormal"])
@pytest.mark.parametrize("entered", [0.0, 0.5])
def test_the_analytic_score_is_the_slope_of_the_log_likelihood(distribution, entered):
    rng = np.random.default_rng(2)
    low = rng.uniform(0.1, 3.0, 60)
    high = low + rng.uniform(0.1, 1.0, 60)
    high[:15], high[15:30], low[30:45] = low[:15], np.inf, 0.0
    exog = np.column_stack([np.ones(60), rng.random(60)])
    model = BracketedLife(low, high, exog, entered * low, distribution)
    for params in ([0.5, 0.3, -0.4], [-1.0, 2.0, 0.7]):
        slope = approx_fprime(np.array(params), model.loglikeobs, centered=True)
        np.testing.assert_allclose(model.score_obs(params), slope, rtol=1e-5, atol=1e-6)


@pytest.mark.parametrize("distribution", ["weibull", "lognormal"])
def test_brackets_far_out_in_either_tail_keep_a_finite_likelihood(distribution):
    low, high = np.array([1e-12, 1e9, 5.0, 0.0, 0.0]), np.array([2e-12, 2e9, 5.0, 1e-9, np.inf])
    model = BracketedLife(low, high, distribution=distribution)
    for params in ([1.0, -2.0], [1.0, 2.0], [500.0, 0.0], [0.0, -40.0]):
        assert np.isfinite(model.loglike(params))
        assert np.isfinite(model.score(params)).all()


def test_a_bracket_that_says_nothing_changes_nothing():
    fleet = _fleet()
    low, high = fleet["low"], fleet["high"]
    alone = BracketedLife(low, high).fit()
    more = BracketedLife(np.append(low, 0.0), np.append(high, np.inf)).fit()
    np.testing.assert_allclose(more.params, alone.params, rtol=1e-7)
    assert more.llf == pytest.approx(alone.llf)


def test_a_change_of_unit_changes_the_scale_alone():
    fleet = _fleet()
    hours = BracketedLife(fleet["low"], fleet["high"]).fit()
    days = BracketedLife(fleet["low"] / 24.0, fleet["high"] / 24.0).fit()
    assert hours.params[0] - days.params[0] == pytest.approx(np.log(24.0))
    assert hours.params[1] == pytest.approx(days.params[1])


def test_brackets_as_wide_as_the_data_still_bracket_the_truth():
    fleet = _fleet(hulls=100)
    at = life_at(BracketedLife(fleet["low"], fleet["high"], distribution="weibull").fit(), 0.1)
    mixed = np.concatenate([200.0 * np.random.default_rng(0).weibull(3.0, 20_000),
                            400.0 * np.random.default_rng(1).weibull(3.0, 20_000)])  # fmt: skip
    assert at.exposure == pytest.approx(np.quantile(mixed, 0.1), rel=0.15)


def test_a_wider_confidence_gives_a_wider_life():
    fit = BracketedLife(_fleet()["low"], _fleet()["high"]).fit()
    narrow, wide = life_at(fit, 0.5, confidence=0.8), life_at(fit, 0.5, confidence=0.99)
    assert wide.low < narrow.low < narrow.exposure < narrow.high < wide.high


def test_the_chance_of_being_worn_rises_from_nothing_to_one():
    fit = BracketedLife(_fleet()["low"], _fleet()["high"]).fit()
    chance = chance_worn(fit, np.linspace(0.0, 5000.0, 200))
    assert chance[0] == pytest.approx(0.0, abs=1e-100)
    assert (np.diff(chance) >= 0.0).all()
    assert chance[-1] == pytest.approx(1.0)


def test_summary_names_its_terms():
    text = str(bracketed_lives(_fleet(), ["water"]).results.summary())
    assert "water: salt" in text
    assert "log_scale" in text


def test_a_fit_that_cannot_settle_is_a_result_that_says_so():
    # every anode of salt worn in the same bracket, none of fresh: the effect runs off
    lives = pd.DataFrame(
        {
            "hull_id": list("abcdefgh"), "water": ["salt"] * 4 + ["fresh"] * 4, "entry": 0.0,
            "low": [100.0] * 4 + [400.0] * 4, "high": [100.0] * 4 + [np.inf] * 4,
        }
    )  # fmt: skip
    fit = bracketed_lives(lives, ["water"], by_hull=False)
    assert not fit.converged or not np.isfinite(fit.effects["high"]).all()


def test_a_bracket_cannot_begin_before_its_watch():
    lives = _fleet().assign(entry=100.0)
    lives = lives[lives["high"] > 110.0]
    early = lives["low"] < 200.0
    unseen = lives.assign(low=np.where(early, 0.0, lives["low"]))
    seen = lives.assign(low=np.where(early, 100.0, lives["low"]))
    assert early.sum() > 10
    assert bracketed_lives(unseen).log_likelihood == pytest.approx(
        bracketed_lives(seen).log_likelihood
    )
