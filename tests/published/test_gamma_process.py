"""The gamma process of wear against the GaAs lasers.

Meeker and Escobar (1998), table C.17: percent rise of the operating current of 15 lasers, limit
10 percent; values of two programs, time in thousands of hours. Tolerance is half of the last
printed digit unless the line says otherwise.
"""

import numpy as np
import pytest

from corrosion.comparison.gamma_wear import chance_worn_out, fit_gamma_wear
from tests.published import printed_data as data


@pytest.fixture(scope="module")
def lasers():
    table = data.gaas_lasers()
    assert table.groupby("unit").size().tolist() == [16] * 15
    # three lasers are past the limit of 10 percent by 4000 h
    assert (table.groupby("unit")["growth"].sum() > 10.0).sum() == 3
    return table


@pytest.fixture(scope="module")
def alike(lasers):
    return fit_gamma_wear(lasers["growth"], lasers["hours_1000"])


def test_a_gamma_process_gives_the_printed_shape_rate_and_log_likelihood(alike):
    assert alike.converged
    assert alike.shape_per_hour[0] == pytest.approx(28.7836, abs=5e-5)
    assert alike.rate == pytest.approx(14.1241, abs=5e-5)
    assert alike.log_likelihood == pytest.approx(69.635179, abs=5e-7)


def test_a_gamma_process_gives_the_printed_chance_of_being_worn_by_5000_hours(alike):
    chance = chance_worn_out(alike, [5.0], to_go=10.0)
    # one unit of the last digit: at the root of the likelihood equation it is 0.57797313
    assert chance[0] == pytest.approx(0.5779732, abs=1e-7)


def test_a_gamma_effect_per_unit_gives_the_printed_log_likelihood(lasers):
    # the form of Lawless and Crowder, Lifetime Data Analysis 10 (2004)
    fit = fit_gamma_wear(lasers["growth"], lasers["hours_1000"], lasers["unit"])
    assert fit.converged
    assert fit.log_likelihood == pytest.approx(93.73001, abs=5e-6)


def test_lasers_differ_by_more_than_chance(lasers, alike):
    # likelihood ratio at the edge of the parameter space: half a chi-square of one degree
    # (Self and Liang 1987), 2 (93.73001 - 69.635179) = 48.19
    fit = fit_gamma_wear(lasers["growth"], lasers["hours_1000"], lasers["unit"])
    ratio = 2.0 * (fit.log_likelihood - alike.log_likelihood)
    assert ratio == pytest.approx(48.19, abs=0.005)
    assert np.isfinite(fit.delta)
