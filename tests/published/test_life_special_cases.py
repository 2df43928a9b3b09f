"""The life model's special cases, against the models of statsmodels that they come down to.

Source: statsmodels (`WLS`, `GLS`, `MixedLM`, `GenericLikelihoodModel`), run here on the same
numbers. Tolerances: 1e-6 for likelihoods at the same parameters; hundredths of a standard error
for estimates, which is how far the climb is taken.
"""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm
from statsmodels.base.model import GenericLikelihoodModel

from corrosion.common import Floats
from corrosion.life_model.design import CALIPER, Design, build_design
from corrosion.life_model.life import AnodeLife, LifeResults
from corrosion.life_model.surface import layout_of
from tests.chain import Links, links_of
from tests.known_truth.simulator import write
from tests.known_truth.small import small

READING_SD = 0.03
NEXT_TO_NOTHING = -12.0


@pytest.fixture(scope="module")
def simulated(tmp_path_factory: pytest.TempPathFactory) -> Links:
    fleet = small("standard")
    return links_of(write(fleet, tmp_path_factory.mktemp("fleet")), fleet.dates(6)[-1])


@pytest.fixture(scope="module")
def plain(simulated: Links) -> Design:
    """The hours of a simulated fleet, every look by caliper and equally good, every start known."""
    design = build_design(simulated.lives, simulated.exposure)
    n, k = design.worn.size, design.hull.size
    return replace(
        design,
        kind=np.full(n, CALIPER),
        error=np.ones(n),
        trust=np.ones(n),
        start_worn=np.zeros(k),
        start_error=np.zeros(k),
        start_caliper=np.zeros(k),
    )


def shape(**known: float) -> Floats:
    """Kappa 0, drying 25 h (a knot of the grid), spreads next to nothing unless said."""
    usual = {"kappa": 0.0, "drying": np.log(25.0), "hull": NEXT_TO_NOTHING}
    usual |= {"anode": NEXT_TO_NOTHING, "process": NEXT_TO_NOTHING}
    usual |= {"reading": np.log(READING_SD), "by_eye": 0.0}
    return np.array(list((usual | known).values()))


def parameters(model: AnodeLife, **known: float) -> Floats:
    params = model.prior_mean.copy()
    params[layout_of(model.design).shape] = shape(**known)
    return params


def with_known_rates(design: Design, links: Links, seed: int, **spreads: float) -> AnodeLife:
    """The same hours, with worn shares drawn from the special case itself."""
    rng = np.random.default_rng(seed)
    model = AnodeLife(design, links.exposure)
    psi = model.evaluate(parameters(model)).clock
    hull = rng.normal(0, spreads.get("hull_sd", 0.0), design.hulls)[design.hull][design.life]
    anode = rng.normal(0, spreads.get("anode_sd", 0.0), design.hull.size)[design.life]
    worn = psi * (1 + hull + anode) + rng.normal(0, READING_SD, psi.size)
    return AnodeLife(replace(design, worn=worn), links.exposure)


def fixed(model: AnodeLife, free: slice) -> AnodeLife:
    """Next to no prior on the free parameters; the others held where they are."""
    model.prior_mean = parameters(model)
    model.prior_sd = np.full(model.k_params, 1e-6)
    model.prior_sd[free] = 1e4
    return model


def regressors(model: AnodeLife) -> Floats:
    """Worn share that each weight brings at 1 mm an hour: hours times the position's share."""
    design, at = model.design, layout_of(model.design)
    columns = []
    for group in range(at.weight.start, at.weight.stop):
        params = parameters(model)
        params[at.weight] = -60.0
        params[group] = 0.0
        columns.append(model.evaluate(params).clock)
    assert len(columns) == len(design.terms.groups)
    return np.column_stack(columns)


@pytest.mark.parametrize("equal", [True, False], ids=["equal looks", "weighted looks"])
def test_without_spreads_the_rates_are_weighted_least_squares_through_the_origin(
    simulated: Links, plain: Design, equal: bool
) -> None:
    trust = np.ones(plain.worn.size)
    if not equal:
        trust = np.random.default_rng(2).uniform(0.2, 1.0, trust.size)
    model = with_known_rates(replace(plain, trust=trust), simulated, 11)
    at = layout_of(model.design)
    x = regressors(model)
    wls = sm.WLS(model.design.worn, x, weights=trust / READING_SD**2).fit(cov_type="fixed scale")
    # rates that a straight line finds positive, by more than the log can bend
    sure = wls.params > 4 * wls.bse
    assert sure.sum() >= 3
    held = x[:, ~sure] @ np.exp(model.prior_mean[at.weight][~sure])
    wls = sm.WLS(model.design.worn - held, x[:, sure], weights=trust / READING_SD**2).fit(
        cov_type="fixed scale"
    )
    assert (wls.params > 3 * wls.bse).all()
    free = np.arange(at.weight.start, at.weight.stop)[sure]
    results = fixed(model, free).fit()
    rate = np.exp(results.params[free])
    assert np.abs((rate - wls.params) / wls.bse).max() < 0.03
    assert results.bse[free] * rate == pytest.approx(wls.bse, rel=0.01)
    # at a known scale; the llf of statsmodels takes the scale that fits best
    log_weight = np.log(trust / READING_SD**2) - np.log(2 * np.pi)
    at_scale_one = 0.5 * float((log_weight - wls.wresid**2).sum())
    assert model.loglike_data(results.params) == pytest.approx(at_scale_one, abs=1e-2)


def test_with_a_walk_and_unsure_starts_the_likelihood_is_generalized_least_squares(
    simulated: Links, plain: Design
) -> None:
    starts = np.full(plain.hull.size, 0.02**2)
    model = with_known_rates(replace(plain, start_error=starts), simulated, 12)
    params = parameters(model, process=np.log(0.05))
    psi, life = model.evaluate(params).clock, model.design.life
    same = np.equal.outer(life, life)
    cov = same * (0.02**2 + 0.05**2 * np.minimum.outer(psi, psi))
    cov = cov + READING_SD**2 * np.eye(psi.size)
    gls = sm.GLS(model.design.worn, psi, sigma=cov)
    # statsmodels puts its own scale in; at scale 1 the likelihood is this
    white = gls.wexog[:, 0] - gls.wendog
    log_det = np.linalg.slogdet(cov)[1]
    expected = -0.5 * (white @ white + log_det + psi.size * np.log(2 * np.pi))
    assert model.loglike_data(params) == pytest.approx(expected, rel=1e-6)


def _looks(model: AnodeLife) -> pd.DataFrame:
    life = model.design.life
    psi = model.evaluate(parameters(model)).clock
    return pd.DataFrame(
        {"worn": model.design.worn, "psi": psi, "hull": model.design.hull[life], "anode": life}
    )


def test_the_hull_effect_is_a_random_slope_of_mixedlm(simulated: Links, plain: Design) -> None:
    model = with_known_rates(plain, simulated, 13, hull_sd=0.3)
    looks = _looks(model)
    mixed = sm.MixedLM(looks["worn"], looks[["psi"]], looks["hull"], exog_re=looks[["psi"]])
    results = mixed.fit(reml=False)
    slope, variance = float(results.fe_params.iloc[0]), float(results.cov_re.iloc[0, 0])
    assert variance > 0.01
    params = parameters(
        model, hull=np.log(np.sqrt(variance) / slope), reading=0.5 * np.log(results.scale)
    )
    params[layout_of(model.design).weight] += np.log(slope)
    assert model.loglike_data(params) == pytest.approx(results.llf, rel=1e-6)
    # and it is at its best there: the score of rate, hull spread and reading error vanishes
    score, at = model.evaluate(params).gradient, layout_of(model.design)
    assert score[at.weight].sum() == pytest.approx(0.0, abs=0.05)
    assert score[at.shape.start + 2] == pytest.approx(0.0, abs=0.05)
    assert score[at.shape.start + 5] == pytest.approx(0.0, abs=0.05)


def test_anode_effects_within_hulls_are_variance_components_of_mixedlm(
    simulated: Links, plain: Design
) -> None:
    model = with_known_rates(plain, simulated, 14, hull_sd=0.3, anode_sd=0.25)
    looks = _looks(model)
    mixed = sm.MixedLM.from_formula(
        "worn ~ 0 + psi",
        looks,
        groups="hull",
        re_formula="0 + psi",
        vc_formula={"anode": "0 + C(anode):psi"},
    )
    results = mixed.fit(reml=False)
    slope, variance = float(results.fe_params.iloc[0]), float(results.cov_re.iloc[0, 0])
    within = float(results.vcomp[0])
    assert min(variance, within) > 0.005
    params = parameters(
        model,
        hull=np.log(np.sqrt(variance) / slope),
        anode=np.log(np.sqrt(within) / slope),
        reading=0.5 * np.log(results.scale),
    )
    params[layout_of(model.design).weight] += np.log(slope)
    assert model.loglike_data(params) == pytest.approx(results.llf, rel=1e-6)


# ---- as a statsmodels model ----------------------------------------------------------------


@pytest.fixture(scope="module")
def fitted(simulated: Links) -> LifeResults:
    design = build_design(simulated.lives, simulated.exposure)
    return AnodeLife(design, simulated.exposure).fit()


def test_it_is_a_likelihood_model_of_statsmodels_whose_summary_names_every_parameter(
    fitted: LifeResults,
) -> None:
    assert isinstance(fitted.model, GenericLikelihoodModel)
    text = fitted.summary().as_text()
    assert all(spread.name in text for spread in fitted.model.spreads)
    assert fitted.mle_retvals["converged"]
    assert fitted.nobs == fitted.model.design.worn.size
    assert (fitted.conf_int()[:, 0] < fitted.params).all()


def test_the_score_vanishes_at_the_mode(fitted: LifeResults) -> None:
    # in standard deviations: how far a Newton step would still go
    step = fitted.cov_params() @ fitted.model.score(fitted.params)
    assert np.abs(step / fitted.bse).max() < 0.05


def test_the_information_at_the_mode_is_close_to_minus_the_hessian(fitted: LifeResults) -> None:
    params = fitted.params
    hessian = -fitted.model.hessian(params)
    assert np.linalg.eigvalsh(hessian).min() > 0
    observed = np.sqrt(np.diag(np.linalg.inv(hessian)))
    assert fitted.bse / observed == pytest.approx(np.ones(params.size), abs=0.35)
