"""The same answers as lifelines and surpyval on data of their own and on simulated lives.

lifelines treats an interval as closed, and surpyval's Turnbull is Fleming-Harrington unless told:
both matter below. What lifelines answered stands recorded (`tests/published/lifelines`).
"""

import numpy as np
import pandas as pd
import pytest
import surpyval
from statsmodels.duration.hazard_regression import PHReg

from corrosion.comparison.hazards import proportional_hazards
from corrosion.comparison.survival import life_curve, log_rank
from corrosion.comparison.turnbull import turnbull
from tests.curves import sound_at
from tests.published import printed_data as data
from tests.published.cases import as_lives, brackets_apart, late_entries, twice_convicted
from tests.published.lifelines import FIGURES, data_set


@pytest.fixture(scope="module")
def larynx():
    table = data_set("larynx")
    stage = table[["Stage_II", "Stage_III", "Stage_IV"]].to_numpy() @ [1, 2, 3]
    return as_lives(table["time"], table["death"] == 1, stage=stage.astype(str), age=table["age"])


def test_life_curve_and_band_are_those_of_lifelines(larynx):
    curve = life_curve(larynx).set_index("exposure")
    theirs = pd.DataFrame(FIGURES["larynx_curve"]).set_index("at").loc[curve.index]
    np.testing.assert_allclose(curve["sound"], theirs["sound"], rtol=1e-12)
    inside = np.isfinite(curve["low"])
    ends = ["low", "high"]
    np.testing.assert_allclose(curve.loc[inside, ends], theirs.loc[inside, ends], rtol=1e-9)


def test_log_rank_over_four_groups_is_that_of_lifelines(larynx):
    ours, theirs = log_rank(larynx, "stage"), FIGURES["larynx_log_rank"]
    assert ours.degrees == 3
    assert ours.chi_square == pytest.approx(theirs["chi_square"], rel=1e-9)
    assert ours.p_value == pytest.approx(theirs["p_value"], rel=1e-9)


def test_proportional_hazards_and_intervals_are_those_of_lifelines():
    table = data_set("gbsg2").assign(pnodes=lambda t: t["pnodes"].astype(float))
    lives = as_lives(table["time"], table["cens"] == 1, pnodes=table["pnodes"], age=table["age"])
    ours = proportional_hazards(lives, ["pnodes", "age"], by_hull=False).effects
    theirs = FIGURES["gbsg2_hazards"]
    np.testing.assert_allclose(ours["estimate"], theirs["estimate"], rtol=1e-5)
    np.testing.assert_allclose(ours["low"], theirs["low"], rtol=1e-5)
    np.testing.assert_allclose(ours["p_value"], theirs["p_value"], rtol=1e-4, atol=1e-12)


def test_standard_errors_clustered_on_hulls_are_the_sandwich_of_lifelines():
    twice = twice_convicted(data_set("rossi"))
    lives = as_lives(twice["week"], twice["arrest"] == 1, fin=twice["fin"], age=twice["age"])
    lives = lives.assign(prio=twice["prio"], hull_id=twice["hull"])
    ours = proportional_hazards(lives, ["fin", "age", "prio"]).effects
    theirs = FIGURES["rossi_twice_hazards"]
    np.testing.assert_allclose(ours["estimate"], theirs["estimate"], rtol=1e-5)
    np.testing.assert_allclose(ours["low"], theirs["low"], rtol=0.01)


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
    ours = turnbull(*brackets_apart())
    theirs = pd.Series(FIGURES["turnbull"]["sound"], index=FIGURES["turnbull"]["at"])
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
    lives = as_lives(end, worn).assign(entry=entry)
    curve = life_curve(lives)
    theirs = surpyval.KaplanMeier.fit(end, c=(~worn).astype(int), tl=entry)
    for at in (30.0, 60.0, 90.0):
        assert sound_at(curve, at)["all"] == pytest.approx(theirs.sf([at])[0], rel=1e-9)


def test_proportional_hazards_with_late_entry_are_those_of_lifelines():
    ours = proportional_hazards(late_entries(13), ["water"], by_hull=False).effects.iloc[0]
    sign = 1.0 if ours["term"] == "water: salt" else -1.0
    assert sign * ours["estimate"] == pytest.approx(FIGURES["late_entry"]["salt"], rel=1e-5)
    assert ours["p_value"] == pytest.approx(FIGURES["late_entry"]["p_value"], rel=1e-3)


def test_log_rank_with_late_entry_is_the_score_test_of_proportional_hazards():
    # without ties the two are the same test (Klein and Moeschberger, section 8.3, from memory)
    lives = late_entries(14)
    salt = (lives["water"] == "salt").to_numpy(float)[:, None]
    worn = np.isfinite(lives["high"]).astype(int)
    model = PHReg(lives["low"], salt, status=worn, entry=lives["entry"])
    score, information = model.score(np.zeros(1))[0], -model.hessian(np.zeros(1))[0, 0]
    ours = log_rank(lives, "water")
    assert ours.chi_square == pytest.approx(score**2 / information, rel=1e-9)
