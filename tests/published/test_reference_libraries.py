"""The same answers as lifelines, surpyval and scipy on data of their own and on simulated lives.

lifelines treats an interval as closed, and surpyval's Turnbull is Fleming-Harrington unless told:
both matter below.
"""

import lifelines
import numpy as np
import pandas as pd
import pytest
import surpyval
from lifelines.datasets import load_gbsg2, load_larynx, load_rossi
from lifelines.statistics import multivariate_logrank_test
from scipy import stats
from statsmodels.duration.hazard_regression import PHReg

from corrosion.comparison.hazards import proportional_hazards
from corrosion.comparison.survival import life_curve, log_rank, sound_at
from corrosion.comparison.turnbull import turnbull
from corrosion.comparison.weibull import BracketedLife
from tests.published import printed_data as data


def _lives(exit_at, worn, **columns):
    end = np.asarray(exit_at, dtype=float)
    table = pd.DataFrame({"low": end, "high": np.where(worn, end, np.inf), "entry": 0.0, **columns})
    return table.assign(hull_id=table.index)


@pytest.fixture(scope="module")
def larynx():
    table = load_larynx()
    stage = table[["Stage_II", "Stage_III", "Stage_IV"]].to_numpy() @ [1, 2, 3]
    return _lives(table["time"], table["death"] == 1, stage=stage.astype(str), age=table["age"])


def test_life_curve_and_band_are_those_of_lifelines(larynx):
    curve = life_curve(larynx)
    fit = lifelines.KaplanMeierFitter().fit(larynx["low"], np.isfinite(larynx["high"]))
    times = curve["exposure"].to_numpy()
    theirs = fit.survival_function_at_times(times).to_numpy()
    np.testing.assert_allclose(curve["sound"], theirs, rtol=1e-12)
    band = fit.confidence_interval_.loc[times].to_numpy()
    inside = np.isfinite(curve["low"])
    np.testing.assert_allclose(curve.loc[inside, ["low", "high"]], band[inside], rtol=1e-9)


def test_log_rank_over_four_groups_is_that_of_lifelines(larynx):
    ours = log_rank(larynx, "stage")
    theirs = multivariate_logrank_test(larynx["low"], larynx["stage"], np.isfinite(larynx["high"]))
    assert ours.degrees == 3
    assert ours.chi_square == pytest.approx(theirs.test_statistic, rel=1e-9)
    assert ours.p_value == pytest.approx(theirs.p_value, rel=1e-9)


def test_proportional_hazards_and_intervals_are_those_of_lifelines():
    table = load_gbsg2().assign(pnodes=lambda t: t["pnodes"].astype(float))
    lives = _lives(table["time"], table["cens"] == 1, pnodes=table["pnodes"], age=table["age"])
    ours = proportional_hazards(lives, ["pnodes", "age"], by_hull=False).effects
    frame = table[["time", "cens", "pnodes", "age"]]
    theirs = lifelines.CoxPHFitter().fit(frame, "time", "cens").summary
    np.testing.assert_allclose(ours["estimate"], theirs["coef"], rtol=1e-5)
    np.testing.assert_allclose(ours["low"], theirs["exp(coef) lower 95%"], rtol=1e-5)
    np.testing.assert_allclose(ours["p_value"], theirs["p"], rtol=1e-4, atol=1e-12)


def test_standard_errors_clustered_on_hulls_are_the_sandwich_of_lifelines():
    # each convict of the Rossi data twice, as two anodes of one hull, by lifelines' cluster_col
    table = load_rossi()[["week", "arrest", "fin", "age", "prio"]]
    twice = pd.concat([table, table], ignore_index=True)
    twice = twice.assign(hull=np.tile(np.arange(len(table)), 2))
    # a ten-thousandth apart, since ties are broken differently in the two sandwiches
    twice["week"] = twice["week"] + np.random.default_rng(7).permutation(len(twice)) * 1e-4
    lives = _lives(twice["week"], twice["arrest"] == 1, fin=twice["fin"], age=twice["age"])
    lives = lives.assign(prio=twice["prio"], hull_id=twice["hull"])
    ours = proportional_hazards(lives, ["fin", "age", "prio"]).effects
    theirs = lifelines.CoxPHFitter().fit(twice, "week", "arrest", cluster_col="hull").summary
    np.testing.assert_allclose(ours["estimate"], theirs["coef"], rtol=1e-5)
    np.testing.assert_allclose(ours["low"], theirs["exp(coef) lower 95%"], rtol=0.01)


def test_turnbull_on_brackets_is_that_of_surpyval_by_kaplan_meier_steps():
    women = data.breast_cosmesis()
    group = women[women["treated"] == 1]
    ours = turnbull(group["low"], group["high"])
    # surpyval's default is Fleming-Harrington, another estimate
    theirs = surpyval.Turnbull.fit(
        xl=group["low"], xr=group["high"], turnbull_estimator="Kaplan-Meier", tol=1e-12
    )
    # the curve is only known at the ends of the innermost intervals
    at_ends = theirs.sf(ours["to"][:-1].to_numpy())
    np.testing.assert_allclose(ours["sound"][:-1], at_ends, atol=2e-4)


def test_turnbull_share_left_in_each_interval_is_that_of_lifelines_where_ends_differ():
    # lifelines takes brackets as closed: with no bracket ending where another begins they agree
    rng = np.random.default_rng(5)
    low = rng.uniform(0.0, 4.0, 60)
    high = np.where(rng.random(60) < 0.3, np.inf, low + rng.uniform(0.5, 3.0, 60))
    ours = turnbull(low, high)
    fit = lifelines.KaplanMeierFitter().fit_interval_censoring(low, high, tol=1e-9)
    theirs = fit.survival_function_["NPMLE_estimate_upper"]
    # between two innermost intervals the curve is flat: read it where the next one begins
    reached = [theirs[theirs.index <= after].iloc[-1] for after in ours["after"][1:]]
    # lifelines stops its search at about the fourth digit
    np.testing.assert_allclose(ours["sound"][:-1], reached, atol=2e-4)


def test_kaplan_meier_with_late_entry_is_that_of_surpyval():
    rng = np.random.default_rng(11)
    entry = np.round(rng.uniform(0.0, 40.0, 80))
    end = entry + np.ceil(rng.uniform(1.0, 120.0, 80))
    worn = rng.random(80) < 0.7
    # the first watch starts at zero, so that no early step empties the curve
    entry[:20] = 0.0
    lives = _lives(end, worn).assign(entry=entry)
    curve = life_curve(lives)
    theirs = surpyval.KaplanMeier.fit(end, c=(~worn).astype(int), tl=entry)
    for at in (30.0, 60.0, 90.0):
        assert sound_at(curve, at)["all"] == pytest.approx(theirs.sf([at])[0], rel=1e-9)


def test_weibull_with_late_entry_is_that_of_lifelines():
    rng = np.random.default_rng(3)
    life = 100.0 * rng.weibull(2.0, 400)
    entry = rng.uniform(0.0, 60.0, 400)
    seen = life > entry
    life, entry = life[seen], entry[seen]
    worn = life < 130.0
    end = np.minimum(life, 130.0)
    fit = BracketedLife(end, np.where(worn, end, np.inf), entry=entry).fit()
    theirs = lifelines.WeibullFitter().fit(end, worn, entry=entry)
    assert np.exp(fit.params[0]) == pytest.approx(theirs.lambda_, rel=1e-4)
    assert np.exp(-fit.params[1]) == pytest.approx(theirs.rho_, rel=1e-4)
    assert fit.llf == pytest.approx(theirs.log_likelihood_, rel=1e-7)
    # had late entry been left out, the lives would come out too long
    assert np.exp(BracketedLife(end, np.where(worn, end, np.inf)).fit().params[0]) > (
        1.03 * theirs.lambda_
    )


@pytest.mark.parametrize("distribution", ["weibull", "lognormal"])
def test_lives_of_every_kind_of_bracket_are_those_of_scipy(distribution):
    # scipy.stats fits exact, left, right and interval censored lives by direct search
    rng = np.random.default_rng(9)
    life = np.exp(rng.normal(3.0, 0.4, 120))
    low, high = np.floor(life / 5.0) * 5.0, np.ceil(life / 5.0) * 5.0
    low[:30] = high[:30] = life[:30]
    high[30:60] = np.inf
    low[60:80] = 0.0
    ours = BracketedLife(low, high, distribution=distribution).fit()
    whole = stats.CensoredData(
        uncensored=low[:30], right=low[30:60], left=high[60:80],
        interval=np.column_stack([low[80:], high[80:]]),
    )  # fmt: skip
    family = stats.weibull_min if distribution == "weibull" else stats.lognorm
    shape, _, scale = family.fit(whole, floc=0.0)
    ours_shape = np.exp(-ours.params[1] if distribution == "weibull" else ours.params[1])
    assert ours_shape == pytest.approx(shape, rel=1e-4)
    assert np.exp(ours.params[0]) == pytest.approx(scale, rel=1e-4)


def test_weibull_on_intervals_is_that_of_surpyval():
    tubes = data.heat_exchanger_tubes()
    fit = BracketedLife(tubes["low"], tubes["high"]).fit()
    scale, shape = surpyval.Weibull.fit(xl=tubes["low"], xr=tubes["high"]).params
    # surpyval stops its search a hundred-thousandth short
    assert np.exp(fit.params[0]) == pytest.approx(scale, rel=1e-4)
    assert np.exp(-fit.params[1]) == pytest.approx(shape, rel=1e-4)


def _late_entries(seed):
    """Simulate 150 lives in two waters, half of them watched from some exposure on."""
    rng = np.random.default_rng(seed)
    water = np.where(rng.random(150) < 0.5, "salt", "fresh")
    life = np.where(water == "salt", 80.0, 120.0) * rng.weibull(2.0, 150)
    entry = np.where(rng.random(150) < 0.5, rng.uniform(0.0, 60.0, 150), 0.0)
    lives = _lives(np.minimum(life, 150.0), life < 150.0, water=water).assign(entry=entry)
    return lives[lives["low"] > lives["entry"]]


def test_proportional_hazards_with_late_entry_are_those_of_lifelines():
    lives = _late_entries(13)
    ours = proportional_hazards(lives, ["water"], by_hull=False).effects
    term = ours["term"][0].removeprefix("water: ")
    frame = pd.DataFrame(
        {"end": lives["low"], "worn": np.isfinite(lives["high"]), "entry": lives["entry"],
         "x": (lives["water"] == term) * 1.0}
    )  # fmt: skip
    theirs = lifelines.CoxPHFitter().fit(frame, "end", "worn", entry_col="entry")
    assert ours["estimate"][0] == pytest.approx(theirs.params_["x"], rel=1e-5)
    assert ours["p_value"][0] == pytest.approx(theirs.summary["p"]["x"], rel=1e-3)


def test_log_rank_with_late_entry_is_the_score_test_of_proportional_hazards():
    # without ties the two are the same test (Klein and Moeschberger, section 8.3, from memory)
    lives = _late_entries(14)
    salt = (lives["water"] == "salt").to_numpy(float)[:, None]
    worn = np.isfinite(lives["high"]).astype(int)
    model = PHReg(lives["low"], salt, status=worn, entry=lives["entry"])
    score, information = model.score(np.zeros(1))[0], -model.hessian(np.zeros(1))[0, 0]
    ours = log_rank(lives, "water")
    assert ours.chi_square == pytest.approx(score**2 / information, rel=1e-9)
