"""The likelihood of all looks under the wear clock, with its exact gradient."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from corrosion.common import Floats
from corrosion.life_model.design import BY_EYE, CALIPER, Design
from corrosion.life_model.kalman import Track, follow, slopes
from corrosion.life_model.surface import (
    CellWear,
    Rates,
    Trust,
    layout_of,
    take_apart,
    wear_of_cells,
)

LOG_TWO_PI = float(np.log(2 * np.pi))


@dataclass(frozen=True)
class Evaluation:
    """One look at the likelihood: its value, gradient and what the forecast starts from.

    Attributes
    ----------
    value : float, log likelihood
    gradient : ndarray, shape (p,)
    track : Track
    rates : Rates
    clock : ndarray, shape (n,), wear clock at each look (share of the allowance)
    error : ndarray, shape (n,), variance of each look
    shrink : ndarray, shape (k,), 1 / (1 + anode variance * clock_clock)
    anode_variance : ndarray, shape (k,); hull_variance : ndarray, shape (hulls,)
    hull_clock, hull_residual : ndarray, shape (hulls,), sums over a hull's anodes
    """

    value: float
    gradient: Floats
    track: Track
    rates: Rates
    clock: Floats
    error: Floats
    shrink: Floats
    anode_variance: Floats
    hull_variance: Floats
    hull_clock: Floats
    hull_residual: Floats


def _look_variance(design: Design, rates: Rates) -> Floats:
    scale = np.array([rates.reading_mm, rates.by_eye, 1.0]) ** 2
    return np.asarray(scale[design.kind] * design.own_error / design.trust)


def _since_before(clock: Floats, design: Design) -> Floats:
    """Return what the clock gained since the look before, in step order."""
    gained = clock.copy()
    parts = design.steps.slices
    for earlier, later in pairwise(parts):
        size = later.stop - later.start
        gained[later] -= clock[earlier][:size]
    return gained


def _passed_back(slope: Floats, design: Design) -> Floats:
    """Return the gradient by the clock of a gradient by what it gained (the transpose)."""
    back = slope.copy()
    parts = design.steps.slices
    for earlier, later in pairwise(parts):
        size = later.stop - later.start
        back[earlier][:size] -= slope[later]
    return back


def evaluate(
    params: Floats, design: Design, moorings: int, trust: Trust, *, sloped: bool = True
) -> Evaluation:
    """Return the log likelihood of all looks and its gradient.

    Parameters
    ----------
    params : ndarray, shape (p,)
    design : Design
    moorings : int, number of moorings of the fleet
    trust : Trust
    sloped : bool, work out the gradient too; without it the gradient is NaN, in half the time

    Returns
    -------
    Evaluation
    """
    rates = take_apart(params, design, moorings)
    wear = wear_of_cells(design.terms, rates)
    surface_mm = design.hours.times(wear.mm)
    place = rates.share_per_mm[design.position_seen]
    clock = place * surface_mm
    error = _look_variance(design, rates)
    start = design.start_error + (rates.reading_mm * design.start_caliper) ** 2
    gained = np.maximum(_since_before(clock, design), 0.0)
    drift = rates.process_sd**2 * gained + design.unsure * gained**2 + design.jump
    residual = design.since_start - clock
    track = follow(design.steps, residual, clock, drift, error, start)
    effects = _effects(track, design, rates, trust)
    n = design.worn.size
    value = -0.5 * float((track.log_spread + track.residual_residual).sum() + n * LOG_TWO_PI)
    evaluation = Evaluation(
        value + effects.gain, np.full(params.size, np.nan), track, rates, clock, error,
        effects.shrink, effects.anode_variance, effects.hull_variance, effects.hull_clock,
        effects.hull_residual,
    )  # fmt: skip
    if not sloped:
        return evaluation
    back = slopes(design.steps, track, error, effects.by_clock_clock, effects.by_clock_residual)
    by_gained = rates.process_sd**2 * back.drift
    by_gap = by_gained + 2 * design.unsure * gained * back.drift
    by_clock = back.clock - back.residual + _passed_back(by_gap, design)
    gradient = _gradient(design, rates, wear, surface_mm, by_clock * place)
    at = layout_of(design)
    own, eye = design.kind == CALIPER, design.kind == BY_EYE
    start_slope = back.start * (rates.reading_mm * design.start_caliper) ** 2
    gradient[at.shape][2:] = [
        effects.by_log_hull,
        effects.by_log_anode,
        2 * float(by_gained @ gained),
        2 * float((back.error * error)[own].sum() + start_slope.sum()),
        2 * float((back.error * error)[eye].sum()),
    ]
    return replace(evaluation, gradient=-gradient)


def _gradient(
    design: Design, rates: Rates, wear: CellWear, surface_mm: Floats, by_surface: Floats
) -> Floats:
    """Carry the gradient by the surface lost to all parameters of the rates."""
    at = layout_of(design)
    gradient = np.zeros(at.size)
    by_cell = design.hours.summed(by_surface)
    by_rate = by_cell * wear.mm
    group, mooring, alloy = design.terms.packed.T
    gradient[at.position] = np.bincount(
        design.position_seen, by_surface * surface_mm, minlength=len(design.positions)
    )
    gradient[at.weight] = np.bincount(group, by_rate, minlength=len(design.terms.groups))
    by_mooring = np.bincount(mooring, by_rate, minlength=rates.mooring.size)
    gradient[at.mooring] = by_mooring[design.terms.shared_water]
    gradient[at.alloy] = np.bincount(alloy, by_rate, minlength=rates.alloy.size)[1:]
    gradient[at.shape][:2] = [by_cell @ wear.by_kappa, by_cell @ wear.by_log_tau]
    return gradient


@dataclass(frozen=True)
class _Effects:
    gain: float
    by_clock_clock: Floats
    by_clock_residual: Floats
    by_log_hull: float
    by_log_anode: float
    shrink: Floats
    anode_variance: Floats
    hull_variance: Floats
    hull_clock: Floats
    hull_residual: Floats


def _effects(track: Track, design: Design, rates: Rates, trust: Trust) -> _Effects:
    """Integrate anode and hull effects out: two nested rank-one updates.

    Derivatives are of minus the gain, by the sums of each anode and by the log spreads.
    """
    hull = design.hull
    ta, th = rates.anode_sd**2 / trust.anode, rates.hull_sd**2 / trust.hull
    a, b = track.clock_clock, track.clock_residual
    c = 1 / (1 + ta * a)
    big_a: Floats = np.bincount(hull, a * c, minlength=design.hulls).astype(float)
    big_b: Floats = np.bincount(hull, b * c, minlength=design.hulls).astype(float)
    d = 1 / (1 + th * big_a)
    gain = 0.5 * float((np.log(c) + ta * b * b * c).sum() + (np.log(d) + th * big_b**2 * d).sum())
    by_a_hull = (0.5 * (th * d + (th * big_b * d) ** 2))[hull]
    by_b_hull = -(th * big_b * d)[hull]
    by_a = 0.5 * (ta * c + (ta * b * c) ** 2) + by_a_hull * c * c - by_b_hull * b * ta * c * c
    by_b = -(ta * b * c) + by_b_hull * c
    by_ta = 0.5 * (a * c - (b * c) ** 2) - by_a_hull * (a * c) ** 2 - by_b_hull * b * a * c * c
    by_th = 0.5 * (big_a * d - (big_b * d) ** 2)
    return _Effects(
        gain, by_a, by_b, 2 * float(by_th @ th), 2 * float(by_ta @ ta),
        c, ta, th, big_a, big_b,
    )  # fmt: skip


def clock_slopes(design: Design, evaluation: Evaluation) -> Floats:
    """Return the slope of the wear clock by every parameter of the rates, shape (n, q).

    Parameters
    ----------
    design : Design
    evaluation : Evaluation

    Returns
    -------
    ndarray, shape (n, q)
    """
    at, rates = layout_of(design), evaluation.rates
    wear = wear_of_cells(design.terms, rates)
    group, mooring, alloy = design.terms.packed.T
    of_rate = np.concatenate(
        [
            np.equal.outer(group, np.arange(len(design.terms.groups))),
            np.equal.outer(mooring, design.terms.shared_water),
            np.equal.outer(alloy, np.arange(1, rates.alloy.size)),
        ],
        axis=1,
    )
    by_cell = np.column_stack([of_rate * wear.mm[:, None], wear.by_kappa, wear.by_log_tau])
    place = rates.share_per_mm[design.position_seen]
    slopes = np.zeros((design.worn.size, at.shape.start + 2))
    slopes[:, at.weight.start :] = design.hours.times(by_cell)
    slopes[:, at.weight.start :] *= place[:, None]
    slopes[np.arange(design.worn.size), design.position_seen] = evaluation.clock
    return slopes
