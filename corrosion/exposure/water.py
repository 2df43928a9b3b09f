"""Water temperature at each mooring, as far as it was sampled."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import HOURS_A_DAY, YEAR_H, Codes, Floats, hours_since_epoch

REFERENCE_C = 15.0
FREEZING_C = -2.0
WAVE_PRIOR_C = np.array([4.0, 7.0, 7.0])
"""How far a yearly mean may lie from the samples' mean, and how large a season may be, C."""
WAVE_NOISE_C = 1.5


@dataclass(frozen=True)
class WaterTemperature:
    """Daily water temperature above 15 C at each mooring, and its running integral.

    A mooring that was never sampled takes the mean of the sampled ones; a fleet without
    samples reads as 15 C throughout, so that the temperature coefficient does nothing.

    Attributes
    ----------
    first_h : float, hours since 1970 of the first day of the grid
    degrees : ndarray, shape (moorings, days), C above 15 C at the start of each day
    integral : ndarray, shape (moorings, days), degree hours since `first_h`
    """

    first_h: float
    degrees: Floats
    integral: Floats

    def at(self, mooring: Codes, at_h: Floats) -> Floats:
        """Return degrees above 15 C, shape (n,), at mooring codes and hours, shapes (n,)."""
        day, part = self._place(at_h)
        that_day, following = self.degrees[mooring, day], self.degrees[mooring, day + 1]
        return np.asarray(that_day + part * (following - that_day))

    def until(self, mooring: Codes, at_h: Floats) -> Floats:
        """Return degree hours, shape (n,), gathered from the start of the grid until `at_h`."""
        day, part = self._place(at_h)
        before, after = self.integral[mooring, day], self.integral[mooring, day + 1]
        return np.asarray(before + part * (after - before))

    def agrees_until(self, other: WaterTemperature, last_h: float) -> bool:
        """Whether the other says the same of every moment before `last_h`, digit by digit."""
        days = min(self.degrees.shape[1], other.degrees.shape[1])
        return (
            self.first_h == other.first_h
            and last_h < self.first_h + (days - 1) * HOURS_A_DAY
            and np.array_equal(self.degrees[:, :days], other.degrees[:, :days])
        )

    def _place(self, at_h: Floats) -> tuple[Codes, Floats]:
        days = np.clip((at_h - self.first_h) / HOURS_A_DAY, 0.0, self.degrees.shape[1] - 1 - 1e-9)
        day = days.astype(np.intp)
        return day, days - day


def water_temperature(
    samples: pd.DataFrame, mooring_ids: pd.Index, first_h: float, last_h: float
) -> WaterTemperature:
    """Interpolate the sampled temperatures to days, holding the first and the last sample.

    Parameters
    ----------
    samples : DataFrame with mooring_id, sampled_at (UTC), temperature_c
    mooring_ids : Index, shape (m,)
    first_h, last_h : float, hours since 1970 that the grid must cover

    Returns
    -------
    WaterTemperature
    """
    grid = np.arange(first_h, last_h + 2 * HOURS_A_DAY, HOURS_A_DAY)
    known = samples.dropna(subset=["temperature_c", "sampled_at"])
    code = mooring_ids.get_indexer(pd.Index(known["mooring_id"]))
    at = hours_since_epoch(known["sampled_at"])
    rows = [
        _interpolated(at[code == m], known["temperature_c"].to_numpy(float)[code == m], grid)
        for m in range(len(mooring_ids))
    ]
    table = np.array(rows).reshape(len(mooring_ids), grid.size)
    table = np.where(np.isnan(table), _mean_of_known(table), table) - REFERENCE_C
    steps = (table[:, 1:] + table[:, :-1]) / 2 * HOURS_A_DAY
    integral = np.concatenate([np.zeros((len(table), 1)), np.cumsum(steps, axis=1)], axis=1)
    return WaterTemperature(first_h, table, integral)


def _interpolated(at_h: Floats, value_c: Floats, grid: Floats) -> Floats:
    if at_h.size == 0:
        return np.full(grid.size, np.nan)
    order = np.argsort(at_h, kind="stable")
    return np.asarray(np.interp(grid, at_h[order], value_c[order]))


def _mean_of_known(table: Floats) -> Floats:
    known = ~np.isnan(table)
    total, count = np.where(known, table, 0.0).sum(axis=0), known.sum(axis=0)
    return np.asarray(np.where(count > 0, total / np.maximum(count, 1), REFERENCE_C))


def temperature_ahead(
    samples: pd.DataFrame, mooring_ids: pd.Index, on_h: float, ahead_h: Floats
) -> Floats:
    """Say how warm the water will be, from the season so far and the year on record.

    A yearly wave is fitted, held back where only part of a year is on record; the last weeks'
    departure from it dies out within a month.

    Parameters
    ----------
    samples : DataFrame with mooring_id, sampled_at (UTC), temperature_c
    mooring_ids : Index, shape (m,)
    on_h : float, hours since 1970 of the moment of the forecast
    ahead_h : ndarray, shape (d,), hours ahead of that moment

    Returns
    -------
    ndarray, shape (m, d), C above 15 C; 0 where nothing is known
    """
    known = samples.dropna(subset=["temperature_c", "sampled_at"])
    code = mooring_ids.get_indexer(pd.Index(known["mooring_id"]))
    at, value = hours_since_epoch(known["sampled_at"]), known["temperature_c"].to_numpy(float)
    rows = [
        _one_ahead(at[code == m], value[code == m], on_h, ahead_h) for m in range(len(mooring_ids))
    ]
    table = np.array(rows).reshape(len(mooring_ids), ahead_h.size)
    return np.asarray(np.where(np.isnan(table), _mean_of_known(table), table) - REFERENCE_C)


def _one_ahead(at_h: Floats, value_c: Floats, on_h: float, ahead_h: Floats) -> Floats:
    """Return the yearly wave that the samples bear out, and the last departure, fading."""
    if at_h.size == 0:
        return np.full(ahead_h.size, np.nan)
    level = float(value_c.mean())
    waves = _waves(at_h)
    # level, cosine and sine each have a prior, so that half a season does not invent a winter
    precision = np.diag((WAVE_NOISE_C / WAVE_PRIOR_C) ** 2) + waves.T @ waves
    wave = np.linalg.solve(precision, waves.T @ (value_c - level))
    recent = at_h > at_h.max() - 21 * HOURS_A_DAY
    departure = float((value_c - level - waves @ wave)[recent].mean())
    fading = np.exp(-ahead_h / (30 * HOURS_A_DAY))
    path = level + _waves(on_h + ahead_h) @ wave + departure * fading
    return np.asarray(np.clip(path, FREEZING_C, value_c.max() + 6.0))


def _waves(at_h: Floats) -> Floats:
    turn = 2 * np.pi * at_h / YEAR_H
    return np.column_stack([np.ones_like(turn), np.cos(turn), np.sin(turn)])
