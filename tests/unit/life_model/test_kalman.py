"""The filter, the likelihood and the smoother against dense matrices."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import approx_fprime
from scipy.stats import multivariate_normal

from corrosion.common import Floats
from corrosion.life_model.design import Design, build_design
from corrosion.life_model.kalman import Steps, Track, follow, lay_out, smooth, whiten
from corrosion.life_model.life import AnodeLife
from corrosion.life_model.likelihood import evaluate
from corrosion.life_model.robust_weights import pace_effects
from corrosion.life_model.surface import Trust
from tests.chain import Links

COUNTS = [4, 0, 1, 6, 3]


@pytest.fixture(scope="module")
def drawn() -> dict[str, Floats]:
    """Looks at five anodes, one of them never looked at, sorted by anode."""
    rng = np.random.default_rng(7)
    clock = [np.cumsum(rng.uniform(0.01, 0.3, n)) for n in COUNTS]
    return {
        "life": np.repeat(np.arange(len(COUNTS)), COUNTS),
        "clock": np.concatenate(clock),
        "drift": np.concatenate([0.02 * np.diff(c, prepend=0.0) for c in clock]),
        "residual": rng.normal(0, 0.2, sum(COUNTS)),
        "error": rng.uniform(0.001, 0.02, sum(COUNTS)),
        "start": rng.uniform(0.0, 0.01, len(COUNTS)),
    }


def followed(drawn: dict[str, Floats]) -> tuple[Steps, Track]:
    steps = lay_out(drawn["life"], len(COUNTS))
    parts = [drawn[name][steps.order] for name in ("residual", "clock", "drift", "error")]
    return steps, follow(steps, *parts, drawn["start"][steps.lives])


def dense(drawn: dict[str, Floats], life: int) -> Floats:
    """Covariance of one anode's looks: start, random walk in the wear clock, reading error."""
    mine = drawn["life"] == life
    walk = np.cumsum(drawn["drift"][mine])
    return drawn["start"][life] + np.minimum.outer(walk, walk) + np.diag(drawn["error"][mine])


def test_sums_of_the_filter_equal_the_dense_normal(drawn: dict[str, Floats]) -> None:
    steps, track = followed(drawn)
    for number, life in enumerate(steps.lives):
        mine = drawn["life"] == life
        if not mine.any():
            assert track.log_spread[number] == track.residual_residual[number] == 0.0
            continue
        cov, r, f = dense(drawn, life), drawn["residual"][mine], drawn["clock"][mine]
        log_pdf = multivariate_normal.logpdf(r, np.zeros(r.size), cov)
        deviance = track.log_spread[number] + track.residual_residual[number]
        assert -0.5 * (deviance + r.size * np.log(2 * np.pi)) == pytest.approx(log_pdf, rel=1e-10)
        assert track.clock_clock[number] == pytest.approx(f @ np.linalg.solve(cov, f))
        assert track.clock_residual[number] == pytest.approx(f @ np.linalg.solve(cov, r))


def test_the_filtered_state_is_the_conditional_mean_and_variance_at_the_last_look(
    drawn: dict[str, Floats],
) -> None:
    steps, track = followed(drawn)
    for number, life in enumerate(steps.lives):
        mine = drawn["life"] == life
        if not mine.any():
            assert track.variance[number] == drawn["start"][life]
            continue
        error = np.diag(drawn["error"][mine])
        state = dense(drawn, life) - error
        gain = np.linalg.solve(state + error, state[-1])
        assert track.state[number] == pytest.approx(gain @ drawn["residual"][mine])
        assert track.state_clock[number] == pytest.approx(gain @ drawn["clock"][mine])
        assert track.variance[number] == pytest.approx(state[-1, -1] - gain @ state[-1])


def test_the_smoother_solves_the_dense_system(drawn: dict[str, Floats]) -> None:
    steps, track = followed(drawn)
    smoothed = smooth(steps, track)
    life = drawn["life"][steps.order]
    for each in np.unique(drawn["life"]):
        mine, cov = drawn["life"] == each, dense(drawn, each)
        inverse, own = np.linalg.inv(cov), life == each
        assert smoothed.residual[own] == pytest.approx(inverse @ drawn["residual"][mine])
        assert smoothed.clock[own] == pytest.approx(inverse @ drawn["clock"][mine])
        assert smoothed.precision[own] == pytest.approx(np.diag(inverse))


def test_whitened_columns_have_the_information_of_the_dense_covariance(
    drawn: dict[str, Floats],
) -> None:
    steps, track = followed(drawn)
    columns = np.column_stack([drawn["clock"], drawn["clock"] ** 2])
    white = whiten(steps, track, columns[steps.order])
    total = np.zeros((2, 2))
    for life in np.unique(drawn["life"]):
        mine = columns[drawn["life"] == life]
        total += mine.T @ np.linalg.solve(dense(drawn, life), mine)
    assert white.T @ white == pytest.approx(total)


# ---- the whole likelihood, on logs of a simulated fleet with looks of every kind -----------


@pytest.fixture(scope="module")
def model(simulated: Links) -> AnodeLife:
    design = build_design(simulated.lives, simulated.exposure, flooded=True)
    rng = np.random.default_rng(3)
    trust = Trust(rng.uniform(0.2, 1, design.hull.size), rng.uniform(0.2, 1, design.hulls))
    return AnodeLife(design, simulated.exposure, trust)


def _near(model: AnodeLife, seed: int) -> Floats:
    rng = np.random.default_rng(seed)
    return model.prior_mean + rng.normal(0, 0.3, model.k_params) * model.prior_sd


def _covariance(design: Design, params: Floats, model: AnodeLife) -> tuple[Floats, Floats]:
    """Residuals of all looks and their covariance, written out in full."""
    evaluated = evaluate(params, design, model.moorings, model.trust)
    rates, psi, life = evaluated.rates, evaluated.clock, design.life
    hull = design.hull[life]
    own = evaluated.anode_variance[life] * np.equal.outer(life, life)
    shared = evaluated.hull_variance[hull] * np.equal.outer(hull, hull)
    start = design.start_error + (rates.reading_mm * design.start_caliper) ** 2
    walk = rates.process_sd**2 * np.minimum.outer(psi, psi) + start[life]
    cov = np.outer(psi, psi) * (own + shared) + walk * np.equal.outer(life, life)
    residual = design.worn - design.start_worn[life] - psi
    return residual, cov + np.diag(evaluated.error)


@pytest.mark.parametrize("seed", [1, 2])
def test_the_likelihood_equals_the_dense_normal_with_both_effects_in_it(
    model: AnodeLife, seed: int
) -> None:
    params = _near(model, seed)
    residual, cov = _covariance(model.design, params, model)
    log_pdf = multivariate_normal.logpdf(residual, np.zeros(residual.size), cov)
    assert model.loglike_data(params) == pytest.approx(log_pdf, rel=1e-8)


def test_effects_equal_the_dense_conditional(model: AnodeLife) -> None:
    params, design = _near(model, 5), model.design
    residual, cov = _covariance(design, params, model)
    evaluated = model.evaluate(params)
    psi, life = evaluated.clock, design.life
    hull_of = design.hull[life]
    got = pace_effects(design, evaluated)
    hull = evaluated.hull_variance[:, None] * np.equal.outer(np.arange(design.hulls), hull_of) * psi
    assert got.hull == pytest.approx(hull @ np.linalg.solve(cov, residual))
    left = evaluated.hull_variance - np.einsum("ij,ji->i", hull, np.linalg.solve(cov, hull.T))
    assert got.hull_variance == pytest.approx(left)
    own = hull[design.hull] + (
        evaluated.anode_variance[:, None] * np.equal.outer(np.arange(design.hull.size), life) * psi
    )
    assert got.own == pytest.approx(own @ np.linalg.solve(cov, residual))
    prior = evaluated.hull_variance[design.hull] + evaluated.anode_variance
    left = prior - np.einsum("ij,ji->i", own, np.linalg.solve(cov, own.T))
    assert got.own_variance == pytest.approx(left)


@pytest.mark.parametrize("seed", [1, 2])
def test_the_gradient_equals_numerical_differences(model: AnodeLife, seed: int) -> None:
    params = _near(model, seed)
    # central differences; the drying grid is interpolated by pieces, smooth away from its knots
    step = 1e-5
    numeric = [
        (model.loglike(params + s) - model.loglike(params - s)) / (2 * step)
        for s in step * np.eye(params.size)
    ]
    assert model.score(params) == pytest.approx(np.array(numeric), rel=1e-4, abs=1e-3)
    forward = approx_fprime(params, model.loglike, 1e-7)
    assert model.score(params) == pytest.approx(forward, rel=1e-2, abs=0.1)


def test_the_gradient_holds_where_use_between_looks_is_a_guess(
    model: AnodeLife, simulated: Links
) -> None:
    unsure = np.where(np.arange(model.design.worn.size) % 3 == 0, 0.09, 0.0)
    guessed = AnodeLife(replace(model.design, unsure=unsure), simulated.exposure, model.trust)
    params = _near(model, 3)
    step = 1e-5
    numeric = [
        (guessed.loglike(params + s) - guessed.loglike(params - s)) / (2 * step)
        for s in step * np.eye(params.size)
    ]
    assert guessed.score(params) == pytest.approx(np.array(numeric), rel=1e-4, abs=1e-3)
    assert guessed.loglike(params) != model.loglike(params)
