"""Whether the looks ask for a term that the life model leaves out: score tests, no second fit.

A term is let in only where it is plainly asked for, so that a fleet that does not need it is fitted
as if it did not exist.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from scipy import optimize

from corrosion.common import Codes, Floats
from corrosion.life_model.design import VERDICT, Design
from corrosion.life_model.wear_acceleration import bend, log_slopes

NEXT_TO_NONE = -12.0
GROWTH_SD = 1.0
"""Spread of how much faster a spent anode wears than a new one (common practice, no source)."""
GROWTH_GAIN, LEAST_GROWTH = 12.0, 0.25
"""Log likelihood that a growth must bring, and how large it must be, before it is let in: an anode
that wears evenly is not bent by the noise of its looks."""
GROWTH_BETWEEN = (-0.45, 3.0)
GROWTH_STEP = 0.05


class Model(Protocol):
    """What a score test needs of a life model."""

    design: Design
    prior_sd: Floats

    def loglike(self, params: Floats) -> float:
        """Return log likelihood plus log prior."""

    def score(self, params: Floats) -> Floats:
        """Return its gradient."""

    def information(self, params: Floats) -> Floats:
        """Return an approximate negative Hessian."""

    def evaluate(self, params: Floats) -> Any:
        """Return the likelihood with everything that the forecast starts from."""


def gain_of_weights(params: Floats, model: Model, new: Codes) -> float:
    """Return the log likelihood that weights would bring that are next to nothing now.

    Parameters
    ----------
    params : ndarray, shape (p,), of the model with the new weights, all others as fitted
    model : Model, with the new weights
    new : ndarray of int, their places

    Returns
    -------
    float, the most that one of them brings; only more wear counts
    """
    params = params.copy()
    params[new] = NEXT_TO_NONE
    old = np.setdiff1d(np.arange(params.size), new)
    slope = model.evaluate(params).gradient[new] / np.exp(NEXT_TO_NONE)
    info = model.information(params)
    info[new, new] -= 1 / model.prior_sd[new] ** 2
    info[new, :] /= np.exp(NEXT_TO_NONE)
    info[:, new] /= np.exp(NEXT_TO_NONE)
    schur = info[np.ix_(new, new)] - info[np.ix_(new, old)] @ np.linalg.solve(
        info[np.ix_(old, old)], info[np.ix_(old, new)]
    )
    gain = 0.5 * np.maximum(slope, 0.0) ** 2 / np.maximum(np.diag(schur), 1e-12)
    return float(gain.max())


@dataclass(frozen=True)
class Climbed:
    """Where a climb of a model ended: its parameters and its log likelihood, prior in it."""

    params: Floats
    top: float


@dataclass(frozen=True)
class Trial:
    """A model as fitted, and the ways to try it with its looks read otherwise.

    Attributes
    ----------
    fitted : Climbed, of the model without the term that is tried
    model : Model, as fitted
    rebuilt : gives the model with another design
    climbed : climbs a model from some parameters
    """

    fitted: Climbed
    model: Model
    rebuilt: Callable[[Design], Model]
    climbed: Callable[[Any, Floats], Climbed]


def growth_asked(trial: Trial, laid_out: Design) -> float:
    """Return how much faster a spent anode wears, 0 where the looks do not plainly say so.

    A score test first, which costs three looks at the likelihood; only where it asks, the growth is
    profiled between GROWTH_BETWEEN.

    Parameters
    ----------
    trial : Trial, of the model without growth
    laid_out : Design, the same looks as they were read

    Returns
    -------
    float
    """
    fitted, seen = trial.fitted, as_believed(laid_out, trial.model.design)
    if not _worth_a_climb(fitted.params, trial.model, seen, trial.rebuilt):
        return 0.0

    def short_of(growth: float) -> float:
        fitted_anew = trial.climbed(trial.rebuilt(bend(seen, growth)), fitted.params)
        return fitted.top - _judged(fitted_anew.top, seen, growth)

    best = optimize.minimize_scalar(
        short_of, bounds=GROWTH_BETWEEN, method="bounded", options={"xatol": 0.05, "maxiter": 9}
    )
    growth = float(best.x)
    return growth if -best.fun > GROWTH_GAIN and abs(growth) > LEAST_GROWTH else 0.0


def _judged(top: float, seen: Design, growth: float) -> float:
    """Return the log likelihood of the looks as they were read, the prior of the growth in it."""
    return top + log_slopes(seen, growth) - 0.5 * (growth / GROWTH_SD) ** 2


def _worth_a_climb(
    params: Floats, model: Model, seen: Design, rebuilt: Callable[[Design], Model]
) -> bool:
    """Tell whether a little growth promises enough, the other parameters profiled out."""
    tops, slopes = [], []
    for growth in (-GROWTH_STEP, 0.0, GROWTH_STEP):
        other = rebuilt(bend(seen, growth))
        tops.append(_judged(other.loglike(params), seen, growth))
        slopes.append(other.score(params))
    rise = (tops[2] - tops[0]) / (2 * GROWTH_STEP)
    bow = -(tops[2] - 2 * tops[1] + tops[0]) / GROWTH_STEP**2
    cross = -(slopes[2] - slopes[0]) / (2 * GROWTH_STEP)
    schur = bow - cross @ np.linalg.solve(model.information(params), cross)
    # where the likelihood is hollow there, the test tells nothing
    return bool(schur <= 0 or 0.5 * rise**2 / schur > GROWTH_GAIN)


def as_believed(laid_out: Design, fitted: Design) -> Design:
    """Return the looks as read, believed as the fit believes them, verdicts as they spoke."""
    verdict = fitted.kind == VERDICT
    worn = np.where(verdict, fitted.worn, laid_out.worn)
    error = np.where(verdict, fitted.error, laid_out.error)
    return laid_out.with_looks(worn, error, fitted.trust, fitted.jump)
