"""The gamma process of wear: score, truth found again, chances, joined stretches."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from statsmodels.tools.numdiff import approx_fprime

from corrosion.comparison.gamma_wear import (
    GammaWear,
    chance_worn_out,
    fit_gamma_wear,
    growing_stretches,
)


def _simulated(units=60, looks=12, delta=np.inf, seed=4):
    """Simulate stretches: 0.8 shape a running hour, 0.1 an hour afloat, mean rate 50."""
    rng = np.random.default_rng(seed)
    unit = np.repeat(np.arange(units), looks)
    hours = pd.DataFrame(
        {"running": rng.uniform(1.0, 6.0, len(unit)), "afloat": rng.uniform(1.0, 60.0, len(unit))}
    )
    rates = np.full(units, 50.0)
    if np.isfinite(delta):
        rates = 50.0 * rng.gamma(delta, 1.0 / delta, units)
    shape = 0.8 * hours["running"] + 0.1 * hours["afloat"]
    return hours.assign(unit=unit, growth=rng.gamma(shape, 1.0 / rates[unit]))


STATES = ["running", "afloat"]


@pytest.mark.parametrize("with_units", [False, True])
def test_the_analytic_score_is_the_slope_of_the_log_likelihood(with_units):
    table = _simulated(units=8, looks=5)
    units = table["unit"] if with_units else None
    model = GammaWear(table["growth"], table[STATES], units)
    params = np.array([-0.5, -2.0, 3.6, 2.5][: len(model.exog_names)])
    slope = approx_fprime(params, model.loglike, centered=True).ravel()
    np.testing.assert_allclose(model.score(params), slope, rtol=1e-5, atol=1e-5)
    by_row = approx_fprime(params, model.loglikeobs, centered=True)
    if not with_units:
        np.testing.assert_allclose(model.score_obs(params), by_row, rtol=1e-5, atol=1e-5)


def test_wear_of_each_state_is_found_again():
    table = _simulated()
    fit = fit_gamma_wear(table["growth"], table[STATES])
    assert fit.converged
    per_hour = fit.shape_per_hour / fit.rate
    np.testing.assert_allclose(per_hour, [0.8 / 50, 0.1 / 50], rtol=0.15)
    assert "log_shape_running" in str(fit.results.summary())


def test_the_spread_between_units_is_found_again():
    table = _simulated(delta=16.0, units=120)
    fit = fit_gamma_wear(table["growth"], table[STATES], table["unit"])
    assert fit.converged
    assert 1.0 / np.sqrt(fit.delta) == pytest.approx(0.25, abs=0.06)


def test_a_unit_named_by_text_counts_the_same_as_by_number():
    table = _simulated(units=10, delta=16.0)
    by_number = fit_gamma_wear(table["growth"], table[STATES], table["unit"])
    by_text = fit_gamma_wear(table["growth"], table[STATES], "H" + table["unit"].astype(str))
    assert by_text.log_likelihood == pytest.approx(by_number.log_likelihood)


def test_the_order_of_rows_changes_nothing():
    table = _simulated(units=10, delta=16.0)
    mixed = table.sample(frac=1.0, random_state=3)
    first = fit_gamma_wear(table["growth"], table[STATES], table["unit"])
    second = fit_gamma_wear(mixed["growth"], mixed[STATES], mixed["unit"])
    assert second.log_likelihood == pytest.approx(first.log_likelihood)


def test_a_very_even_fleet_makes_the_effect_per_unit_vanish():
    table = _simulated(delta=16.0)
    fit = fit_gamma_wear(table["growth"], table[STATES], table["unit"])
    alike = fit_gamma_wear(table["growth"], table[STATES])
    model = fit.results.model
    even = np.append(np.asarray(alike.results.params), 18.0)
    assert model.loglike(even) == pytest.approx(alike.log_likelihood, abs=1e-3)


@settings(max_examples=50, deadline=None)
@given(st.floats(0.05, 1.0), st.floats(0.0, 300.0), st.floats(1.0, 200.0))
def test_more_hours_never_lower_the_chance_and_more_to_go_never_raises_it(to_go, hours, more):
    for units in (None, FLEET["unit"]):
        fit = FITS[units is not None]
        ahead = np.array([[hours, hours], [hours + more, hours], [hours, hours + more]])
        chance = chance_worn_out(fit, ahead, to_go)
        assert ((chance >= 0.0) & (chance <= 1.0)).all()
        assert chance[1] >= chance[0] - 1e-12
        assert chance[2] >= chance[0] - 1e-12
        assert (chance_worn_out(fit, ahead, to_go + 0.1) <= chance + 1e-12).all()


FLEET = _simulated(delta=16.0, units=30)
FITS = {
    False: fit_gamma_wear(FLEET["growth"], FLEET[STATES]),
    True: fit_gamma_wear(FLEET["growth"], FLEET[STATES], FLEET["unit"]),
}


def test_a_unit_known_to_wear_fast_is_likelier_to_be_worn():
    fit = FITS[True]
    behind = np.array([[50.0, 400.0]] * 2)
    expected = float(behind[0] @ fit.shape_per_hour) / fit.rate
    chance = chance_worn_out(
        fit, [[20.0, 100.0]] * 2, 0.5, behind, [0.6 * expected, 1.6 * expected]
    )
    assert chance[1] > chance[0] + 0.1


def test_the_chance_with_an_effect_per_unit_is_that_of_simulated_units():
    fit = FITS[True]
    rng = np.random.default_rng(8)
    rates = fit.rate * rng.gamma(fit.delta, 1.0 / fit.delta, 200_000)
    shape = float(np.array([30.0, 100.0]) @ fit.shape_per_hour)
    share = np.mean(rng.gamma(shape, 1.0 / rates) >= 0.7)
    ours = chance_worn_out(fit, [[30.0, 100.0]], 0.7)[0]
    assert ours == pytest.approx(share, abs=4.0 * np.sqrt(share * (1 - share) / 200_000))


def test_a_look_that_shows_no_growth_joins_the_next_one():
    table = pd.DataFrame({"unit": "H1", "growth": [0.2, -0.01, 0.1], "running": [10.0, 4.0, 5.0]})
    joined = growing_stretches(table)
    assert joined["running"].tolist() == [10, 9]
    assert joined["growth"].tolist() == pytest.approx([0.2, 0.09])


def test_hours_left_over_at_the_end_join_the_stretch_before():
    table = pd.DataFrame({"unit": "H1", "growth": [0.2, 0.1, 0.0], "running": [10.0, 4.0, 5.0]})
    assert growing_stretches(table)["running"].tolist() == [10, 9]


def test_a_unit_that_never_grew_is_left_out():
    table = pd.DataFrame(
        {"unit": ["H1", "H2", "H2"], "growth": [-0.1, 0.2, 0.2], "running": [10.0, 4.0, 5.0]}
    )
    assert growing_stretches(table)["unit"].tolist() == ["H2", "H2"]
    assert growing_stretches(table[table["unit"] == "H1"]).empty


rows = st.tuples(st.sampled_from(["a", "b"]), st.floats(-0.3, 0.5), st.floats(0.1, 50.0))


@settings(max_examples=80, deadline=None)
@given(st.lists(rows, min_size=1, max_size=15))
def test_joined_stretches_all_grow_and_lose_no_hour_of_a_unit_that_grew(stretches):
    table = pd.DataFrame(stretches, columns=["unit", "growth", "running"])
    joined = growing_stretches(table)
    assert (joined["growth"] > 0.0).all()
    kept = table[table["unit"].isin(joined["unit"])].groupby("unit")
    again = joined.groupby("unit")
    for name in ("growth", "running"):
        assert again[name].sum().to_dict() == pytest.approx(kept[name].sum().to_dict())
