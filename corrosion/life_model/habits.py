"""What each operating state costs in wear, with its interval."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
from scipy import optimize

from corrosion.common import HOURS_A_DAY, WHOLE_YEAR_DAYS, Z95, Floats, hours_since_epoch
from corrosion.exposure import drying_weights
from corrosion.life_model.attribution import caused
from corrosion.life_model.fitting import Fit
from corrosion.life_model.life import AnodeLife
from corrosion.life_model.surface import layout_of

SHOWN = 5.411894431054342
"""Likelihood ratio against no wear at all from which on a state is seen to wear; passed by chance
once in 100 (half a chi-square of no, half of one degree of freedom, Self & Liang 1987)."""
PLAIN_SD = 0.3
"""A rate whose logarithm is known this closely is far from nothing; no need to ask again."""
NOTHING = -30.0
COLUMNS = ["circuit", "water", "state", "hours", "worn_per_100h", "low", "high", "hulls"]


def wear_of_states(fit: Fit, on: pd.Timestamp) -> pd.DataFrame:
    """Return the wear of each operating state, at 15 C, and what it caused in the last year.

    Parameters
    ----------
    fit : Fit
    on : Timestamp, UTC, until when hours are counted

    Returns
    -------
    DataFrame, one row a circuit, water and state: hours (logged, over all hulls; for `unflushed`
    the hours that count while the passages dry), worn_per_100h (share of the allowance, mean over
    the positions of that circuit on the hulls that spent the hours), low, high (95 %, delta
    method on the log; low is 0 where no wear at all fits the looks as well), hulls (how many have
    such hours), shown (bool: more than no wear is seen), anodes, anodes_low, anodes_high
    (allowances used up in the last 365 days, all hulls and positions, at the warmth that was),
    share, share_low, share_high (of all that wore in them), by_looks (of `unflushed`: how far its
    rate beside that of running is known by the looks, 0 all by the prior, 1 all by the looks; NaN
    for other states)
    """
    groups = fit.model.design.terms.groups
    logged = _logged(fit, on)
    rows = [
        (
            g.circuit,
            g.water,
            g.state,
            logged[i].sum(),
            *_rate(fit, i, logged[i]),
            (logged[i] > 1).sum(),
        )
        for i, g in enumerate(groups.itertuples())
    ]
    table = pd.DataFrame(rows, columns=COLUMNS).assign(shown=_shown(fit))
    table = table.assign(
        low=table["low"].where(table["shown"], 0.0), by_looks=told_apart(fit), **_last_year(fit, on)
    )
    for name in ("anodes_low", "share_low"):
        table[name] = table[name].where(table["shown"], 0.0)
    return table.sort_values(["circuit", "water", "state"], ignore_index=True)


def told_apart(fit: Fit) -> Floats:
    """Return how far the looks tell the unflushed hours of each water from its running hours.

    The ratio of both rates is what a flushing policy rests on. Its doubt after the looks is set
    beside its doubt before them, on the log: 1 less the ratio of the variances.

    Parameters
    ----------
    fit : Fit

    Returns
    -------
    ndarray, shape (groups,), 0 to 1; NaN for states that are not `unflushed`
    """
    groups, at = fit.model.design.terms.groups, layout_of(fit.model.design).weight.start
    covariance, prior = fit.results.cov_params(), fit.model.prior_sd**2
    place = {key: i for i, key in enumerate(groups.itertuples(index=False, name=None))}
    known = np.full(len(groups), np.nan)
    for (circuit, state, water), wet in place.items():
        ran = place.get((circuit, "running", water))
        if state != "unflushed" or ran is None:
            continue
        a, b = at + wet, at + ran
        after = covariance[a, a] + covariance[b, b] - 2 * covariance[a, b]
        known[wet] = 1 - min(after / (prior[a] + prior[b]), 1.0)
    return known


def warmth(fit: Fit) -> tuple[float, float, float]:
    """Return how much more anodes wear for each degree of water, and its 95 % ends (share)."""
    at = layout_of(fit.model.design).shape.start
    middle, sd = float(fit.results.params[at]), float(fit.results.bse[at])
    return middle, middle - Z95 * sd, middle + Z95 * sd


def _shown(fit: Fit) -> list[bool]:
    """Tell for each state whether its wear is seen, by its likelihood ratio against none."""
    at = layout_of(fit.model.design).weight
    sds = np.asarray(fit.results.bse)[at]
    return [bool(sd < PLAIN_SD) or _ratio(fit, at.start + i) > SHOWN for i, sd in enumerate(sds)]


def _ratio(fit: Fit, weight: int) -> float:
    """Return the likelihood ratio of a state's wear against none, its own prior left out."""
    model, start = fit.model, np.asarray(fit.results.params, dtype=float)
    mean, sd = model.prior_mean[weight], model.prior_sd[weight]

    def plain(params: Floats) -> float:
        return float(model.loglike(params) + 0.5 * ((params[weight] - mean) / sd) ** 2)

    without = start.copy()
    without[weight] = NOTHING
    return float(2.0 * (plain(start) - plain(climb_without(model, without, weight))))


def climb_without(model: AnodeLife, start: Floats, fixed: int) -> Floats:
    """Climb in all parameters but one, and return where it ended, shape (p,)."""
    free = np.delete(np.arange(start.size), fixed)
    info = model.information(start)[np.ix_(free, free)]
    turn = np.linalg.cholesky(np.linalg.inv(info))

    def down(z: Floats) -> tuple[float, Floats]:
        params = start.copy()
        params[free] += turn @ z
        return -model.loglike(params), -(turn.T @ model.score(params)[free])

    optimum = optimize.minimize(
        down, np.zeros(free.size), jac=True, method="BFGS", options={"maxiter": 60, "gtol": 0.05}
    )
    ended = start.copy()
    ended[free] += turn @ optimum.x
    return np.asarray(ended)


def _last_year(fit: Fit, on: pd.Timestamp) -> dict[str, Floats]:
    """Return what each state wore in the last 365 days, and its share, each with 95 % ends."""
    until = float(hours_since_epoch(pd.DatetimeIndex([on]))[0])
    wear = caused(fit, until - WHOLE_YEAR_DAYS * HOURS_A_DAY, until)
    whole = max(float(wear.total.sum()), 1e-12)
    share = wear.total / whole
    by_share = wear.slope / whole - share[:, None] * wear.slope.sum(axis=0) / whole
    totals: dict[str, Floats] = {}
    for name, value, slope in (("anodes", wear.total, wear.slope), ("share", share, by_share)):
        variance = np.einsum("gp,pq,gq->g", slope, fit.results.cov_params(), slope)
        far = np.exp(Z95 * np.sqrt(np.maximum(variance, 0.0)) / np.maximum(value, 1e-12))
        totals |= {name: value, f"{name}_low": value / far, f"{name}_high": value * far}
    return totals


def _rate(fit: Fit, group: int, hours: Floats) -> tuple[float, float, float]:
    """Return share of the allowance per 100 h on the average position, with its 95 % interval."""
    model, at = fit.model, layout_of(fit.model.design)
    rates = fit.results.evaluation.rates
    part = _position_shares(fit, group, hours) * rates.share_per_mm
    rate = 100 * float(np.exp(rates.weight[group]) * part.sum())
    slope = np.zeros(model.k_params)
    slope[at.position] = part / part.sum()
    slope[at.weight.start + group] = 1.0
    # weights and places trade off against each other, so both enter the slope
    sd = float(np.sqrt(slope @ fit.results.cov_params() @ slope))
    return rate, rate * float(np.exp(-Z95 * sd)), rate * float(np.exp(Z95 * sd))


def _position_shares(fit: Fit, group: int, hours: Floats) -> Floats:
    """Return how much each position counts in the average, shape (positions,), summing to 1."""
    design = fit.model.design
    table = design.positions
    ours = table["circuit"] == design.terms.groups["circuit"].iloc[group]
    hulls = fit.lives.lives.drop_duplicates("hull_id").set_index("hull_id")["layout"]
    layout = hulls.reindex(fit.exposure.hull_ids)
    spent = pd.Series(hours, layout.to_numpy(object)).groupby(level=0).sum()
    by_layout = table["layout"].map(spent).fillna(0.0).where(ours, 0.0)
    by_layout = by_layout if by_layout.sum() > 0 else ours.astype(float)
    in_service = ours.groupby(table["layout"]).transform("sum").clip(lower=1)
    share = (by_layout / in_service).to_numpy(float)
    return np.asarray(share / share.sum())


def _logged(fit: Fit, on: pd.Timestamp) -> Floats:
    """Return hours of each hull in each weight's cells, shape (groups, hulls)."""
    # what was filled in for want of entries is no logged hour
    exposure, terms = replace(fit.exposure, filling=None), fit.model.design.terms
    hulls = np.arange(len(exposure.hull_ids))
    end = np.full(hulls.size, hours_since_epoch(pd.DatetimeIndex([on]))[0])
    tables = (exposure.outings["start_h"], exposure.berths["start_h"])
    first = min((float(t.min()) for t in tables if len(t)), default=float(end[0]))
    past = exposure.between(hulls, np.full(hulls.size, first - 1.0), end)
    wet = past.drying @ drying_weights(fit.results.evaluation.rates.log_tau).weight
    hours = np.zeros((len(terms.groups), hulls.size))
    for cell, group, _, _ in terms.plain[terms.plain[:, 3] == 0]:
        hours[group] += past.plain[:, cell]
    for cell, group, _, _ in terms.drying[terms.drying[:, 3] == 0]:
        hours[group] += wet[:, cell]
    return hours
