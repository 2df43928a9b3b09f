"""How the use of a fleet goes through the year, and how far a season may stray from it."""

from __future__ import annotations

import numpy as np

from corrosion.common import WHOLE_YEAR_DAYS, YEAR_DAYS, Floats
from corrosion.forecast.usage_regression import HABIT_DAYS

WAVE_HELD_DAYS = 40.0
SEASON_SPREAD = 0.25
SEASON_DAYS = 90.0
"""Use strays from what is expected, by SEASON_SPREAD far ahead, a third of it at SEASON_DAYS."""


def season_spread(days: Floats) -> Floats:
    """Return how far the whole fleet's use strays from what is expected, as a share, by days."""
    return np.asarray(SEASON_SPREAD * (days / (days + SEASON_DAYS)) ** 1.5)


def shared_spread(days: Floats, stormy: Floats, by_habit: float) -> Floats:
    """Return the same with the weeks that strayed on record; they even out over several.

    Habit is the mean of a few weeks that strayed too, and carries that ahead.

    Parameters
    ----------
    days : ndarray, days ahead
    stormy : ndarray, same shape, squared share by which the fleet's weeks strayed
    by_habit : float, share of the expected hours that is habit, not bookings
    """
    weeks, behind = np.maximum(days / 7.0, 1.0), HABIT_DAYS / 7.0
    strayed = stormy * (1 / weeks + by_habit**2 / behind)
    return np.asarray(np.sqrt(season_spread(days) ** 2 + strayed))


def season_of_use(daily: Floats, ahead: int) -> Floats:
    """Return the fleet's use ahead over its use of the last four weeks, shape (ahead,).

    Last year's log tells where it reaches; before that a yearly wave through the weeks on
    record, held back where they are few.
    """
    days, fleet = daily.shape[1], daily.sum(axis=0)
    if fleet[-HABIT_DAYS:].sum() <= 0:
        return np.ones(ahead)
    wave = _yearly_wave(fleet, ahead)
    last_year = _last_year(fleet, ahead)
    on_record = np.isfinite(last_year)
    share = np.clip((days - WHOLE_YEAR_DAYS) / HABIT_DAYS, 0.0, 1.0)
    blend = np.where(
        on_record, share * np.where(on_record, last_year, 0.0) + (1 - share) * wave, wave
    )
    return np.clip(blend, 0.05, 4.0)


def _yearly_wave(fleet: Floats, ahead: int) -> Floats:
    days = np.arange(fleet.size + ahead) - fleet.size
    turn = 2 * np.pi * days / YEAR_DAYS
    waves = np.column_stack([np.ones(days.size), np.cos(turn), np.sin(turn)])
    seen, level = waves[: fleet.size], float(fleet.mean())
    precision = np.diag([0.0, WAVE_HELD_DAYS, WAVE_HELD_DAYS]) + seen.T @ seen
    path = waves @ np.linalg.solve(precision, seen.T @ fleet)
    path = np.maximum(path, 0.05 * level)
    return np.asarray(path[fleet.size :] / path[fleet.size - HABIT_DAYS : fleet.size].mean())


def _last_year(fleet: Floats, ahead: int) -> Floats:
    a_year_ago = np.full(ahead, np.nan)
    days, year = fleet.size, WHOLE_YEAR_DAYS
    if days <= year:
        return a_year_ago
    smooth = np.convolve(fleet, np.ones(15), mode="same") / np.convolve(
        np.ones(days), np.ones(15), mode="same"
    )
    floor = 0.05 * fleet.mean()
    then = smooth[max(days - year - HABIT_DAYS, 0) : days - year].mean()
    following = smooth[days - year :][:ahead]
    a_year_ago[: following.size] = (following + floor) / (then + floor)
    return a_year_ago
