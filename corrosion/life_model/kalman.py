"""Follow the worn share of many anodes through their looks: a filter, its gradient, a smoother.

Given its rate, an anode's worn share is a random walk in its own wear clock seen with reading
error, so a scalar Kalman filter per anode gives the exact likelihood: the reading error that two
neighbouring differences share is not counted twice. All anodes take their first look together,
then their second, and so on; both the residuals and the wear clock go through the same filter,
which leaves the hull's and the anode's own rate to be integrated out in closed form.

Source of the filter and of the disturbance smoother: Durbin & Koopman, Time Series Analysis by
State Space Methods (2nd ed.), chapters 2 and 4.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Codes = npt.NDArray[np.intp]


@dataclass(frozen=True)
class Steps:
    """Looks laid out step by step: all first looks, then all second looks, and so on.

    Attributes
    ----------
    order : ndarray of int, shape (n,), look row (sorted by life and time) at each place
    life : ndarray of int, shape (n,), place of the look's life in the filter, 0 the most looked at
    bounds : ndarray of int, shape (steps + 1,), where each step begins
    lives : ndarray of int, shape (k,), life number at each place
    """

    order: Codes
    life: Codes
    bounds: Codes
    lives: Codes

    @cached_property
    def slices(self) -> list[slice]:
        """Return the places of each step's looks."""
        return [slice(a, b) for a, b in pairwise(self.bounds.tolist())]


def lay_out(life: Codes, lives: int) -> Steps:
    """Lay looks out step by step.

    Parameters
    ----------
    life : ndarray of int, shape (n,), the life of each look, ascending
    lives : int, how many lives there are, looked at or not

    Returns
    -------
    Steps
    """
    counts = np.bincount(life, minlength=lives)
    by_count = np.argsort(-counts, kind="stable")
    place = np.empty(lives, dtype=np.intp)
    place[by_count] = np.arange(lives)
    first = np.cumsum(counts) - counts
    step = np.arange(life.size) - first[life]
    order = np.lexsort((place[life], step))
    bounds = np.concatenate([[0], np.cumsum(np.bincount(step))]).astype(np.intp)
    return Steps(order, place[life][order], bounds, by_count)


@dataclass(frozen=True)
class Track:
    """What the filter leaves behind; looks in step order, lives in place order.

    Attributes
    ----------
    residual, clock : ndarray, shape (n,), innovations of the residuals and of the wear clock
    spread : ndarray, shape (n,), innovation variance
    gain, ahead : ndarray, shape (n,), Kalman gain; state variance before the look
    state, state_clock, variance : ndarray, shape (k,), filtered state at the last look
    log_spread, clock_clock, clock_residual, residual_residual : ndarray, shape (k,), sums over
        looks of log S, f f / S, f v / S, v v / S
    """

    residual: Floats
    clock: Floats
    spread: Floats
    gain: Floats
    ahead: Floats
    state: Floats
    state_clock: Floats
    variance: Floats
    log_spread: Floats
    clock_clock: Floats
    clock_residual: Floats
    residual_residual: Floats


def follow(
    steps: Steps,
    residual: Floats,
    clock: Floats,
    drift: Floats,
    error: Floats,
    start: Floats,
) -> Track:
    """Run the filter over all anodes.

    Parameters
    ----------
    steps : Steps
    residual : ndarray, shape (n,), look minus start minus wear clock, in step order
    clock : ndarray, shape (n,), wear clock since the start
    drift : ndarray, shape (n,), process variance gathered since the look before
    error : ndarray, shape (n,), variance of the look
    start : ndarray, shape (k,), variance of the size at the start, in place order

    Returns
    -------
    Track
    """
    k = start.size
    x, m, variance = np.zeros(k), np.zeros(k), start.copy()
    v, f, s = np.empty_like(residual), np.empty_like(residual), np.empty_like(residual)
    gain, ahead = np.empty_like(residual), np.empty_like(residual)
    for part in steps.slices:
        size = part.stop - part.start
        before = variance[:size] + drift[part]
        spread = before + error[part]
        weight = before / spread
        v[part] = residual[part] - x[:size]
        f[part] = clock[part] - m[:size]
        x[:size] += weight * v[part]
        m[:size] += weight * f[part]
        variance[:size] = weight * error[part]
        s[part], gain[part], ahead[part] = spread, weight, before

    def total(values: Floats) -> Floats:
        return np.bincount(steps.life, values, minlength=k).astype(float)

    fs = f / s
    return Track(
        v, f, s, gain, ahead, x, m, variance,
        total(np.log(s)), total(fs * f), total(fs * v), total(v * v / s),
    )  # fmt: skip


@dataclass(frozen=True)
class Slopes:
    """Gradient of an objective with respect to what went into the filter (same shapes)."""

    residual: Floats
    clock: Floats
    drift: Floats
    error: Floats
    start: Floats


def slopes(
    steps: Steps, track: Track, error: Floats, by_clock_clock: Floats, by_clock_residual: Floats
) -> Slopes:
    """Differentiate ``(log_spread + residual_residual) / 2 + g(clock_clock, clock_residual)``.

    Parameters
    ----------
    steps : Steps
    track : Track, what `follow` returned
    error : ndarray, shape (n,), variance of each look, as given to `follow`
    by_clock_clock, by_clock_residual : ndarray, shape (k,), derivatives of g

    Returns
    -------
    Slopes
    """
    k = track.state.size
    n = track.residual.size
    xb, mb, pb = np.zeros(k), np.zeros(k), np.zeros(k)
    residual, clock, drift, err = np.empty(n), np.empty(n), np.empty(n), np.empty(n)
    ga, gb = by_clock_clock[steps.life], by_clock_residual[steps.life]
    vs, fs = track.residual / track.spread, track.clock / track.spread
    by_v = gb * fs + vs
    by_f = 2 * ga * fs + gb * vs
    by_s = 0.5 / track.spread - (ga * fs * fs + gb * fs * vs + 0.5 * vs * vs)
    for part in reversed(steps.slices):
        size = part.stop - part.start
        weight = track.gain[part]
        xs, ms, ps = xb[:size], mb[:size], pb[:size]
        by_weight = xs * track.residual[part] + ms * track.clock[part] + ps * error[part]
        spread_slope = by_s[part] - by_weight * weight / track.spread[part]
        before_slope = by_weight / track.spread[part] + spread_slope
        residual[part] = by_v[part] + xs * weight
        clock[part] = by_f[part] + ms * weight
        err[part] = ps * weight + spread_slope
        drift[part] = before_slope
        xb[:size] = xs - residual[part]
        mb[:size] = ms - clock[part]
        pb[:size] = before_slope
    return Slopes(residual, clock, drift, err, pb)


@dataclass(frozen=True)
class Smooth:
    """Smoothed looks, in step order, shape (n,).

    Attributes
    ----------
    residual, clock : reading error, in units of its variance, of the residuals and of the clock
    precision : its variance in the same units
    jump, jump_clock, jump_precision : the same of a jump in wear just before the look
    """

    residual: Floats
    clock: Floats
    precision: Floats
    jump: Floats
    jump_clock: Floats
    jump_precision: Floats


def smooth(steps: Steps, track: Track) -> Smooth:
    """Run the disturbance smoother backwards over all anodes."""
    k, n = track.state.size, track.residual.size
    r, c, big = np.zeros(k), np.zeros(k), np.zeros(k)
    residual, clock, precision = np.empty(n), np.empty(n), np.empty(n)
    jump, jump_clock, jump_precision = np.empty(n), np.empty(n), np.empty(n)
    for part in reversed(steps.slices):
        size = part.stop - part.start
        weight, spread = track.gain[part], track.spread[part]
        vs, fs = track.residual[part] / spread, track.clock[part] / spread
        residual[part] = vs - weight * r[:size]
        clock[part] = fs - weight * c[:size]
        precision[part] = 1 / spread + weight**2 * big[:size]
        r[:size] = vs + (1 - weight) * r[:size]
        c[:size] = fs + (1 - weight) * c[:size]
        big[:size] = 1 / spread + (1 - weight) ** 2 * big[:size]
        jump[part], jump_clock[part], jump_precision[part] = r[:size], c[:size], big[:size]
    return Smooth(residual, clock, precision, jump, jump_clock, jump_precision)


def whiten(steps: Steps, track: Track, columns: Floats) -> Floats:
    """Send further columns through the filter, shape (n, p), scaled to unit variance."""
    state = np.zeros((track.state.size, columns.shape[1]))
    white = np.empty_like(columns)
    for part in steps.slices:
        size = part.stop - part.start
        white[part] = columns[part] - state[:size]
        state[:size] += track.gain[part][:, None] * white[part]
    return np.asarray(white / np.sqrt(track.spread)[:, None])
