"""The likelihood of a share saved: its peak, its ends, and whether nothing saved fits as well.

The share itself is made a parameter: for any rates of the other states there is one level of the
unflushed rate that gives it, so the likelihood is climbed in all other parameters at each share
(profile likelihood). Nothing is assumed of the level itself; a prior on its logarithm could not
say "no effect". Whether there is any effect is judged by the likelihood ratio against none, which
follows half a chi-square of no and half of one degree of freedom, since a rate cannot be negative
(Self & Liang 1987, Journal of the American Statistical Association 82, case 5).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import optimize
from scipy.stats import chi2, t

from corrosion.common import Floats
from corrosion.comparison.flushing.engine import likelihood_by_hull
from corrosion.comparison.flushing.estimand import Ledger
from corrosion.life_model import COLDEST, WARMEST, Fit, layout_of

RATIO_SD = 0.7
"""How far the rate in brackish water against salt may lie from common practice, log, one sd."""
NOTHING = -30.0
"""Log of the level that stands for no effect at all."""
SMALL = 0.05
"""A share at which the likelihood is looked at where its peak is at next to none."""
END_ROUNDS, END_WITHIN = 6, 0.02


def boundary_p(ratio: float) -> float:
    """Return the chance of so large a likelihood ratio where there is no effect.

    Parameters
    ----------
    ratio : float, twice the gain in log likelihood, 0 or more

    Returns
    -------
    float, 0.5 for a ratio just above 0; 1 at 0
    """
    return 1.0 if ratio <= 0.0 else 0.5 * float(chi2.sf(ratio, 1))


@dataclass(frozen=True)
class Peak:
    """Where the likelihood of the share stands highest.

    Attributes
    ----------
    share : float, the most likely share saved
    value : float, log likelihood there
    nothing : float, log likelihood of no effect at all
    z : ndarray, shape (p - 1,), the other parameters, in steps
    params, without : ndarray, shape (p,), the parameters there, and those without any effect
    """

    share: float
    value: float
    nothing: float
    z: Floats
    params: Floats
    without: Floats

    @property
    def ratio(self) -> float:
        """Return the likelihood ratio against no effect."""
        return max(2.0 * (self.value - self.nothing), 0.0)


@dataclass(frozen=True)
class Spread:
    """How far the share is known: by the model, and by how hulls differ, from so many hulls."""

    by_model: float
    by_hull: float
    hulls: int

    def critical(self, size: float = 0.05) -> float:
        """Return the likelihood ratio that bounds an interval missed with chance `size`.

        Hulls that differ more than the model has it widen it; few hulls do so by Student's t.
        """
        return self.more * float(t.isf(size / 2, max(self.hulls - 1, 1)) ** 2)

    @property
    def more(self) -> float:
        """Return by how much more hulls differ than the model has it, as a ratio of variances."""
        return max((self.by_hull / self.by_model) ** 2, 1.0)


class ShareLikelihood:
    """The log likelihood of the looks as a function of the share saved and the other parameters.

    The vector `z` holds every parameter but the common level of the unflushed rates, as steps in
    which the likelihood is round.
    """

    def __init__(self, fit: Fit, ledger: Ledger) -> None:
        """Take the fitted model and the hours that are asked about."""
        self.model, self.ledger = fit.model, ledger
        self.at = layout_of(fit.model.design)
        groups = fit.model.design.terms.groups
        wet = (groups["state"] == "unflushed").to_numpy(bool)
        self.wet = self.at.weight.start + np.flatnonzero(wet)
        self.start = np.asarray(fit.results.params, dtype=float).copy()
        self.turn = self._turn()

    def _turn(self) -> Floats:
        """Return the steps, shape (p, p - 1), that leave the common level alone."""
        size = self.start.size
        level = np.zeros(size)
        level[self.wet] = 1.0 / np.sqrt(self.wet.size)
        basis = np.linalg.svd(level[None, :])[2][1:].T
        info = basis.T @ self.model.information(self.start) @ basis
        return np.asarray(basis @ np.linalg.cholesky(np.linalg.inv(info)))

    def params(self, z: Floats, level: float) -> Floats:
        """Return the parameter vector at steps `z` and a log level over the fitted one."""
        params = self.start + self.turn @ z
        params[self.wet] += level
        params[self.at.shape.start] = np.clip(params[self.at.shape.start], COLDEST, WARMEST)
        return np.asarray(params)

    def value(self, params: Floats) -> tuple[float, Floats]:
        """Return log likelihood and prior, the prior of the common level left out, and slope."""
        model = self.model
        away = (params - model.prior_mean) / model.prior_sd
        slope = away / model.prior_sd
        wet = params[self.wet] - model.prior_mean[self.wet]
        apart = (wet - wet.mean()) / RATIO_SD
        away[self.wet], slope[self.wet] = apart, apart / RATIO_SD
        evaluation = model.evaluate(params)
        return evaluation.value - 0.5 * float(away @ away), evaluation.gradient - slope

    def share_at(self, params: Floats) -> float:
        """Return the share saved at these parameters."""
        rates = self.model.evaluate(params).rates
        steady = self.ledger.steady_wear(rates)
        was, saved = self.ledger.wet_wear(rates)
        whole = steady.value + was.value
        return saved.value / whole if whole > 0 else 0.0

    def level_for(self, share: float, params: Floats) -> tuple[float, Floats]:
        """Return the log level that gives the share, over `params`, and its slope by them."""
        rates = self.model.evaluate(params).rates
        steady = self.ledger.steady_wear(rates)
        was, saved = self.ledger.wet_wear(rates)
        room = saved.value - share * was.value
        if room <= 0:
            return np.inf, np.zeros(params.size)
        slope = steady.slope / steady.value - (saved.slope - share * was.slope) / room
        return float(np.log(share * steady.value / room)), slope

    def top(self) -> Peak:
        """Climb to the most likely share, the level free and without a prior."""
        size = self.turn.shape[1]

        def down(x: Floats) -> tuple[float, Floats]:
            value, slope = self.value(self.params(x[:-1], x[-1]))
            by_z = self.turn.T @ slope
            return -value, -np.append(by_z, slope[self.wet].sum())

        ends = [(None, None)] * size + [(-12.0, 4.0)]
        optimum = optimize.minimize(
            down, np.zeros(size + 1), jac=True, method="L-BFGS-B", bounds=ends,
            options={"maxiter": 200, "ftol": 1e-9, "gtol": 1e-2},
        )  # fmt: skip
        z, level = optimum.x[:-1], float(optimum.x[-1])
        nothing, z_without = self._climbed(lambda z: self._fixed(z, NOTHING), z)
        there, without = self.params(z, level), self.params(z_without, NOTHING)
        return Peak(self.share_at(there), -float(optimum.fun), nothing, z, there, without)

    def spread(self, peak: Peak) -> Spread:
        """Return how far the share is known, by the model and by how hulls differ.

        The second is the sandwich of the hulls' own scores in the direction of the share, which
        owes nothing to the model's idea of what the anodes of a hull share.
        """
        share = max(peak.share, SMALL)
        _, z = self.at_share(share, peak.z)
        base = self.params(z, 0.0)
        params = self.params(z, self.level_for(share, base)[0])
        toward = np.linalg.solve(self._information(params), self._slope(params))
        sd = float(np.sqrt(self._slope(params) @ toward))
        step = 0.1 * toward / sd
        ahead, behind = (likelihood_by_hull(self.model, params + s) for s in (step, -step))
        pull = (ahead - behind) / 0.2
        pull = pull[np.abs(pull) > 1e-9]
        hulls = pull.size
        by_hull = float(np.sqrt(((pull - pull.mean()) ** 2).sum() * hulls / max(hulls - 1, 1)))
        return Spread(sd, sd * by_hull, hulls)

    def end(self, peak: Peak, critical: float, sd: float, side: int) -> Floats:
        """Return the parameters on one side (-1, 1) of the peak whose ratio is critical."""
        if side < 0 and peak.ratio <= critical:
            return peak.without
        share, z = peak.share + side * max(np.sqrt(critical) * sd, SMALL / 2), peak.z
        for _ in range(END_ROUNDS):
            share = max(share, 0.02 * peak.share)
            value, z_there = self.at_share(share, z)
            far = np.sqrt(max(2.0 * (peak.value - value), 1e-6) / critical)
            if abs(far - 1.0) < END_WITHIN:
                break
            z = z_there if far < 4.0 else z
            share = peak.share + (share - peak.share) * float(np.clip(1.0 / far, 0.3, 2.5))
        value, z = self.at_share(share, z)
        return self.params(z, self.level_for(share, self.params(z, 0.0))[0])

    def _slope(self, params: Floats) -> Floats:
        """Return the slope of the share by every parameter."""
        rates = self.model.evaluate(params).rates
        steady = self.ledger.steady_wear(rates)
        was, saved = self.ledger.wet_wear(rates)
        whole = steady.value + was.value
        return np.asarray(saved.slope / whole - saved.value * (steady.slope + was.slope) / whole**2)

    def _information(self, params: Floats) -> Floats:
        """Return the model's information with the prior of `value`."""
        info = self.model.information(params)
        info[self.wet, self.wet] -= 1.0 / self.model.prior_sd[self.wet] ** 2
        apart = np.eye(self.wet.size) - 1.0 / self.wet.size
        info[np.ix_(self.wet, self.wet)] += apart / RATIO_SD**2
        return np.asarray(info)

    def at_share(self, share: float, z: Floats) -> tuple[float, Floats]:
        """Return the log likelihood of a share, climbed from `z`, and where it was found."""
        return self._climbed(lambda z: self._given(share, z), z)

    def _fixed(self, z: Floats, level: float) -> tuple[float, Floats]:
        value, slope = self.value(self.params(z, level))
        return value, self.turn.T @ slope

    def _given(self, share: float, z: Floats) -> tuple[float, Floats]:
        base = self.params(z, 0.0)
        level, by_base = self.level_for(share, base)
        if not np.isfinite(level):
            return -1e9, np.zeros(z.size)
        value, slope = self.value(self.params(z, level))
        through = slope + slope[self.wet].sum() * by_base
        return value, self.turn.T @ through

    @staticmethod
    def _climbed(
        up: Callable[[Floats], tuple[float, Floats]], start: Floats
    ) -> tuple[float, Floats]:
        def down(z: Floats) -> tuple[float, Floats]:
            value, slope = up(z)
            return -value, -slope

        optimum = optimize.minimize(
            down, start, jac=True, method="BFGS", options={"maxiter": 100, "gtol": 3e-2}
        )
        return -float(optimum.fun), optimum.x
