"""Seasons drawn from the forecast: how each anode might go on, week by week."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from corrosion.common import Codes, Floats, hours_since_epoch
from corrosion.forecast import STATES, Ahead, Appraisal, Paths, project_wear, use_ahead
from corrosion.life_model import UNEVEN, Design
from corrosion.workshop.parts.habit import look_gaps
from corrosion.workshop.plan.prices import Prices

WEEK_DAYS = 7.0
MOST_CELLS = 60_000
FEWEST_DRAWS, MOST_DRAWS = 20, 120
MOST_LIVES = 8
"""New anodes drawn for each place; one that would need more wears as the last of them."""
LONGEST_LIFE_WEEKS = 156
LEAST_PACE_SD = 0.05
Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Season:
    """Anodes in service, what is known of them, and seasons that might come.

    Attributes
    ----------
    anodes : DataFrame, k rows: hull_id, position and what `Prices.positions` says of it, sorted by
        hull
    hull : ndarray of int, shape (k,), number of the anode's hull, from 0
    weeks : int
    worn : ndarray, shape (n, k, weeks + 1), worn share drawn, from now on, if nobody touches it
    known : ndarray, shape (k, weeks + 1), the same as expected; `known_sd` its spread
    known_sd : ndarray, shape (k, weeks + 1)
    pace : ndarray, shape (n, k, MOST_LIVES), how the wear of each later anode strays, 1 in middle
    age_days, age_h : ndarray, shape (k,), days and engine hours in service so far
    hours : ndarray, shape (k, weeks + 1), engine hours expected from now on
    gap_days : ndarray, shape (k,), days between looks
    reading_sd : ndarray, shape (k,), error of a reading, share of the allowance
    used : ndarray, shape (n, k, weeks + 1), part of `worn` that the luck of use makes, which the
        logs of outings show as it happens
    growth : float, how much faster a spent anode wears; shares here are even shares of a life
    walk : float, variance of the worn share for each allowance worn off: wear comes unevenly
    """

    anodes: pd.DataFrame
    hull: Codes
    weeks: int
    worn: Floats
    known: Floats
    known_sd: Floats
    pace: Floats
    age_days: Floats
    age_h: Floats
    hours: Floats
    gap_days: Floats
    reading_sd: Floats
    walk: float
    used: Floats
    growth: float

    def any_of_hull(self, anodes: Flags) -> Flags:
        """Spread a wish of any anode over its hull, shape (n, k)."""
        wanted = np.logical_or.reduceat(anodes, self.starts, axis=1)
        return np.asarray(wanted[:, self.hull])

    @property
    def starts(self) -> Codes:
        """Return the first row of each hull."""
        return np.flatnonzero(np.diff(self.hull, prepend=-1)).astype(np.intp)


def draw_season(appraisal: Appraisal, prices: Prices, weeks: int, seed: int = 1) -> Season:
    """Draw seasons from what the forecast knows and does not know.

    The fleet's luck is one draw for all anodes, a hull's for its own, an anode's for itself; each
    holds for the whole season, so that a fast hull stays fast.

    Parameters
    ----------
    appraisal : Appraisal
    prices : Prices, for the anodes' costs
    weeks : int
    seed : int, same seed, same seasons

    Returns
    -------
    Season
    """
    fit, checked = appraisal.life, appraisal.checked
    ahead = use_ahead(checked, appraisal.exposure)
    path, design = project_wear(fit, checked, ahead), fit.model.design
    at = np.linspace(0.0, WEEK_DAYS * weeks, weeks + 1)
    lives = fit.lives.lives.iloc[design.steps.lives[path.lives]].reset_index(drop=True)
    table = lives[["hull_id", "position", "layout", "start_h", "allowance_mm"]]
    table = table.assign(row=np.arange(len(table)), code=design.hull[path.lives])
    table = table.merge(prices.positions, on=["layout", "position"], how="inner")
    table = table.sort_values(["hull_id", "order"], kind="stable").reset_index(drop=True)
    rows, code = table["row"].to_numpy(np.intp), table["code"].to_numpy(np.intp)
    hull = pd.factorize(table["hull_id"])[0].astype(np.intp)
    now_h = float(hours_since_epoch(pd.DatetimeIndex([checked.logbook.on]))[0])
    start_h = table["start_h"].to_numpy(float)
    so_far = appraisal.exposure.between(code, start_h, np.full(len(code), now_h))
    running = (appraisal.exposure.cells["state"] == "running").to_numpy(bool)
    known, known_sd = _at(path.mean, ahead, rows, at), _at(path.sd, ahead, rows, at)
    rng = np.random.default_rng(seed)
    count = int(np.clip(MOST_CELLS // max(len(table), 1), FEWEST_DRAWS, MOST_DRAWS))
    walk = UNEVEN * float(fit.results.evaluation.rates.process_sd) ** 2
    anode_sd = max(float(fit.results.evaluation.rates.anode_sd), LEAST_PACE_SD)
    engine_h = ahead.engine_h[code]
    worn, used = _drawn(path, ahead, _Places(rows, hull, code), at, (count, walk), rng)
    return Season(
        anodes=table, hull=hull, weeks=weeks,
        worn=worn, used=used, growth=path.growth,
        known=np.maximum.accumulate(known, axis=1), known_sd=known_sd,
        pace=np.exp(anode_sd * rng.normal(size=(count, len(table), MOST_LIVES))),
        age_days=(now_h - start_h) / 24.0,
        age_h=so_far.plain[:, running[: so_far.plain.shape[1]]].sum(axis=1),
        hours=np.stack([np.interp(at, ahead.days, row) for row in engine_h]),
        gap_days=look_gaps(checked, table, engine_h[:, _index(ahead, 28.0)] / 28.0),
        reading_sd=_reading_sd(design, appraisal, table), walk=walk,
    )  # fmt: skip


def _index(ahead: Ahead, day: float) -> int:
    return int(np.searchsorted(ahead.days, day))


def _at(path: Floats, ahead: Ahead, rows: Codes, days: Floats) -> Floats:
    return np.stack([np.interp(days, ahead.days, row) for row in path[rows]])


def _reading_sd(design: Design, appraisal: Appraisal, table: pd.DataFrame) -> Floats:
    reading_mm = appraisal.fit.evaluation.rates.reading_mm
    return np.asarray(reading_mm / table["allowance_mm"].to_numpy(float))


@dataclass(frozen=True)
class _Places:
    """Of each anode: its row in the paths, the number of its hull here, and the hull's code."""

    rows: Codes
    hull: Codes
    code: Codes


def _drawn(
    path: Paths,
    ahead: Ahead,
    places: _Places,
    days: Floats,
    size: tuple[int, float],
    rng: np.random.Generator,
) -> tuple[Floats, Floats]:
    """Draw worn shares, never falling, and the part of them that the luck of use makes.

    `size` is how many draws, and the variance of the walk; both results have shape (n, k, w).
    """
    (count, walk), rows, hull = size, places.rows, places.hull
    mean, fleet_sd = _at(path.mean, ahead, rows, days), _at(path.fleet_sd, ahead, rows, days)
    shared = _at(path.shared_sd, ahead, rows, days)
    use_sd = np.minimum(_use_sd(path, ahead, places, days), shared)
    fleet_sd = np.minimum(fleet_sd, np.sqrt(np.maximum(shared**2 - use_sd**2, 0.0)))
    hull_sd = np.sqrt(np.maximum(shared**2 - use_sd**2 - fleet_sd**2, 0.0))
    by_hull = rng.normal(size=(2, count, int(hull.max(initial=-1)) + 1))[:, :, hull, None]
    used = by_hull[0] * use_sd
    luck = rng.normal(size=(count, 1, 1)) * fleet_sd + by_hull[1] * hull_sd
    steps = walk * np.maximum(np.diff(mean, axis=1, prepend=mean[:, :1]), 0.0)
    # what is left of the anode's own spread when its uneven wear is drawn week by week
    own_sd = np.sqrt(np.maximum(_at(path.own_sd, ahead, rows, days) ** 2 - steps.cumsum(axis=1), 0))
    own = rng.normal(size=(count, rows.size))[:, :, None] * own_sd
    uneven = np.cumsum(rng.normal(size=(count, *steps.shape)) * np.sqrt(steps), axis=2)
    return np.maximum.accumulate(mean + luck + used + own + uneven, axis=2), used


def _use_sd(path: Paths, ahead: Ahead, places: _Places, days: Floats) -> Floats:
    """Return the spread of the worn share that the spread of use makes, shape (k, w)."""
    mean = _at(path.mean, ahead, places.rows, days)
    lying = path.clocks[places.rows, STATES.index("afloat")]
    engine = 1.0 - lying / np.maximum(path.clocks[places.rows].sum(axis=1), 1e-12)
    spread = np.stack([np.interp(days, ahead.days, row) for row in ahead.spread[places.code]])
    return np.asarray(engine[:, None] * np.maximum(mean - mean[:, :1], 0.0) * spread)
