"""How each anode goes on from here: days past its limit, its due date, and a new part after it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.special import ndtr, ndtri

from corrosion.common import Floats
from corrosion.forecast import LEAST_CHANCE, Forecast

FARTHEST_DAYS = 36500.0
LEAST_LIFE_DAYS = 5.0
LEAST_SPREAD = 0.08
"""Share by which a new anode's wear strays at least; no two wear alike."""
KNEE_DAYS = 60.0
SLOWEST_A_DAY = 1e-7
YEAR_STEPS = 12
"""Steps of the grid, months apart at its end, that make a year."""


@dataclass(frozen=True)
class Prospects:
    """Anodes in service that were ever seen, by hull and position.

    Attributes
    ----------
    anodes : DataFrame, k rows: the forecast's columns and those of `Prices.positions`
    grid : ndarray, shape (d,), days ahead
    worn : ndarray, shape (k, d), expected worn share, never falling
    sd : ndarray, shape (k, d)
    chance : ndarray, shape (k, d), chance that the limit is reached, its floor taken off
    past : ndarray, shape (k, d), expected days past the limit until then
    over : ndarray, shape (k, d), the same of days on which the chance is over the tolerated risk
    spread : ndarray, shape (k,), how far a new anode's wear strays from what is expected, share
    """

    anodes: pd.DataFrame
    grid: Floats
    worn: Floats
    sd: Floats
    chance: Floats
    past: Floats
    over: Floats
    spread: Floats

    @cached_property
    def cells(self) -> dict[str, npt.NDArray[Any]]:
        """Return the columns of `anodes` as arrays, which are quicker to take rows from."""
        return {str(name): self.anodes[name].to_numpy() for name in self.anodes}

    @cached_property
    def rising(self) -> Floats:
        """Return worn shares with a whisker of slope: one that rests is looked up all the same."""
        return np.asarray(self.worn + SLOWEST_A_DAY * self.grid)

    def days_past(self, row: int, until: Floats) -> Floats:
        """Return the expected days past the limit by some days ahead."""
        return np.asarray(np.interp(until, self.grid, self.past[row]))

    def days_over(self, row: int, until: Floats) -> Floats:
        """Return the days past the limit, those alone over the tolerated risk counted."""
        return np.asarray(np.interp(until, self.grid, self.over[row]))

    def chance_at(self, row: int, until: Floats | float) -> Floats:
        """Return the chance that the limit is reached by some days ahead."""
        return np.asarray(np.interp(until, self.grid, self.chance[row]))

    def when_chance(self, row: int, level: float) -> float:
        """Return the days until the chance reaches a level; with its worn share beyond the grid."""
        days = _crossing(self.chance[row], self.grid, level)
        return days if np.isfinite(days) else float(self.when_worn(row, 1.0))

    def when_worn(self, row: int, share: Floats | float) -> Floats:
        """Return the days until a worn share is expected."""
        rising = self.rising[row]
        a_day = (rising[-1] - rising[-1 - YEAR_STEPS]) / (
            self.grid[-1] - self.grid[-1 - YEAR_STEPS]
        )
        beyond = self.grid[-1] + (share - rising[-1]) / a_day
        days = np.where(share > rising[-1], beyond, np.interp(share, rising, self.grid))
        return np.minimum(days, FARTHEST_DAYS)

    def new_lasts_until(self, row: int, fitted: Floats, level: float | None = None) -> Floats:
        """Return the days ahead until which a new anode, fitted on some day, lasts.

        Parameters
        ----------
        row : int
        fitted : ndarray, days ahead
        level : float, chance of being at its limit that counts as the end; None: its middle life

        Returns
        -------
        ndarray
        """
        share = 1.0
        if level is not None:
            share = 1.0 / (1.0 + max(-float(ndtri(level)), 0.0) * self.spread[row])
        then = np.interp(fitted, self.grid, self.rising[row])
        return np.maximum(self.when_worn(row, then + share), fitted + LEAST_LIFE_DAYS)

    def new_chance(self, row: int, fitted: float, until: float) -> float:
        """Return the chance that an anode fitted on some day ahead is at its limit by another."""
        then, later = np.interp([fitted, until], self.grid, self.worn[row])
        grown = max(later - then, 1e-6)
        return float(ndtr((grown - 1.0) / (self.spread[row] * grown + 0.02)))


def prospects(
    forecast: Forecast, positions: pd.DataFrame, anode_sd: float, tolerated_risk: float
) -> Prospects:
    """Gather what the forecast says of every anode that was ever seen.

    Parameters
    ----------
    forecast : Forecast
    positions : DataFrame, `Prices.positions`
    anode_sd : float, spread of anodes' own rates, share
    tolerated_risk : float

    Returns
    -------
    Prospects
    """
    grid, table = forecast.day_grid, forecast.anodes.drop(columns="circuit")
    table = table.assign(row=np.arange(len(table)))
    table = table[np.isfinite(forecast.chance[:, 0])]
    table = table.merge(positions, on=["layout", "position"], how="inner")
    table = table.sort_values(["hull_id", "order"], kind="stable").reset_index(drop=True)
    rows = table["row"].to_numpy(np.intp)
    chance = (forecast.chance[rows] - LEAST_CHANCE) / (1 - 2 * LEAST_CHANCE)
    chance = np.clip(np.where(chance < 1e-9, 0.0, chance), 0.0, 1.0)
    worn = np.maximum.accumulate(forecast.worn_mean[rows], axis=1)
    sd = forecast.worn_sd[rows]
    past = added_up(chance, grid)
    over = added_up(np.where(chance > tolerated_risk, chance, 0.0), grid)
    return Prospects(table, grid, worn, sd, chance, past, over, _spread(worn, sd, grid, anode_sd))


def brought_forward(
    ahead: Prospects, faster: Floats, since_days: Floats, tolerated_risk: float
) -> Prospects:
    """Return prospects of anodes that have begun to wear faster than their forecast knows.

    Their course is gone through so many times as fast, and the part of it since it rose as well.

    Parameters
    ----------
    ahead : Prospects, k anodes
    faster : ndarray, shape (k,), times as fast, 1 for as forecast
    since_days : ndarray, shape (k,), for how many days they have
    tolerated_risk : float
    """
    grid, rows = ahead.grid, np.flatnonzero(faster > 1.0)
    if not rows.size:
        return ahead
    worn, sd, chance = ahead.worn.copy(), ahead.sd.copy(), ahead.chance.copy()
    for row in rows:
        then = np.minimum(faster[row] * grid + (faster[row] - 1.0) * since_days[row], grid[-1])
        for table in (worn, sd, chance):
            table[row] = np.interp(then, grid, table[row])
    over = np.where(chance > tolerated_risk, chance, 0.0)
    return replace(
        ahead, worn=worn, sd=sd, chance=chance, past=added_up(chance, grid),
        over=added_up(over, grid),
    )  # fmt: skip


def added_up(rate: Floats, grid: Floats) -> Floats:
    """Return the running total of a rate a day, shape (..., d), by the trapezium rule."""
    steps = np.diff(grid) * (rate[..., 1:] + rate[..., :-1]) / 2
    return np.concatenate([np.zeros_like(rate[..., :1]), np.cumsum(steps, axis=-1)], axis=-1)


def _spread(worn: Floats, sd: Floats, grid: Floats, anode_sd: float) -> Floats:
    """Return how far wear to come strays, as a share of it, with a new anode's own rate in it."""
    knee = int(np.searchsorted(grid, KNEE_DAYS))
    grown = np.maximum(worn[:, knee] - worn[:, 0], 0.02)
    strays = np.sqrt(np.maximum(sd[:, knee] ** 2 - sd[:, 0] ** 2, 0.0)) / grown
    return np.clip(np.hypot(strays, anode_sd), LEAST_SPREAD, 0.5)


def _crossing(chance: Floats, grid: Floats, level: float) -> float:
    reached = np.flatnonzero(chance >= level)
    if not reached.size:
        return np.inf
    at = int(reached[0])
    if at == 0:
        return 0.0
    low, high = chance[at - 1], chance[at]
    return float(grid[at - 1] + (level - low) / (high - low) * (grid[at] - grid[at - 1]))
