"""Carry every anode in service ahead: its worn share, how sure that is, and the chance of wear."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import ndtr

from corrosion.common import Codes, Floats, hours_since_epoch
from corrosion.exposure import Hours
from corrosion.forecast.crossing import LEAST_CHANCE, NODES
from corrosion.forecast.season import season_spread
from corrosion.forecast.unwritten_wear import by_state, unwritten_hours, unwritten_sd
from corrosion.forecast.usage_forecast import Ahead
from corrosion.forecast.wear_paths import Paths
from corrosion.life_model import (
    UNEVEN,
    Columns,
    Effects,
    Evaluation,
    Fit,
    evaluate,
    pace_effects,
    surface_lost,
    wearing_columns,
)
from corrosion.records import Checked

UNCERTAIN_AT_DAYS = (0, 7, 28, 91, 360, 3660)
STATES = ("running", "unflushed", "afloat")


@dataclass(frozen=True)
class _Now:
    """Columns of hours of anodes in service: until now, and ahead, with the spread of each.

    `unwritten` are those since the last look that no entry tells; None where all are in place.
    """

    lives: Codes
    since_start: Columns
    ahead: Columns
    use_sd: Floats
    unwritten: Columns | None = None
    unwritten_sd: Floats | float = 0.0


def in_service(checked: Checked) -> pd.Series:
    """Return the hull ids in service at the moment of the report."""
    hulls, on = checked.hulls, checked.logbook.on
    begun = hulls["in_service"].isna() | (hulls["in_service"] <= on)
    left = hulls["retired"].notna() & (hulls["retired"] <= on)
    return hulls.loc[begun & ~left, "hull_id"].drop_duplicates()


def _now(fit: Fit, checked: Checked, ahead: Ahead) -> _Now:
    design, exposure, table = fit.model.design, fit.exposure, fit.lives.lives
    on_h = float(hours_since_epoch(pd.DatetimeIndex([checked.logbook.on]))[0])
    place = np.empty(len(table), dtype=np.intp)
    place[design.steps.lives] = np.arange(len(table))
    serving = table["hull_id"].isin(in_service(checked)) & (table["ended"] == "in service")
    berthed = np.isin(design.hull[place], exposure.berths["hull"].to_numpy(np.intp))
    lives = place[serving.to_numpy(bool) & berthed]
    rows = table.iloc[design.steps.lives[lives]]
    hull, engine = design.hull[lives], (rows["circuit"] == "engine").to_numpy(bool)
    past = exposure.between(hull, rows["start_h"].to_numpy(float), np.full(hull.size, on_h))
    ahead_hours = Hours(*(_flat(part[hull]) for part in _parts(ahead.hours)))
    terms, alloy, count = design.terms, design.alloy[lives], ahead.days.size
    return _Now(
        lives,
        wearing_columns(terms, past, engine, alloy),
        wearing_columns(terms, ahead_hours, np.repeat(engine, count), np.repeat(alloy, count)),
        ahead.spread[hull],
        *unwritten_hours(fit, lives, engine, on_h),
    )


def _parts(hours: Hours) -> tuple[Floats, Floats, Floats, Floats]:
    return hours.plain, hours.plain_warm, hours.drying, hours.drying_warm


def _flat(part: Floats) -> Floats:
    # a fleet in fresh water has no unflushed cells, so the length can't be left to numpy
    return part.reshape(part.shape[0] * part.shape[1], *part.shape[2:])


@dataclass(frozen=True)
class _Course:
    """Wear clock of anodes in service and the mean of their worn share at some days ahead."""

    now: Floats
    clock: Floats
    last: Floats
    mean: Floats
    used: Floats


def _course(fit: Fit, found: Evaluation, effect: Effects, now: _Now, days: int) -> _Course:
    design, rates, k = fit.model.design, found.rates, now.lives
    place = rates.place[design.position[k]]
    since = place * surface_lost(now.since_start, design.terms, rates).mm
    surface = surface_lost(now.ahead, design.terms, rates)
    ahead = place[:, None] * surface.mm.reshape(-1, days)
    lying = by_state(surface, design.terms, "afloat").reshape(-1, days)
    clock = since[:, None] + ahead
    last = np.zeros(design.hull.size)
    last[design.life] = 0.0
    np.maximum.at(last, design.life, found.clock)
    x, m, u = found.track.state[k], found.track.state_clock[k], effect.own[k]
    mean = (design.start_worn[k] + x)[:, None] + clock + u[:, None] * (clock - m[:, None])
    return _Course(since, clock, last[k], mean, ahead - place[:, None] * lying)


def project_wear(fit: Fit, checked: Checked, ahead: Ahead) -> Paths:
    """Carry every anode in service ahead.

    The spread adds up what is not known of the anode's own rate, wear that comes and goes, the
    hull's rate, the fleet's parameters (delta method) and the use ahead; the last three are
    shared by the hull's anodes. It is widened by what the fit was told to widen.

    Parameters
    ----------
    fit : Fit
    checked : Checked
    ahead : Ahead

    Returns
    -------
    Paths
    """
    now, days = _now(fit, checked, ahead), ahead.days.size
    found = fit.results.evaluation
    design, k = fit.model.design, now.lives
    effect = pace_effects(design, found)
    course = _course(fit, found, effect, now, days)
    reach = course.clock - found.track.state_clock[k][:, None]
    own_rate = (found.anode_variance * found.shrink)[k][:, None] * reach**2
    walk = UNEVEN * found.rates.process_sd**2 * np.maximum(course.clock - course.last[:, None], 0.0)
    hull_variance = effect.hull_variance[design.hull[k]] * found.shrink[k] ** 2
    pace = np.maximum(1.0 + effect.own[k], 0.05)
    used = pace[:, None] * course.used
    parameters = _parameter_variance(fit, now, ahead.days)
    fleet = (used * np.minimum(season_spread(ahead.days), now.use_sd)) ** 2 + parameters
    shared = hull_variance[:, None] * reach**2 + (used * now.use_sd) ** 2 + parameters
    unwritten = (
        pace[:, None] * unwritten_sd(fit, found, now.lives, now.unwritten, now.unwritten_sd)
    ) ** 2
    written, shared = shared, shared + unwritten
    own = own_rate + walk + found.track.variance[k][:, None]
    wider = np.sqrt((shared + own)[:, 0] / (written + own)[:, 0])
    return Paths(
        k, course.mean, np.sqrt(own), np.sqrt(shared), np.sqrt(fleet), _by_clock(fit, found, now),
        1.0 + effect.own[k], np.sqrt(effect.own_variance[k]), design.start_worn[k] + course.now,
        wider, used, now.use_sd, design.growth,
    ).widened(fit.widen)  # fmt: skip


def _by_clock(fit: Fit, found: Evaluation, now: _Now) -> Floats:
    """Return the wear clock of each anode by state since its start, shape (k, 3)."""
    design = fit.model.design
    surface = surface_lost(now.since_start, design.terms, found.rates)
    place = found.rates.place[design.position[now.lives]]
    mm = [by_state(surface, design.terms, state) for state in STATES]
    return np.asarray(np.stack(mm, axis=1) * place[:, None])


def _parameter_variance(fit: Fit, now: _Now, days: Floats) -> Floats:
    """Return the variance of the expected worn share that the parameters bring, shape (k, d)."""
    coarse = np.searchsorted(days, np.minimum(UNCERTAIN_AT_DAYS, days[-1]))
    some = _Now(now.lives, now.since_start, _at_days(now.ahead, days.size, coarse), now.use_sd)
    params, sds = fit.results.params, np.sqrt(np.diag(fit.results.cov_params()))
    base = _mean_at(fit, params, some, coarse.size)
    slopes = [
        (_mean_at(fit, params + step, some, coarse.size) - base) / 0.1
        for step in 0.1 * np.diag(sds)
    ]
    # slopes are per standard deviation, so the covariance enters as a correlation
    correlation = fit.results.cov_params() / np.outer(sds, sds)
    table = np.stack(slopes)
    variance = np.einsum("pkd,pq,qkd->kd", table, correlation, table, optimize=True)
    sd = np.sqrt(np.maximum(variance, 0.0))
    between = [np.interp(days, days[coarse], row) for row in sd]
    return np.array(between).reshape(len(sd), days.size) ** 2


def _at_days(columns: Columns, days: int, chosen: Codes) -> Columns:
    def pick(part: Floats) -> Floats:
        return _flat(part.reshape(len(part) // days, days, *part.shape[1:])[:, chosen])

    return Columns(
        pick(columns.plain),
        pick(columns.plain_warm),
        pick(columns.drying),
        pick(columns.drying_warm),
    )


def _mean_at(fit: Fit, params: Floats, now: _Now, days: int) -> Floats:
    model = fit.model
    found = evaluate(params, model.design, model.moorings, model.trust)
    return _course(fit, found, pace_effects(model.design, found), now, days).mean


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
    nodes, weights = np.polynomial.hermite_e.hermegauss(NODES)
    place = np.searchsorted(hulls, hull)
    total = np.zeros((hulls.size, path.mean.shape[1]))
    for node, weight in zip(nodes, weights / weights.sum(), strict=True):
        sound = 1 - ndtr((path.mean + node * path.shared_sd - 1.0) / path.own_sd)
        log_sound = np.zeros_like(total)
        np.add.at(log_sound, place, np.log(np.maximum(sound, 1e-300)))
        total += weight * -np.expm1(log_sound)
    chance = np.maximum.accumulate(np.clip(total, 0.0, 1.0), axis=1)
    least = np.zeros_like(total)
    np.maximum.at(least, place, path.chance)
    return np.maximum(LEAST_CHANCE + (1 - 2 * LEAST_CHANCE) * chance, least)
