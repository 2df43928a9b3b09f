"""Facts about how far looks are believed, and what a look without a size says."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from corrosion.exposure.wear import Lives
from corrosion.life_model.design import VERDICT, VERDICT_ERROR
from corrosion.life_model.fitting import Fit, fit_life
from corrosion.life_model.life import round_coordinates
from corrosion.life_model.robust_weights import LEAST_TRUST, _site
from corrosion.life_model.surface import layout_of
from tests.chain import Links
from tests.known_truth.simulator import TrueFleet

pytestmark = pytest.mark.slow

MM_AN_INCH = 25.4


@pytest.mark.parametrize("spent", [True, False])
@pytest.mark.parametrize(("mean", "sd"), [(0.5, 0.3), (1.0, 0.1), (1.4, 0.3), (0.2, 0.05)])
def test_a_verdict_is_worth_the_normal_with_the_moments_of_brute_force_quadrature(
    mean: float, sd: float, spent: bool
) -> None:
    x = np.linspace(-2, 4, 200_001)
    log_weight = norm.logcdf((1.0 if spent else -1.0) * (x - 1) / VERDICT_ERROR)
    log_weight += norm.logpdf(x, mean, sd)
    weight = np.exp(log_weight - log_weight.max())

    def moment(power: int, about: float = 0.0) -> float:
        return float(np.trapezoid((x - about) ** power * weight, x))

    centre = moment(1) / moment(0)
    spread = moment(2, centre) / moment(0)
    site, variance = _site(np.array([mean]), np.array([sd**2]), np.array([spent]))
    both = 1 / (1 / sd**2 + 1 / variance[0])
    assert both == pytest.approx(spread, rel=1e-3)
    assert both * (mean / sd**2 + site[0] / variance[0]) == pytest.approx(centre, abs=1e-3)


def test_a_verdict_that_everybody_expects_says_next_to_nothing() -> None:
    _, variance = _site(np.array([0.1]), np.array([0.05**2]), np.array([False]))
    assert variance[0] > 1.0


@pytest.fixture(scope="module")
def fit(simulated: Links) -> Fit:
    return fit_life(simulated.lives, simulated.exposure)


def _weights(fit: Fit) -> np.ndarray:
    return fit.results.params[layout_of(fit.model.design).weight]


@pytest.mark.parametrize("factor", [1 / MM_AN_INCH, MM_AN_INCH], ids=["inch as mm", "mm as inch"])
def test_one_wild_reading_moves_the_rates_by_little(
    simulated: Links, fit: Fit, factor: float
) -> None:
    looks = simulated.lives.looks.copy()
    row = looks.index[looks["kind"] == "size"][20]
    life = simulated.lives.lives.loc[looks.at[row, "life"]]
    wild = looks.at[row, "size_mm"] * factor
    looks.loc[row, "size_mm"] = wild
    looks.loc[row, "worn"] = (life["new_size_mm"] - wild) / life["allowance_mm"]
    spoilt = fit_life(Lives(simulated.lives.lives, looks), simulated.exposure)
    moved = np.abs(_weights(spoilt) - _weights(fit))
    # a fleet of six hulls: it may move what is not known, and the worst off by less than that
    errors = fit.results.bse[layout_of(fit.model.design).weight]
    assert (moved / errors).max() < 0.75
    trust = spoilt.model.design.trust[spoilt.model.design.steps.order == row]
    assert trust[0] < 0.05


def test_trust_stays_between_its_bounds_and_is_whole_for_most(fit: Fit) -> None:
    for trust in (fit.model.design.trust, fit.model.trust.anode, fit.model.trust.hull):
        assert trust.min() >= LEAST_TRUST
        assert trust.max() <= 1.0
        assert np.mean(trust == 1.0) > 0.85


def test_a_verdict_worn_raises_and_a_verdict_ok_lowers_what_is_believed_of_the_anode(
    simulated: Links, fit: Fit
) -> None:
    looks = simulated.lives.looks
    row = looks.index[looks["kind"] == "verdict"][0]
    number = np.flatnonzero(fit.model.design.steps.order == row)[0]
    values = {}
    for spent in (False, True):
        verdicts = looks.assign(spent=looks["spent"].where(looks.index != row, spent))
        other = fit_life(replace(simulated.lives, looks=verdicts), simulated.exposure)
        assert other.model.design.kind[number] == VERDICT
        values[spent] = other.model.design.worn[number]
    assert values[True] > values[False]


def test_the_simulated_fleet_has_looks_of_all_three_kinds(
    simulated: Links, simulated_fleet: TrueFleet
) -> None:
    assert set(simulated.lives.looks["kind"]) == {"size", "range", "verdict"}
    assert simulated_fleet.kind == "by_eye"


def test_coordinates_stay_finite_where_the_information_is_hollow_by_a_hair() -> None:
    rng = np.random.default_rng(2)
    turn, _ = np.linalg.qr(rng.normal(size=(5, 5)))
    hollow = turn @ np.diag([1e6, 40.0, 3.0, 1.2, -1e-4]) @ turn.T
    scale = round_coordinates(hollow)
    assert np.linalg.eigvalsh(scale @ scale.T) == pytest.approx([1e-6, 1 / 40, 1 / 3, 1 / 1.2, 1])
    sound = turn @ np.diag([9.0, 4.0, 3.0, 2.0, 1.0]) @ turn.T
    assert round_coordinates(sound) == pytest.approx(np.linalg.cholesky(np.linalg.inv(sound)))
