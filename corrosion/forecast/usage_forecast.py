"""Use ahead: what each hull will do, from its bookings, its habits and the season."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import HOURS_A_DAY, Codes, Floats, hours_since_epoch
from corrosion.exposure import Exposure, Filling, temperature_ahead
from corrosion.forecast.booking_curve import fill_of_leads, fill_of_shape
from corrosion.forecast.season import season_of_use, season_spread, shared_spread
from corrosion.forecast.usage_regression import HABIT_DAYS, Rule, learn
from corrosion.forecast.use_by_state import SharedOut, sharing, spent
from corrosion.records import Checked

GRID_UNTIL_DAYS = 3650
BOOK_IS_FULL = 0.6
"""Share of the usual bookings at which a week's book counts as filled."""


@dataclass(frozen=True, eq=False)
class Ahead:
    """Expected hours of every hull from now on.

    Attributes
    ----------
    days : ndarray, shape (d,), days ahead, 0 first
    hours : SharedOut of shape (hulls, d), expected running totals from now
    engine_h : ndarray, shape (hulls, d), expected engine hours from now
    spread : ndarray, shape (hulls, d), standard deviation of the engine hours, as their share
    shared : ndarray, shape (d,), the part of it that all hulls share
    """

    days: Floats
    hours: SharedOut
    engine_h: Floats
    spread: Floats
    shared: Floats


def day_grid(days: int) -> Floats:
    """Return the days ahead at which forecasts are worked out, shape (d,): days, weeks, months."""
    near, weeks, months = (
        np.arange(61),
        np.arange(63, 190, 7),
        np.arange(210, GRID_UNTIL_DAYS + 30, 30),
    )
    return np.unique(np.concatenate([near, weeks, months, np.array([days])])).astype(float)


def use_ahead(checked: Checked, exposure: Exposure, days: int = 7) -> Ahead:
    """Say what every hull is expected to do.

    Engine hours are those booked as far as past bookings proved to tell, and the hull's own
    habit of the last 28 days, carried through the season as last year's log shows it. Flushing,
    water and berth follow the hull's own last eight weeks at its present mooring.

    Parameters
    ----------
    checked : Checked
    exposure : Exposure
    days : int, the horizon, which is put on the grid

    Returns
    -------
    Ahead
    """
    grid = day_grid(days)
    on_h = float(hours_since_epoch(pd.DatetimeIndex([checked.logbook.on]))[0])
    daily, known = filled_in(daily_engine_hours(exposure, on_h), exposure.filling)
    booked = booked_hours(checked.bookings, exposure.hull_ids, on_h, daily.shape[1])
    rule = learn(daily, booked.past, known)
    habit = daily[:, -HABIT_DAYS:].mean(axis=1)
    season = season_of_use(daily, booked.ahead.shape[1])
    filled = _filled(checked.bookings, on_h, booked.ahead, rule.full * season)
    engine = _expected(habit, booked.ahead, rule, season, filled)
    upto = np.concatenate([np.zeros((len(engine), 1)), np.cumsum(engine, axis=1)], axis=1)
    whole = grid.clip(max=upto.shape[1] - 1).astype(np.intp)
    yearly = upto[:, -1] / (upto.shape[1] - 1)
    engine_h = upto[:, whole] + yearly[:, None] * (grid - whole)
    strays = season_spread(grid) ** 2
    blank = _blank_share(engine, filled, whole) if rule.full > 0 else np.zeros(grid.size)
    own = rule.own + blank * max(rule.own_unbooked - rule.own, 0.0)
    common = rule.common + blank * max(rule.common_unbooked - rule.common, 0.0)
    spread = np.sqrt(own / np.maximum(engine_h, 0.5) + common + strays)
    hours = _hours(checked, exposure, on_h, grid, engine_h)
    stormy = rule.stormy + blank * max(rule.stormy_unbooked - rule.stormy, 0.0)
    shared = shared_spread(grid, stormy, _habit_share(rule, habit, booked.past))
    return Ahead(grid, hours, engine_h, np.minimum(spread, 2.0), shared)


def _habit_share(rule: Rule, habit: Floats, booked: Floats) -> float:
    """Return how much of what is expected is habit."""
    by_habit = rule.habit * float(habit.sum())
    by_book = rule.booked * float(booked[:, -HABIT_DAYS:].sum()) / HABIT_DAYS
    return by_habit / max(by_habit + by_book, 1e-9)


def daily_engine_hours(exposure: Exposure, on_h: float) -> Floats:
    """Return engine hours of each hull on each past day, shape (hulls, days), the last day last."""
    outings = exposure.outings
    first = float(outings["stop_h"].min()) if len(outings) else on_h
    days = int(max(HABIT_DAYS, min(np.ceil((on_h - first) / HOURS_A_DAY), 800)))
    day = days - 1 - np.floor((on_h - outings["stop_h"].to_numpy(float)) / HOURS_A_DAY)
    seen = (day >= 0) & (day < days)
    table = np.zeros((len(exposure.hull_ids), days))
    place = (outings["hull"].to_numpy(np.intp)[seen], day[seen].astype(np.intp))
    np.add.at(table, place, outings["engine_h"].to_numpy(float)[seen])
    return table


def filled_in(daily: Floats, filling: Filling | None) -> tuple[Floats, np.ndarray | None]:
    """Add to each day what was probably not written down; and tell the days that are on record.

    Parameters
    ----------
    daily : ndarray, shape (hulls, days), engine hours on record, the last day last
    filling : Filling or None

    Returns
    -------
    daily : ndarray, shape (hulls, days)
    known : ndarray of bool, same shape; None where all of them are
    """
    if filling is None:
        return daily, None
    span = min(filling.days, daily.shape[1])
    whole, known = daily.copy(), np.ones(daily.shape, dtype=bool)
    whole[:, -span:] += filling.engine_h[:, -span:]
    known[:, -span:] = ~filling.unknown[:, -span:]
    return whole, known


@dataclass(frozen=True)
class Booked:
    """Booked engine hours by hull and day, shape (hulls, days), behind and ahead of now."""

    past: Floats
    ahead: Floats


def booked_hours(bookings: pd.DataFrame, hulls: pd.Index, on_h: float, past: int) -> Booked:
    """Return booked engine hours by hull and day, so many days behind now and 400 ahead.

    Parameters
    ----------
    bookings : DataFrame
    hulls : Index
    on_h : float, hours since 1970
    past : int, days

    Returns
    -------
    Booked
    """
    ahead = 400
    hull = hulls.get_indexer(pd.Index(bookings["hull_id"]))
    start, stop = hours_since_epoch(bookings["starts"]), hours_since_epoch(bookings["ends"])
    table = np.zeros((len(hulls), past + ahead))
    length = stop - start
    hours = _usual_engine_hours(bookings["engine_hours"].to_numpy(float), length)
    good = (hull >= 0) & (length > 0) & (hours >= 0)
    count = np.ceil(np.where(good, length, 0) / HOURS_A_DAY).astype(int).clip(max=60)
    rows = np.flatnonzero(good)
    for part in range(int(count.max(initial=0))):
        rows = rows[count[rows] > part]
        middle = start[rows] + (part + 0.5) * length[rows] / count[rows]
        day = past + np.floor((middle - on_h) / HOURS_A_DAY)
        seen = (day >= 0) & (day < past + ahead)
        share = (hours[rows] / count[rows])[seen]
        np.add.at(table, (hull[rows[seen]], day[seen].astype(np.intp)), share)
    return Booked(table[:, :past], table[:, past:])


def _usual_engine_hours(hours: Floats, length: Floats) -> Floats:
    """Fill unknown engine hours of bookings with the usual share of their length."""
    known = ~np.isnan(hours) & (length > 0)
    usual = float(np.median(hours[known] / length[known])) if known.any() else np.nan
    return np.where(np.isnan(hours), usual * length, hours)


def _filled(bookings: pd.DataFrame, on_h: float, booked: Floats, usual: Floats) -> Floats:
    """Return how full the book of each day ahead is, 0 to 1, shape (days,)."""
    fill = fill_of_leads(bookings, on_h, usual.size)
    if fill is not None:
        return fill
    fleet = booked.sum(axis=0)
    week = np.convolve(fleet, np.ones(7) / 7, mode="same")
    standing = np.clip(week / np.maximum(BOOK_IS_FULL * usual, 1e-9), 0.0, 1.0)
    shape, filling = fill_of_shape(fleet, usual)
    return np.asarray(filling * shape + (1 - filling) * standing)


def _blank_share(engine: Floats, filled: Floats, whole: Codes) -> Floats:
    """Return the share of the expected hours until each day of the grid that no book tells of."""
    fleet = np.concatenate([[0.0], np.cumsum(engine.sum(axis=0))])
    blank = np.concatenate([[0.0], np.cumsum(engine.sum(axis=0) * (1 - filled))])
    return np.asarray(blank[whole] / np.maximum(fleet[whole], 1e-9))


def _expected(habit: Floats, booked: Floats, rule: Rule, season: Floats, filled: Floats) -> Floats:
    """Return expected engine hours by hull and day ahead, shape (hulls, days)."""
    usual = habit[:, None] * season
    if booked.sum() == 0:
        return usual
    if rule.full == 0:
        # no past bookings to learn from: habit, and whatever the book holds beyond it; a first
        # hire in three weeks does not mean that the hull lies still until then
        by_habit = np.cumsum(usual, axis=1)
        beyond = np.maximum.accumulate(np.cumsum(booked, axis=1) - by_habit, axis=1)
        return np.diff(by_habit + np.maximum(beyond, 0.0), axis=1, prepend=0.0)
    expected_h = rule.booked * booked + rule.habit * usual
    return np.asarray(expected_h + max(1.0 - rule.habit, 0.0) * (1 - filled) * usual)


def _hours(
    checked: Checked, exposure: Exposure, on_h: float, grid: Floats, engine_h: Floats
) -> SharedOut:
    """Share expected hours out over the cells of each hull's present mooring."""
    shares = sharing(exposure, np.full(len(exposure.hull_ids), on_h))
    degrees = _degrees(checked, exposure, on_h, grid)[shares.mooring]
    steps = np.diff(engine_h, axis=1, prepend=0.0)
    free = np.maximum(np.diff(grid, prepend=0.0) * HOURS_A_DAY - steps * shares.out, 0.0)
    return spent(shares, steps, free, degrees)


def _degrees(checked: Checked, exposure: Exposure, on_h: float, grid: Floats) -> Floats:
    middle = (grid + np.concatenate([[0.0], grid[:-1]])) / 2 * HOURS_A_DAY
    ahead = temperature_ahead(checked.water_samples, exposure.mooring_ids, on_h, middle)
    return np.concatenate([ahead, np.zeros((1, grid.size))])
