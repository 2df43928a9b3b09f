"""The life model: a wear clock with hull and anode effects, carried by statsmodels.

An anode's worn share follows ``(1 + b_hull + a_anode) * psi + noise``, where the clock ``psi``
adds up hours in each operating state, weighted; ``psi = 1`` is the life of the fleet's usual
anode. Every reading on the way is used, not only the day somebody found an anode worn out,
because anodes are changed early just when a reading shows that they are nearly spent.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
import pandas as pd
from scipy import optimize
from statsmodels.base.model import (
    GenericLikelihoodModel,
    GenericLikelihoodModelResults,
    LikelihoodModelResults,
)

from corrosion.common import Floats, central_slopes
from corrosion.exposure import Exposure
from corrosion.life_model.design import Design
from corrosion.life_model.kalman import whiten
from corrosion.life_model.likelihood import Evaluation, clock_slopes, evaluate
from corrosion.life_model.priors import means_and_sds, priors
from corrosion.life_model.surface import COLDEST, WARMEST, Trust, layout_of

FAR = 4.0
"""Prior standard deviations at which a parameter is looked at twice."""
WILD = 20.0
"""Prior standard deviations past which a long step of the climb is cut short: wear a million times
the usual overflows the sums, and a likelihood made of rounding errors has no top."""
SCORE_STEP = 1e-4
LEAST_INFORMATION = 1.0
"""That of the vaguest prior, a factor of e either side."""


class AnodeLife(GenericLikelihoodModel):  # type: ignore[misc]
    """Life of every anode of a fleet, from all looks at it.

    Parameters
    ----------
    design : Design
        Looks and hours, laid out by `build_design`.
    exposure : Exposure
        Gives the names of the moorings.
    trust : Trust, optional
        How far each anode and hull is believed to be one of the fleet; all of them by default.

    Notes
    -----
    `loglike` is the log likelihood plus the log prior (`priors`), so the fit is the posterior
    mode, and its covariance the posterior's. `loglike_data` leaves the prior out.
    """

    def __init__(self, design: Design, exposure: Exposure, trust: Trust | None = None) -> None:
        """Take a fleet's looks; see the class."""
        moorings = [str(exposure.mooring_ids[m]) for m in design.terms.shared_water]
        terms = design.terms
        self.spreads = priors(design.positions, terms.groups, moorings, terms.alloys)
        self.prior_mean, self.prior_sd = means_and_sds(self.spreads)
        self.design, self.moorings = design, len(exposure.mooring_ids)
        self.trust = trust or Trust(np.ones(design.hull.size), np.ones(design.hulls))
        self._last: tuple[bytes, Evaluation] | None = None
        super().__init__(design.worn, design.life.astype(float), hasconst=False)
        self.k_params = layout_of(design).size
        self.k_constant, self.k_extra, self.df_model = 0, 0, self.k_params
        self.df_resid = design.worn.size - self.k_params
        self.data.xnames = [s.name for s in self.spreads]

    def initialize(self) -> None:
        """Leave the rank of the hours alone: no look at all is a fleet too, known by its priors."""

    def evaluate(self, params: Floats) -> Evaluation:
        """Return the likelihood with everything that the forecast starts from."""
        key = np.asarray(params, dtype=float).tobytes()
        known = self._last  # one look: sessions share the model, and another may write here
        if known is None or known[0] != key:
            known = key, evaluate(np.asarray(params), self.design, self.moorings, self.trust)
            self._last = known
        return known[1]

    def loglike_data(self, params: Floats) -> float:
        """Return the log likelihood of the looks alone."""
        return self.evaluate(params).value

    def loglike(self, params: Floats) -> float:
        """Return log likelihood plus log prior."""
        return self.loglike_data(params) + self.log_prior(params)

    def score(self, params: Floats) -> Floats:
        """Return the gradient of `loglike`, shape (p,)."""
        return np.asarray(self.evaluate(params).gradient + self.prior_slope(params))

    def log_prior(self, params: Floats) -> float:
        """Return the log density of the priors, but for a constant."""
        away = (np.asarray(params) - self.prior_mean) / self.prior_sd
        return -0.5 * float(away @ away)

    def prior_slope(self, params: Floats) -> Floats:
        """Return the gradient of `log_prior`, shape (p,)."""
        return np.asarray((self.prior_mean - np.asarray(params)) / self.prior_sd**2)

    def hessian(self, params: Floats) -> Floats:
        """Return the matrix of second derivatives of `loglike`, shape (p, p), from the score."""
        params = np.asarray(params, dtype=float)
        table = central_slopes(self.score, params, SCORE_STEP)
        return np.asarray((table + table.T) / 2)

    def information(self, params: Floats) -> Floats:
        """Return an approximate negative Hessian, shape (p, p), positive definite.

        Rates: the expected information of the whitened looks. Spreads: differences of the score.
        """
        params = np.asarray(params, dtype=float)
        info = np.diag(1 / self.prior_sd**2)
        rates = slice(0, layout_of(self.design).shape.start + 2)
        white = self.whitened_slopes(params)
        info[rates, rates] += white.T @ white
        info[rates, rates] -= self._taken_by_effects(params, white)
        base = self.score(params)
        for k in range(rates.stop, params.size):
            step = np.zeros(params.size)
            step[k] = 1e-3
            column = (base - self.score(params + step)) / 1e-3
            info[k, k] = max(column[k], info[k, k])
        return info

    def whitened_slopes(self, params: Floats) -> Floats:
        """Return the slope of each whitened look by the rates, shape (n, rates)."""
        evaluation = self.evaluate(params)
        slopes = clock_slopes(self.design, evaluation)
        return whiten(self.design.steps, evaluation.track, slopes)

    def _taken_by_effects(self, params: Floats, white: Floats) -> Floats:
        """Return the information on rates that the hull and anode effects soak up."""
        evaluation, steps, k = self.evaluate(params), self.design.steps, self.design.hull.size
        unit = evaluation.track.clock / np.sqrt(evaluation.track.spread)
        along = np.zeros((k, white.shape[1]))
        np.add.at(along, steps.life, white * unit[:, None])
        anode = (along * (evaluation.anode_variance * evaluation.shrink)[:, None]).T @ along
        by_hull = np.zeros((self.design.hulls, white.shape[1]))
        np.add.at(by_hull, self.design.hull, along * evaluation.shrink[:, None])
        left_over = evaluation.hull_variance / (
            1 + evaluation.hull_variance * evaluation.hull_clock
        )
        return np.asarray(anode + (by_hull * left_over[:, None]).T @ by_hull)

    def fit(self, start_params: Floats | None = None, maxiter: int = 200, **_: Any) -> LifeResults:
        """Find the posterior mode.

        Parameters
        ----------
        start_params : ndarray, shape (p,), optional
        maxiter : int

        Returns
        -------
        LifeResults
            `converged` tells whether the gradient vanished; a poor fit is not an error.
        """
        start = self.prior_mean.copy() if start_params is None else np.asarray(start_params)
        return self.results_at(climb(self, start, maxiter=maxiter))

    def results_at(self, top: Top, covariance: Floats | None = None) -> LifeResults:
        """Return the results at the mode that a climb found; without a covariance, with its own."""
        own = np.linalg.inv(self.information(top.params)) if covariance is None else covariance
        mle = LikelihoodModelResults(self, top.params, normalized_cov_params=own, scale=1.0)
        mle.mle_retvals = {"converged": top.converged, "iterations": top.iterations}
        mle.mle_settings = {"optimizer": "bfgs"}
        return LifeResults(self, mle)


@dataclass(frozen=True)
class Top:
    """Where a climb ended, and the coordinates in which the likelihood is round there."""

    params: Floats
    scale: Floats
    converged: bool
    iterations: int

    @classmethod
    def at(cls, params: Floats, converged: bool, iterations: int) -> Top:
        """Return a top that was reached elsewhere, or never, from which nobody climbs on."""
        return cls(params, np.eye(params.size), converged, iterations)


Sums: TypeAlias = Callable[[Floats], tuple[float, Floats]]
"""Takes parameters, returns `loglike` and `score` at them."""


@contextmanager
def added_up_here(model: AnodeLife) -> Iterator[Sums]:
    """Add the looks of a model up in this process."""
    yield lambda params: (model.loglike(params), model.score(params))


ADDED_UP_BY: ContextVar[Callable[[AnodeLife], AbstractContextManager[Sums]]] = ContextVar(
    "ADDED_UP_BY", default=added_up_here
)
"""Who adds the looks up while a climb is on: this process, or others hull by hull
(`corrosion.spread`). Hulls are independent given the parameters, so their sums add up."""


def climb(model: AnodeLife, start: Floats, scale: Floats | None = None, maxiter: int = 200) -> Top:
    """Climb to the mode in coordinates in which it is round.

    Parameters
    ----------
    model : AnodeLife
    start : ndarray, shape (p,)
    scale : ndarray, shape (p, p), coordinates that an earlier climb left, optional
    maxiter : int

    Returns
    -------
    Top
    """
    if scale is None:
        scale = round_coordinates(model.information(start))
    turn, kappa = scale, layout_of(model.design).shape.start
    bounds = model.prior_mean + np.outer((-WILD, WILD), model.prior_sd)

    def placed(z: Floats) -> Floats:
        params = np.clip(start + turn @ z, *bounds)
        params[kappa] = np.clip(params[kappa], COLDEST, WARMEST)
        return np.asarray(params)

    with ADDED_UP_BY.get()(model) as sums:

        def down(z: Floats) -> tuple[float, Floats]:
            value, slope = sums(placed(z))
            return -value, -(turn.T @ slope)

        optimum = optimize.minimize(
            down, np.zeros(start.size), jac=True, method="BFGS",
            options={"maxiter": maxiter, "gtol": 1e-2},
        )  # fmt: skip
    return Top(placed(optimum.x), turn, bool(optimum.success), int(optimum.nit))


def round_coordinates(information: Floats) -> Floats:
    """Return coordinates, shape (p, p), in which a likelihood of this information is round.

    Far from the top, under a wild look, the information may be hollow by a hair: directions that
    it says less than nothing about are taken as far as the vaguest prior reaches.
    """
    try:
        return np.asarray(np.linalg.cholesky(np.linalg.inv(information)))
    except np.linalg.LinAlgError:
        values, vectors = np.linalg.eigh((information + information.T) / 2)
        return np.asarray(vectors / np.sqrt(np.maximum(values, LEAST_INFORMATION)))


class LifeResults(GenericLikelihoodModelResults):  # type: ignore[misc]
    """A fitted `AnodeLife`: params, covariance and `summary()` as in statsmodels."""

    @property
    def evaluation(self) -> Evaluation:
        """Return the likelihood at the mode, with what the forecast starts from."""
        evaluation: Evaluation = self.model.evaluate(self.params)
        return evaluation

    @property
    def table(self) -> pd.DataFrame:
        """Return one row a parameter: name, estimate, standard error, prior mean, prior sd."""
        return pd.DataFrame(
            {
                "name": [s.name for s in self.model.spreads],
                "estimate": self.params,
                "standard_error": self.bse,
                "prior_mean": self.model.prior_mean,
                "prior_sd": self.model.prior_sd,
            }
        )
