"""Weibull and lognormal lives on brackets against print and independent programs.

Where two programs agree on more digits than a book prints, the digits are theirs (R's `survival`,
scipy, lifelines or surpyval). Tolerance is half of the last printed digit unless the line says
otherwise.
"""

import numpy as np
import pytest
from lifelines.datasets import load_diabetes

from corrosion.comparison.weibull import BracketedLife, chance_worn, life_at
from tests.published import printed_data as data


def _weibull(fit):
    """Shape and scale of a Weibull life from a fit with the constant alone."""
    location, log_scale = np.asarray(fit.params)
    return 1.0 / np.exp(log_scale), np.exp(location)


@pytest.fixture(scope="module")
def nist():
    low = data.NIST_FAILED_H + data.NIST_RUNNING_H
    high = data.NIST_FAILED_H + [np.inf] * len(data.NIST_RUNNING_H)
    return BracketedLife(low, high).fit()


def test_exact_and_running_lives_give_the_weibull_of_the_nist_handbook(nist):
    # NIST/SEMATECH e-Handbook 8.4.1.3 prints 1.7208, 606.5280 and 75.135; two programs give
    # 1.720797, 606.5275 and -75.13462
    shape, scale = _weibull(nist)
    assert shape == pytest.approx(1.720797, abs=5e-7)
    # one unit of the last digit: the root of the likelihood equation is 606.52756
    assert scale == pytest.approx(606.5275, abs=1e-4)
    assert nist.llf == pytest.approx(-75.13462, abs=5e-6)
    assert nist.aic == pytest.approx(154.27, abs=0.005)


def test_a_lognormal_fits_the_nist_lives_almost_as_well():
    # NIST/SEMATECH e-Handbook 8.4.1.3: AIC of the lognormal 154.39
    low = data.NIST_FAILED_H + data.NIST_RUNNING_H
    high = data.NIST_FAILED_H + [np.inf] * len(data.NIST_RUNNING_H)
    assert BracketedLife(low, high, distribution="lognormal").fit().aic == pytest.approx(
        154.39, abs=0.005
    )


def test_the_characteristic_life_is_where_63_percent_are_gone(nist):
    # NIST/SEMATECH e-Handbook 8.1.6.2: the scale is the 63.2 percentile
    at = life_at(nist, 1.0 - np.exp(-1.0))
    assert at.exposure == pytest.approx(_weibull(nist)[1], rel=1e-9)
    assert at.low < at.exposure < at.high
    assert chance_worn(nist, [at.exposure])[0] == pytest.approx(0.6321, abs=5e-5)


def test_heat_exchanger_tubes_give_the_weibull_on_intervals():
    # Meeker and Escobar (1998), heat-exchanger tubes; values of two programs
    tubes = data.heat_exchanger_tubes()
    assert (len(tubes), np.isfinite(tubes["high"]).sum()) == (300, 11)
    fit = BracketedLife(tubes["low"], tubes["high"]).fit()
    shape, scale = _weibull(fit)
    assert scale == pytest.approx(23.6199, abs=5e-5)
    assert shape == pytest.approx(1.345515, abs=5e-7)
    assert fit.llf == pytest.approx(-54.41471, abs=5e-6)


@pytest.fixture(scope="module")
def wheels():
    table = data.turbine_wheels()
    assert (len(table), np.isfinite(table["high"]).sum()) == (432, 106)  # as the table sums to
    return table


def test_turbine_wheels_looked_at_once_give_the_weibull(wheels):
    # Nelson (1982), p. 409; values of two programs, hundreds of hours
    shape, scale = _weibull(BracketedLife(wheels["low"], wheels["high"]).fit())
    assert scale == pytest.approx(46.7772, abs=5e-5)
    assert shape == pytest.approx(2.17578, abs=5e-6)


def test_turbine_wheels_looked_at_once_give_the_lognormal(wheels):
    # Nelson (1982), p. 409; values of two programs
    fit = BracketedLife(wheels["low"], wheels["high"], distribution="lognormal").fit()
    location, log_scale = np.asarray(fit.params)
    assert location == pytest.approx(3.69991, abs=5e-6)
    assert np.exp(log_scale) == pytest.approx(0.719886, abs=5e-7)


def test_breast_cosmesis_gives_the_effect_of_treatment_on_bracketed_lives():
    # Finkelstein and Wolfe (1985), 94 women; values of two programs
    women = data.breast_cosmesis()
    assert women.groupby("treated").size().tolist() == [46, 48]
    exog = np.column_stack([np.ones(len(women)), women["treated"]])
    fit = BracketedLife(women["low"], women["high"], exog).fit()
    intercept, treatment, log_scale = np.asarray(fit.params)
    # the two programs stop within 1e-6 of the top, not at the printed seventh digit
    assert intercept == pytest.approx(3.8992763, abs=1e-6)
    assert treatment == pytest.approx(-0.5675505, abs=1e-6)
    assert np.exp(log_scale) == pytest.approx(0.6193397, abs=1e-6)
    assert fit.llf == pytest.approx(-143.32083, abs=5e-6)


def test_diabetes_intervals_and_exact_times_give_the_printed_regression():
    # lifelines documentation, interval-censored Weibull regression on `load_diabetes` (731 rows)
    table = load_diabetes()
    assert len(table) == 731
    exog = np.column_stack([np.ones(len(table)), table["gender"] == "male"])
    fit = BracketedLife(table["left"], table["right"], exog).fit()
    intercept, gender, log_scale = np.asarray(fit.params)
    assert gender == pytest.approx(0.04576, abs=5e-6)
    assert np.exp(intercept) == pytest.approx(18.31971, abs=5e-6)
    assert 1.0 / np.exp(log_scale) == pytest.approx(2.82628, abs=5e-6)
    assert fit.llf == pytest.approx(-2027.196, abs=5e-4)
