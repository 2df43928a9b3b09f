"""Life regression on brackets: Weibull or lognormal lives known only to lie in (low, high].

The limit was crossed somewhere between the last look before it and the first look at it, so each
life is a bracket: an exact life (low equals high), a running one (high infinite), one already worn
at its first look (low zero), or any interval between. A life watched only from some exposure on
(late entry) counts from there. One class over `GenericLikelihoodModel`, with analytic score.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy import stats
from scipy.special import log_ndtr
from statsmodels.base.model import GenericLikelihoodModel
from statsmodels.tools.numdiff import approx_fprime
from statsmodels.tools.sm_exceptions import HessianInversionWarning

FloatArray = npt.NDArray[np.float64]
Curve = Callable[[FloatArray], FloatArray]

_FAR = 300.0  # beyond this many scales on the log axis every chance is 0 or 1 in double precision
_TINY = 1e-300


@dataclass(frozen=True)
class Shape:
    """A standard distribution of log life: z = (log life - location) / scale.

    Attributes
    ----------
    log_density, log_survival, slope : callable
        Log density, log chance of exceeding z, and the slope of the log density, arrays to arrays.
    log_between : callable
        Log chance of lying in (z_low, z_high].
    quantile : callable
        z exceeded with chance 1 - share.
    """

    log_density: Curve
    log_survival: Curve
    slope: Curve
    log_between: Callable[[FloatArray, FloatArray], FloatArray]
    quantile: Curve


def _log_between_weibull(z_low: FloatArray, z_high: FloatArray) -> FloatArray:
    hazard = np.maximum(np.exp(z_high) - np.exp(z_low), _TINY)
    return np.asarray(-np.exp(z_low) + np.log(-np.expm1(-hazard)))


def _log_between_normal(z_low: FloatArray, z_high: FloatArray) -> FloatArray:
    # the difference is taken in the tail where both are small, so that no digits are lost
    upper = z_low > 0.0
    big = np.where(upper, log_ndtr(-z_low), log_ndtr(z_high))
    small = np.where(upper, log_ndtr(-z_high), log_ndtr(z_low))
    return np.asarray(big + np.log(np.maximum(-np.expm1(small - big), _TINY)))


SHAPES = {
    "weibull": Shape(
        lambda z: np.asarray(z - np.exp(z)),
        lambda z: np.asarray(-np.exp(z)),
        lambda z: np.asarray(1.0 - np.exp(z)),
        _log_between_weibull,
        lambda share: np.asarray(np.log(-np.log1p(-share))),
    ),
    "lognormal": Shape(
        lambda z: np.asarray(-0.5 * z * z - 0.5 * np.log(2.0 * np.pi)),
        lambda z: np.asarray(log_ndtr(-z)),
        lambda z: np.asarray(-z),
        _log_between_normal,
        lambda share: np.asarray(stats.norm.ppf(share)),
    ),
}


def _scale(params: FloatArray) -> float:
    # a wild step of the search must not overflow
    return float(np.exp(np.clip(params[-1], -30.0, 30.0)))


class SmoothLikelihood(GenericLikelihoodModel):  # type: ignore[misc]  # statsmodels has no types
    """`GenericLikelihoodModel` with an analytic score: BFGS from own start values, then Newton."""

    start_params: FloatArray

    def _count_parameters(self, constants: int) -> None:
        """Count columns as they are: statsmodels guesses from their values, and may warn."""
        columns = self.exog.shape[1]
        self.k_constant = constants
        self.df_model = float(columns - constants)
        self.df_resid = float(len(self.endog) - columns - self.k_extra)

    def score_obs(self, params: npt.ArrayLike, **_: Any) -> FloatArray:
        """Score of each row at `params`, shape (n, p); given by the subclass."""
        raise NotImplementedError(type(self).__name__)

    def score(self, params: npt.ArrayLike) -> FloatArray:
        """Score at `params`, shape (p,)."""
        return np.asarray(self.score_obs(params).sum(axis=0))

    def hessian(self, params: npt.ArrayLike) -> FloatArray:
        """Hessian at `params`, shape (p, p), by central differences of the analytic score."""
        raw = approx_fprime(np.asarray(params, dtype=np.float64), self.score, centered=True)
        square = np.atleast_2d(raw)
        return np.asarray((square + square.T) / 2.0)

    def fit(
        self,
        start_params: npt.ArrayLike | None = None,
        method: str = "newton",
        maxiter: int = 100,
        disp: int = 0,
        **kwargs: Any,
    ) -> Any:
        """Fit by maximum likelihood; results as of any statsmodels likelihood model.

        A fit that did not settle says so in `mle_retvals["converged"]` and does not raise.

        Parameters
        ----------
        start_params : array_like, optional
            Own start values when left out.
        method : str
            Last step's method, after a rough search by BFGS.
        maxiter : int
            Steps of that method at most.
        disp : int
            1 to print the optimiser's messages.
        **kwargs
            Passed on, for example `cov_type="cluster"` with `cov_kwds`.
        """
        start = self.start_params if start_params is None else start_params
        quiet = {"disp": 0, "warn_convergence": False}
        kwargs = {"warn_convergence": False, **kwargs}
        with warnings.catch_warnings():
            # a flat likelihood is a result here: its covariance is then not a number
            warnings.simplefilter("ignore", HessianInversionWarning)
            rough = super().fit(start, "bfgs", 500, skip_hessian=True, **quiet)
            try:
                return super().fit(rough.params, method, maxiter, disp=disp, **kwargs)
            except np.linalg.LinAlgError:
                return _unsettled(rough)


def _unsettled(rough: Any) -> Any:
    """Mark the results of a search that ran off along a flat likelihood."""
    count = len(rough.params)
    rough.normalized_cov_params = np.full((count, count), np.nan)
    rough.mle_retvals["converged"] = False
    return rough


class BracketedLife(SmoothLikelihood):
    """Log life = exog @ coefficients + scale * noise, with life known to lie in (low, high].

    Parameters
    ----------
    low, high : array_like, shape (n,)
        Bracket, in any unit of exposure. Equal: the life is exact. `high` infinite: still running,
        or pulled early. `low` zero: worn by the first look.
    exog : array_like or DataFrame, shape (n, k), optional
        Columns that speed up or slow down the clock, with the constant among them; the constant
        alone when left out.
    entry : array_like, shape (n,), optional
        Exposure from which the life was watched, zero when left out. A life that ended before its
        watch began would not be in the data.
    distribution : {'weibull', 'lognormal'}
        Distribution of the lives.

    Notes
    -----
    Parameters are the coefficients and the log of the scale. A Weibull life has shape 1 / scale
    and scale exp(exog @ coefficients). The log-likelihood of an exact life is that of the life,
    not of its logarithm (as survreg and lifelines count it).
    """

    def __init__(
        self,
        low: npt.ArrayLike,
        high: npt.ArrayLike,
        exog: Any = None,
        entry: npt.ArrayLike | None = None,
        distribution: str = "weibull",
        **kwargs: Any,
    ) -> None:
        """Take the brackets; see the class."""
        self.low = np.asarray(low, dtype=np.float64)
        self.high = np.asarray(high, dtype=np.float64)
        self.entry = np.zeros_like(self.low) if entry is None else np.asarray(entry, np.float64)
        self.shape = SHAPES[distribution]
        self.exact = self.low == self.high
        columns = np.ones((len(self.low), 1)) if exog is None else exog
        # the bracket itself is what is explained; statsmodels wants one finite column to name
        middle = np.where(np.isfinite(self.high), (self.low + self.high) / 2.0, self.low)
        super().__init__(middle, columns, extra_params_names=["log_scale"], **kwargs)
        self._count_parameters(constants=1)

    @property
    def start_params(self) -> FloatArray:  # type: ignore[override]
        """Least squares on the logs of the middles of the brackets, scale 0.6."""
        # a running life is taken to have half as much again to go
        guess = np.where(np.isfinite(self.high), self.endog, 1.5 * self.low)
        log_life = np.log(np.maximum(guess, max(float(np.max(guess)), 1e-9) * 1e-3))
        coefficients = np.linalg.lstsq(self.exog, log_life, rcond=None)[0]
        return np.append(coefficients, np.log(0.6))

    def _standard(self, life: FloatArray, params: FloatArray) -> FloatArray:
        logs = np.log(np.maximum(life, _TINY))
        z = (logs - self.exog @ params[:-1]) / _scale(params)
        return np.asarray(np.clip(z, -_FAR, _FAR))

    def loglikeobs(self, params: npt.ArrayLike) -> FloatArray:
        """Log-likelihood of each row at `params`, shape (n,)."""
        p = np.asarray(params, dtype=np.float64)
        z_low, z_high, z_entry = (self._standard(x, p) for x in (self.low, self.high, self.entry))
        exact = self.shape.log_density(z_low) - p[-1] - np.log(np.maximum(self.low, _TINY))
        between = self.shape.log_between(z_low, np.where(self.exact, z_low + 1.0, z_high))
        late = np.where(self.entry > 0.0, self.shape.log_survival(z_entry), 0.0)
        return np.asarray(np.where(self.exact, exact, between) - late)

    def score_obs(self, params: npt.ArrayLike, **_: Any) -> FloatArray:
        """Score of each row at `params`, shape (n, k + 1)."""
        p = np.asarray(params, dtype=np.float64)
        z_low, z_high, z_entry = (self._standard(x, p) for x in (self.low, self.high, self.entry))
        by_low, by_high = self._slopes(z_low, z_high)
        by_entry = np.exp(self.shape.log_density(z_entry) - self.shape.log_survival(z_entry))
        by_entry = np.where(self.entry > 0.0, by_entry, 0.0)
        by_location = -(by_low + by_high + by_entry) / _scale(p)
        by_scale = -(by_low * z_low + by_high * z_high + by_entry * z_entry) - self.exact
        return np.column_stack([by_location[:, None] * self.exog, by_scale])

    def _slopes(self, z_low: FloatArray, z_high: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Slopes of each row's log-likelihood in z_low and z_high."""
        log_between = self.shape.log_between(z_low, np.where(self.exact, z_low + 1.0, z_high))
        from_low = -np.exp(self.shape.log_density(z_low) - log_between)
        from_high = np.exp(self.shape.log_density(z_high) - log_between)
        by_low = np.where(self.exact, self.shape.slope(z_low), from_low)
        return by_low, np.where(self.exact, 0.0, from_high)


def chance_worn(results: Any, life: npt.ArrayLike, row: npt.ArrayLike | None = None) -> FloatArray:
    """Chance that a life has ended by this exposure.

    Parameters
    ----------
    results : results of `BracketedLife`
        A fitted life regression.
    life : array_like, shape (m,)
        Exposures, in the unit of the fit.
    row : array_like, shape (k,), optional
        Values of the explaining columns; the constant alone when left out.

    Returns
    -------
    ndarray, shape (m,)
    """
    params = np.asarray(results.params, dtype=np.float64)
    location = np.asarray([1.0] if row is None else row, dtype=np.float64) @ params[:-1]
    logs = np.log(np.maximum(np.asarray(life, dtype=np.float64), _TINY))
    z = np.clip((logs - location) / np.exp(params[-1]), -_FAR, _FAR)
    return np.asarray(-np.expm1(results.model.shape.log_survival(z)))


@dataclass(frozen=True)
class LifeAt:
    """Exposure by which a share of lives has ended, with its interval (unit of the fit)."""

    share: float
    exposure: float
    low: float
    high: float


def life_at(
    results: Any, share: float, row: npt.ArrayLike | None = None, confidence: float = 0.95
) -> LifeAt:
    """Exposure by which this share of lives has ended; interval by the delta method on the log.

    Parameters
    ----------
    results : results of `BracketedLife`
        A fitted life regression.
    share : float
        Share of the lives, strictly between 0 and 1.
    row : array_like, shape (k,), optional
        Values of the explaining columns; the constant alone when left out.
    confidence : float
        Confidence of the interval.
    """
    params = np.asarray(results.params, dtype=np.float64)
    x = np.asarray([1.0] if row is None else row, dtype=np.float64)
    step = float(results.model.shape.quantile(np.asarray(share))) * np.exp(params[-1])
    gradient = np.append(x, step)
    se = np.sqrt(gradient @ np.asarray(results.cov_params()) @ gradient)
    reach = stats.norm.ppf(0.5 + confidence / 2.0) * se
    middle = x @ params[:-1] + step
    return LifeAt(share, *(float(np.exp(v)) for v in (middle, middle - reach, middle + reach)))
