"""What an anode was worn between its looks, as the fit sees it once all of them are in.

The forward filter of `corrosion.life_model.kalman` says what a look told until then; a path that
is drawn through the looks wants the later ones too. One anode, any moments: a fixed-interval
smoother over looks and moments together (Rauch, Tung and Striebel 1965; Durbin & Koopman, Time
Series Analysis by State Space Methods, 2nd ed., chapter 4).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from corrosion.common import Floats
from corrosion.life_model.clock_terms import wearing_columns
from corrosion.life_model.fitting import Fit
from corrosion.life_model.robust_weights import pace_effects
from corrosion.life_model.surface import surface_lost
from corrosion.life_model.wear_acceleration import bent_back, slope


@dataclass(frozen=True)
class Between:
    """Worn share at some moments of a life, all its looks heeded.

    Attributes
    ----------
    worn, sd : ndarray, shape (m,), share of the allowance, and its standard deviation
    clock : ndarray, shape (m,), wear clock since the start, share of the allowance
    last_look_h : float, hours since 1970; NaN where nobody ever looked
    """

    worn: Floats
    sd: Floats
    clock: Floats
    last_look_h: float


def worn_between_looks(fit: Fit, place: int, at_h: Floats) -> Between:
    """Follow one anode through its looks.

    Parameters
    ----------
    fit : Fit
    place : int, the life's place in the filter (`Steps.lives`)
    at_h : ndarray, shape (m,), moments since the life's start, hours since 1970, ascending

    Returns
    -------
    Between
    """
    design, evaluation = fit.model.design, fit.results.evaluation
    mine = np.flatnonzero(design.life == place)
    look_h = fit.lives.looks["at_h"].to_numpy(float)[design.steps.order][mine]
    clock = np.concatenate([evaluation.clock[mine], _clock(fit, place, at_h)])
    seen = np.concatenate([np.ones(mine.size, bool), np.zeros(at_h.size, bool)])
    order = np.lexsort((~seen, np.concatenate([look_h, at_h])))
    value = np.full(clock.size, np.nan)
    value[: mine.size] = design.worn[mine] - design.start_worn[place] - evaluation.clock[mine]
    error, jump, unsure = (np.zeros(clock.size) for _ in range(3))
    error[: mine.size], jump[: mine.size] = evaluation.error[mine], design.jump[mine]
    gained = np.maximum(np.diff(evaluation.clock[mine], prepend=0.0), 0.0)
    unsure[: mine.size] = design.unsure[mine] * gained
    step = np.maximum(np.diff(clock[order], prepend=0.0), 0.0)
    drift = (evaluation.rates.process_sd**2 + _until_next(unsure[order], seen[order])) * step
    start = design.start_error[place]
    start += (evaluation.rates.reading_mm * design.start_caliper[place]) ** 2
    both = np.stack([value, np.where(seen, clock, np.nan)])[:, order]
    state, variance = smoothed(both, error[order], drift + jump[order], float(start))
    effect = pace_effects(design, evaluation)
    reach = clock[order] - state[1]
    mean = design.start_worn[place] + clock[order] + state[0] + effect.own[place] * reach
    sd = np.sqrt(variance + effect.own_variance[place] * reach**2)
    unread = ~seen[order]
    worn = bent_back(mean[unread], design.growth)
    last = float(look_h.max()) if look_h.size else float("nan")
    return Between(worn, sd[unread] / slope(worn, design.growth), clock[order][unread], last)


def smoothed(looks: Floats, error: Floats, drift: Floats, start: float) -> tuple[Floats, Floats]:
    """Smooth a random walk seen with error.

    Parameters
    ----------
    looks : ndarray, shape (c, n), columns that go through the same filter; NaN where nobody looked
    error : ndarray, shape (n,), variance of each look
    drift : ndarray, shape (n,), variance that the walk gathers before each moment
    start : float, variance of the walk at its start, where it is 0

    Returns
    -------
    state : ndarray, shape (c, n)
    variance : ndarray, shape (n,)
    """
    n = drift.size
    state, variance, ahead = np.zeros(looks.shape), np.zeros(n), np.zeros(n)
    x, p = np.zeros(len(looks)), start
    for i in range(n):
        p += drift[i]
        ahead[i] = p
        if not np.isnan(looks[0, i]):
            weight = p / (p + error[i])
            x, p = x + weight * (looks[:, i] - x), p * (1 - weight)
        state[:, i], variance[i] = x, p
    for i in range(n - 2, -1, -1):
        back = variance[i] / max(ahead[i + 1], 1e-300)
        state[:, i] += back * (state[:, i + 1] - state[:, i])
        variance[i] += back**2 * (variance[i + 1] - ahead[i + 1])
    return state, np.maximum(variance, 0.0)


def _clock(fit: Fit, place: int, at_h: Floats) -> Floats:
    """Return the wear clock of one life at some moments."""
    design, rates = fit.model.design, fit.results.evaluation.rates
    life = fit.lives.lives.iloc[design.steps.lives[place]]
    hull = np.full(at_h.size, design.hull[place])
    hours = fit.exposure.between(hull, np.full(at_h.size, float(life["start_h"])), at_h)
    engine = np.full(at_h.size, life["circuit"] == "engine")
    surface = surface_lost(wearing_columns(design.terms, hours, engine), design.terms, rates)
    return np.asarray(rates.share_per_mm[design.position[place]] * surface.mm)


def _until_next(unsure: Floats, seen: np.ndarray) -> Floats:
    """Spread what is not known of the use between two looks over the moments between them."""
    spread, upcoming = np.zeros(unsure.size), 0.0
    for i in range(unsure.size - 1, -1, -1):
        upcoming = unsure[i] if seen[i] else upcoming
        spread[i] = upcoming
    return spread
