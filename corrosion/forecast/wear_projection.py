"""Carry every anode in service ahead: its worn share, how sure that is, and the chance of wear."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import ndtr

from corrosion.common import Codes, Floats, side_by_side
from corrosion.forecast.crossing import LEAST_CHANCE, NODES
from corrosion.forecast.hours_ahead import (
    HoursOfAnodes,
    hours_of_anodes,
    surface_ahead,
)
from corrosion.forecast.standing import Standing
from corrosion.forecast.unwritten_wear import unwritten_sd
from corrosion.forecast.usage_forecast import Ahead
from corrosion.forecast.use_by_state import SharedOut
from corrosion.forecast.wear_paths import Paths
from corrosion.life_model import (
    UNEVEN,
    Design,
    Effects,
    Evaluation,
    Fit,
    Rates,
    evaluate,
    fit_of_hulls,
    pace_effects,
    wear_of_cells,
)
from corrosion.records import Checked

UNCERTAIN_AT_DAYS = (0, 7, 28, 91, 360, 3660)
STATES = ("running", "unflushed", "afloat")
HULLS_AT_ONCE = 100
NIL = 1e-12
"""A chance that is none, and short of 1 by which one is sure: far below what answers show."""


def in_service(checked: Checked) -> pd.Series:
    """Return the hull ids in service at the moment of the report."""
    hulls, on = checked.hulls, checked.logbook.on
    begun = hulls["in_service"].isna() | (hulls["in_service"] <= on)
    left = hulls["retired"].notna() & (hulls["retired"] <= on)
    return hulls.loc[begun & ~left, "hull_id"].drop_duplicates()


@dataclass(frozen=True)
class _Course:
    """Wear clock of anodes in service and the mean of their worn share at some days ahead."""

    now: Floats
    clock: Floats
    mean: Floats
    used: Floats


@dataclass(frozen=True)
class _Lost:
    """Surface that anodes in service lose, mm: since their start, (k,), and ahead, (k, d)."""

    wear_mm: Floats  # of an hour in each cell, that all else follows from
    since_start: Floats
    ahead: Floats
    lying: Floats


def _lost(
    fit: Fit, rates: Rates, now: HoursOfAnodes, ahead: SharedOut, known: _Lost | None = None
) -> _Lost:
    """Return the surface lost; it is `known` where an hour wears as much as it did there."""
    terms = fit.model.design.terms
    wear = wear_of_cells(terms, rates).mm
    if known is not None and np.array_equal(wear, known.wear_mm):
        return known
    return _Lost(wear, now.since_start.times(wear), *surface_ahead(now, ahead, terms, rates))


def _course(
    fit: Fit, evaluation: Evaluation, effect: Effects, now: HoursOfAnodes, lost: _Lost
) -> _Course:
    design, rates, k = fit.model.design, evaluation.rates, now.lives
    place = rates.share_per_mm[design.position[k]]
    since = place * lost.since_start
    mm, lying = lost.ahead * place[:, None], lost.lying * place[:, None]
    clock = since[:, None] + mm
    x, m, u = evaluation.track.state[k], evaluation.track.state_clock[k], effect.own[k]
    mean = (design.start_worn[k] + x)[:, None] + clock + u[:, None] * (clock - m[:, None])
    return _Course(since, clock, mean, mm - lying)


def _last_clock(design: Design, evaluation: Evaluation) -> Floats:
    """Return the wear clock at the last look at each life, 0 where there is none, shape (k,)."""
    last = np.zeros(design.hull.size)
    for part in design.steps.slices:
        size = part.stop - part.start
        last[:size] = np.maximum(last[:size], evaluation.clock[part])
    return last


def project_wear(
    fit: Fit, checked: Checked, ahead: Ahead, standing: Standing | None = None
) -> Paths:
    """Carry every anode in service ahead.

    The spread adds up what is not known of the anode's own rate, wear that comes and goes, the
    hull's rate, the fleet's parameters (delta method) and the use ahead; the last three are
    shared by the hull's anodes. It is widened by what the fit was told to widen.

    Parameters
    ----------
    fit : Fit
    checked : Checked
    ahead : Ahead
    standing : Standing, optional
        What of the last forecast stands.

    Returns
    -------
    Paths
    """
    now = hours_of_anodes(fit, checked, ahead, in_service(checked))
    evaluation = fit.results.evaluation
    design, k = fit.model.design, now.lives
    effect = pace_effects(design, evaluation)
    # of thousands of hulls each of these tables is large: few of them stand at a time
    parameters = _parameter_variance(fit, checked, now, standing)
    lost = _lost(fit, evaluation.rates, now, ahead.hours)
    course = _course(fit, evaluation, effect, now, lost)
    del lost
    reach = course.clock - evaluation.track.state_clock[k][:, None]
    own = (evaluation.anode_variance * evaluation.shrink)[k][:, None] * reach**2
    last = _last_clock(design, evaluation)[k]
    own += UNEVEN * evaluation.rates.process_sd**2 * np.maximum(course.clock - last[:, None], 0.0)
    own += evaluation.track.variance[k][:, None]
    pace = np.maximum(1.0 + effect.own[k], 0.05)
    used = pace[:, None] * course.used
    hull_variance = effect.hull_variance[design.hull[k]] * evaluation.shrink[k] ** 2
    shared = hull_variance[:, None] * reach**2
    del reach
    shared += (used * now.use_sd) ** 2
    shared += parameters
    fleet = (used * np.minimum(ahead.shared, now.use_sd)) ** 2
    fleet += parameters
    written = shared[:, 0] + own[:, 0]
    sd = unwritten_sd(fit, evaluation, now.lives, now.unwritten, now.unwritten_sd)
    shared += (pace[:, None] * sd) ** 2
    wider = np.sqrt((shared[:, 0] + own[:, 0]) / written)
    for variance in (own, shared, fleet):
        np.sqrt(variance, out=variance)
    return Paths(
        k, course.mean, own, shared, fleet,
        _by_clock(fit, evaluation, now),
        1.0 + effect.own[k], np.sqrt(effect.own_variance[k]), design.start_worn[k] + course.now,
        wider, used, now.use_sd, design.growth,
    ).widened(fit.widen)  # fmt: skip


def _by_clock(fit: Fit, evaluation: Evaluation, now: HoursOfAnodes) -> Floats:
    """Return the wear clock of each anode by state since its start, shape (k, 3)."""
    design = fit.model.design
    wear = wear_of_cells(design.terms, evaluation.rates).mm
    state = design.terms.groups["state"].to_numpy(object)[design.terms.packed[:, 0]]
    by_state = wear[:, None] * np.equal.outer(state, np.array(STATES, dtype=object))
    place = evaluation.rates.share_per_mm[design.position[now.lives]]
    return np.asarray(now.since_start.times(by_state) * place[:, None])


def _parameter_variance(
    fit: Fit, checked: Checked, now: HoursOfAnodes, standing: Standing | None
) -> Floats:
    """Return the variance of the expected worn share that the parameters bring, shape (k, d)."""
    days = now.ahead.days
    coarse = np.searchsorted(days, np.minimum(UNCERTAIN_AT_DAYS, days[-1]))

    def of_hulls(own: np.ndarray) -> Floats:
        part = fit_of_hulls(fit, own)
        theirs = hours_of_anodes(part, checked, now.ahead, in_service(checked))
        return _parameter_sd(part, theirs, coarse)

    design = fit.model.design
    if standing is None:
        sd = _parameter_sd(fit, now, coarse)
    else:
        sd = standing.result("parameter sd", design.hull[now.lives], of_hulls)
    at = np.interp(days, days[coarse], np.arange(coarse.size))
    low = np.minimum(at.astype(np.intp), coarse.size - 2)
    return np.asarray((sd[:, low] + (at - low) * (sd[:, low + 1] - sd[:, low])) ** 2)


def _parameter_sd(fit: Fit, now: HoursOfAnodes, coarse: Codes) -> Floats:
    """Return the root of `_parameter_variance` on some days of the grid, shape (k, days)."""
    some = now.ahead.hours.on_days(coarse)
    params, sds = fit.results.params, np.sqrt(np.diag(fit.results.cov_params()))
    usual = _lost(fit, fit.results.evaluation.rates, now, some)
    base = _mean_at(fit, params, now, some, usual)
    slopes = [
        (_mean_at(fit, params + step, now, some, usual) - base) / 0.1 for step in 0.1 * np.diag(sds)
    ]
    # slopes are per standard deviation, so the covariance enters as a correlation
    correlation = fit.results.cov_params() / np.outer(sds, sds)
    table = np.stack(slopes)
    variance = np.einsum("pkd,pq,qkd->kd", table, correlation, table, optimize=True)
    return np.asarray(np.sqrt(np.maximum(variance, 0.0)))


def _mean_at(
    fit: Fit, params: Floats, now: HoursOfAnodes, ahead: SharedOut, usual: _Lost
) -> Floats:
    model = fit.model
    evaluation = evaluate(params, model.design, model.moorings, model.trust, sloped=False)
    # places and spreads leave the surface that an hour takes as it is
    lost = _lost(fit, evaluation.rates, now, ahead, usual)
    return _course(fit, evaluation, pace_effects(model.design, evaluation), now, lost).mean


def hull_chances(path: Paths, hull: Codes, hulls: Codes) -> Floats:
    """Return the chance that at least one anode of a hull is worn, by day, shape (hulls, d).

    Anodes share their hull's rate, its use and the fleet's parameters, so the chances are not
    multiplied as if they were apart: the shared part is integrated over (Gauss-Hermite).

    Parameters
    ----------
    path : Paths of k anodes
    hull : ndarray of int, shape (k,), hull code of each anode
    hulls : ndarray of int, hull codes wanted, ascending

    Returns
    -------
    ndarray, shape (len(hulls), d)
    """
    order = np.argsort(hull, kind="stable")
    begin = np.searchsorted(hull[order], hulls)
    alone = (path.chance[order] - LEAST_CHANCE) / (1 - 2 * LEAST_CHANCE)
    surest = np.maximum.reduceat(alone, begin, axis=0)
    # where one anode is surely worn, or none can be, the others change nothing
    in_doubt = (surest < 1 - NIL) & (np.add.reduceat(alone, begin, axis=0) > NIL)
    total = np.where(surest < 1 - NIL, 0.0, 1.0)
    size = np.diff(begin, append=order.size)
    ease, shift = (1.0 - path.mean) / path.own_sd, path.shared_sd / path.own_sd

    def work_out(at: int) -> None:
        own, day = np.nonzero(in_doubt[at : at + HULLS_AT_ONCE])
        own += at
        first = np.cumsum(size[own]) - size[own]
        place = np.repeat(begin[own] - first, size[own]) + np.arange(size[own].sum())
        then = np.repeat(day, size[own])
        # an anode that is surely not worn adds less than NIL to its hull's chance
        counts = alone[place, then] * np.repeat(size[own], size[own]) >= NIL
        anode, then = order[place[counts]], then[counts]
        if own.size:
            first = np.cumsum(np.append(0, np.add.reduceat(counts, first, dtype=np.intp)))[:-1]
            total[own, day] = _any_worn(ease[anode, then], shift[anode, then], first)

    # some hulls at a time: what is worked on stays near the processor
    side_by_side(work_out, range(0, hulls.size, HULLS_AT_ONCE))
    chance = np.maximum.accumulate(np.clip(total, 0.0, 1.0), axis=1)
    return np.asarray(LEAST_CHANCE + (1 - 2 * LEAST_CHANCE) * np.maximum(chance, surest))


def _any_worn(ease: Floats, shift: Floats, first: Codes) -> Floats:
    """Return the chance that any anode of a group is worn, shape (groups,).

    `ease` is how far each is from its limit and `shift` what they share, in standard deviations of
    its own; `first` is the place of the first of each group.
    """
    nodes, weights = np.polynomial.hermite_e.hermegauss(NODES)
    total = np.zeros(first.size)
    for node, weight in zip(nodes, weights / weights.sum(), strict=True):
        total += weight * (1.0 - np.multiply.reduceat(ndtr(ease - node * shift), first))
    return total
