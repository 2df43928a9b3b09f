"""A gamma process of wear: increments never negative, a cross-check of the wear clock.

Over a stretch with `h_s` hours in state `s`, worn grows by a gamma variable of shape
`sum_s a_s h_s` and rate `b`. With an effect per unit (Lawless and Crowder, Lifetime Data Analysis
10, 2004), each unit has its own rate, itself gamma with mean `b` and shape `delta`: units differ
in how fast they wear by about 1 / sqrt(delta). Summed over the unit it has a closed form.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.special import betainc, digamma, gammaincc, gammaln

from corrosion.comparison.weibull import SmoothLikelihood

FloatArray = npt.NDArray[np.float64]

_EVEN = 1e5  # units that differ by less than 1 / sqrt of this, 0.3 %, do not differ


def _state_names(exposure: Any) -> list[str]:
    """Names of the states: the columns of a table, else their numbers."""
    if isinstance(exposure, pd.DataFrame):
        return [str(name) for name in exposure.columns]
    if np.ndim(exposure) < 2:
        return ["use"]
    return [f"state_{k}" for k in range(np.shape(exposure)[1])]


class GammaWear(SmoothLikelihood):
    """Gamma process of wear on increments, with or without an effect per unit.

    Parameters
    ----------
    growth : array_like, shape (n,)
        Increments of worn, all above zero (see `growing_stretches`).
    exposure : array_like or DataFrame, shape (n,) or (n, s)
        Hours in each state over the same stretches, at least one above zero in each row.
    unit : array_like, shape (n,), optional
        Which unit each stretch belongs to; with it, each unit has its own gamma effect.

    Notes
    -----
    Parameters are logs, so all are free: `log_shape` a state (per hour), `log_rate` and, with
    units, `log_delta`.
    """

    def __init__(
        self,
        growth: npt.ArrayLike,
        exposure: Any,
        unit: npt.ArrayLike | None = None,
        **kwargs: Any,
    ) -> None:
        """Take the stretches; see the class."""
        self.with_units = unit is not None
        labels = np.zeros(np.size(growth)) if unit is None else unit
        self.codes = pd.factorize(pd.Series(np.asarray(labels)))[0]
        hours = np.asarray(exposure, dtype=np.float64)
        table = pd.DataFrame(hours, columns=_state_names(exposure))
        extra = ["log_rate"] if unit is None else ["log_rate", "log_delta"]
        kwargs = {"extra_params_names": extra, "hasconst": False, **kwargs}
        super().__init__(np.asarray(growth), table, **kwargs)
        states = self.exog.shape[1]
        self.exog_names[:states] = [f"log_shape_{name}" for name in self.exog_names[:states]]
        self._count_parameters(constants=0)

    @property
    def states(self) -> int:
        """Number of states with hours of their own."""
        return int(self.exog.shape[1])

    @property
    def start_params(self) -> FloatArray:  # type: ignore[override]
        """Moments: the same wear per hour in each state, and the spread about it."""
        hours = self.exog.sum(axis=1)
        mean_rate = self.endog.sum() / hours.sum()
        spread = np.sum((self.endog - mean_rate * hours) ** 2) / hours.sum()
        rate = mean_rate / max(spread, 1e-12)
        start = np.append(np.full(self.states, np.log(mean_rate * rate)), np.log(rate))
        return start if not self.with_units else np.append(start, np.log(20.0))

    def _split(self, params: npt.ArrayLike) -> tuple[FloatArray, FloatArray, float]:
        """Return shape of every state, shape of every stretch, and the mean rate."""
        p = np.asarray(params, dtype=np.float64)
        by_state = np.exp(np.clip(p[: self.states], -300.0, 300.0))
        return by_state, self.exog @ by_state, float(np.exp(np.clip(p[self.states], -300.0, 300.0)))

    def _by_unit(self, values: FloatArray) -> FloatArray:
        return np.bincount(self.codes, weights=values).astype(np.float64)

    def loglikeobs(self, params: npt.ArrayLike) -> FloatArray:
        """Log-likelihood of each stretch, shape (n,); a unit's effect is counted at its last."""
        _, shape, rate = self._split(params)
        own = -gammaln(shape) + (shape - 1.0) * np.log(self.endog)
        if not self.with_units:
            return np.asarray(own + shape * np.log(rate) - rate * self.endog)
        return np.asarray(own + self._at_last(self._unit_terms(params, shape, rate)))

    def _at_last(self, by_unit: FloatArray) -> FloatArray:
        """Spread rows of units over stretches: all at the unit's last stretch, zero before."""
        last = len(self.endog) - 1 - np.unique(self.codes[::-1], return_index=True)[1]
        rows = np.zeros((len(self.endog), *by_unit.shape[1:]))
        rows[last] = by_unit
        return rows

    def _unit_terms(self, params: npt.ArrayLike, shape: FloatArray, rate: float) -> FloatArray:
        delta = float(np.exp(np.asarray(params)[-1]))
        prior, total, grown = delta / rate, self._by_unit(shape), self._by_unit(self.endog)
        return np.asarray(
            delta * np.log(prior) - gammaln(delta) + gammaln(delta + total)
            - (delta + total) * np.log(prior + grown)
        )  # fmt: skip

    def score_obs(self, params: npt.ArrayLike, **_: Any) -> FloatArray:
        """Score of each stretch, shape (n, p); a unit's share of it at its last stretch."""
        by_state, shape, rate = self._split(params)
        own = np.log(self.endog) - digamma(shape)
        per_state = self.exog * by_state
        if not self.with_units:
            by_shape = (own + np.log(rate))[:, None] * per_state
            return np.column_stack([by_shape, shape - rate * self.endog])
        rows = np.column_stack([own[:, None] * per_state, np.zeros((len(own), 2))])
        return rows + self._at_last(self._unit_scores(params, per_state, rate))

    def _unit_scores(self, params: npt.ArrayLike, per_state: FloatArray, rate: float) -> FloatArray:
        delta = float(np.exp(np.asarray(params)[-1]))
        prior, grown = delta / rate, self._by_unit(self.endog)
        hours = np.column_stack([self._by_unit(column) for column in per_state.T])
        total = hours.sum(axis=1)
        by_total = digamma(delta + total) - np.log(prior + grown)
        by_prior = delta - prior * (delta + total) / (prior + grown)  # slope in log prior
        by_delta = delta * (np.log(prior) - digamma(delta) + by_total)  # prior held
        return np.column_stack([by_total[:, None] * hours, -by_prior, by_delta + by_prior])


@dataclass(frozen=True)
class WearFit:
    """A fitted gamma process.

    Attributes
    ----------
    shape_per_hour : ndarray, shape (s,)
        Shape gained per hour in each state.
    rate : float
        Rate, or its mean over units; wear per hour is shape_per_hour / rate.
    delta : float
        Shape of the effect per unit; infinite without one.
    log_likelihood : float
        At the fit.
    converged : bool
        Whether the search settled.
    results : statsmodels results
        For the covariance and `summary()`.
    """

    shape_per_hour: FloatArray
    rate: float
    delta: float
    log_likelihood: float
    converged: bool
    results: Any


def fit_gamma_wear(
    growth: npt.ArrayLike, exposure: Any, unit: npt.ArrayLike | None = None
) -> WearFit:
    """Fit `GammaWear`; parameters as there.

    Units that differ by no more than chance have no effect of their own: the fit is then the one
    without, and its delta infinite.
    """
    alike = _wear_fit(GammaWear(growth, exposure))
    if unit is None:
        return alike
    fit = _wear_fit(GammaWear(growth, exposure, unit))
    gains = fit.log_likelihood > alike.log_likelihood + 1e-3
    return fit if gains or fit.delta < _EVEN else alike


def _wear_fit(model: GammaWear) -> WearFit:
    results = model.fit()
    values = np.exp(np.asarray(results.params, dtype=np.float64))
    return WearFit(
        shape_per_hour=values[: model.states],
        rate=float(values[model.states]),
        delta=float(values[-1]) if model.with_units else float("inf"),
        log_likelihood=float(results.llf),
        converged=bool(results.mle_retvals["converged"]),
        results=results,
    )


def chance_worn_out(
    fit: WearFit,
    hours_ahead: npt.ArrayLike,
    to_go: npt.ArrayLike = 1.0,
    hours_so_far: npt.ArrayLike = 0.0,
    grown_so_far: npt.ArrayLike = 0.0,
) -> FloatArray:
    """Chance that worn grows by `to_go` or more over the hours ahead.

    Parameters
    ----------
    fit : WearFit
        A fitted gamma process.
    hours_ahead : array_like, shape (m,) for one state, else (m, s)
        Hours ahead in each state.
    to_go : array_like, shape (m,)
        Growth of worn that is still left, above zero.
    hours_so_far : array_like, shape (m,) or (m, s)
        Hours that this unit has behind it; what it did with them sharpens its own effect.
    grown_so_far : array_like, shape (m,)
        How much its worn grew over them.

    Returns
    -------
    ndarray, shape (m,)
    """
    shape = _shape_over(fit, hours_ahead)
    left = np.asarray(to_go, dtype=np.float64)
    if np.isinf(fit.delta):
        return np.asarray(gammaincc(shape, fit.rate * left))
    delta = fit.delta + _shape_over(fit, hours_so_far)
    prior = fit.delta / fit.rate + np.asarray(grown_so_far, dtype=np.float64)
    # growth over (growth + prior) is beta: the rate has been integrated out
    return np.asarray(1.0 - betainc(shape, delta, left / (left + prior)))


def _shape_over(fit: WearFit, hours: npt.ArrayLike) -> FloatArray:
    table = np.asarray(hours, dtype=np.float64)
    if len(fit.shape_per_hour) == 1 and (table.ndim < 2 or table.shape[-1] != 1):
        return np.asarray(table * fit.shape_per_hour[0])
    return np.asarray(table @ fit.shape_per_hour) if table.ndim else np.zeros(())


def growing_stretches(stretches: pd.DataFrame, least: float = 0.01) -> pd.DataFrame:
    """Join successive stretches of a unit until worn has grown by more than `least`.

    A gamma process never goes back, a caliper does: a look that shows no growth beyond the reading
    error is no look of its own, and its hours go to the stretch that ends at the next one. What
    is left over at the end of a unit joins the stretch before it, so no hour is lost; a unit that
    never grew is left out.

    Parameters
    ----------
    stretches : DataFrame
        One row between two looks at a unit, in order of time: `unit`, `growth` (share of the
        allowance) and any number of columns of hours.
    least : float
        Reading error, share of the allowance.

    Returns
    -------
    DataFrame
        The same columns, fewer rows, every `growth` above zero.
    """
    joined = [_join(rows, least) for _, rows in stretches.groupby("unit", sort=False)]
    kept = [rows for rows in joined if rows is not None]
    return pd.concat(kept, ignore_index=True) if kept else stretches.iloc[:0]


def _join(rows: pd.DataFrame, least: float) -> pd.DataFrame | None:
    """Join one unit's rows; None if the unit never grew."""
    ends = _ends_of_growth(rows["growth"].to_numpy(np.float64), least)
    if not ends:
        return None
    keys = np.searchsorted(ends, np.arange(len(rows)), side="right")
    joined = rows.drop(columns="unit").groupby(keys).sum().assign(unit=rows["unit"].iloc[0])
    return joined[list(rows.columns)]


def _ends_of_growth(growth: FloatArray, least: float) -> list[int]:
    """Cut one unit's stretches where each piece has grown by more than `least`."""
    ends, pending = [], 0.0
    for row, step in enumerate(growth):
        pending += step
        if pending > least:
            ends.append(row + 1)
            pending = 0.0
    if ends:
        ends[-1] = len(growth)
    # what was left over may have shrunk the last piece: give it to the one before
    while len(ends) > 1 and growth[ends[-2] :].sum() <= least:
        ends[-2:] = [len(growth)]
    return ends if ends and growth[: ends[0]].sum() > 0.0 else []
