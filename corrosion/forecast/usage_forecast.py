"""Use ahead: what each hull will do, from its bookings, its habits and the season."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import HOURS_A_DAY, Codes, Floats, hours_since_epoch
from corrosion.exposure import Exposure, Hours, temperature_ahead
from corrosion.forecast.booking_curve import fill_of_leads, fill_of_shape
from corrosion.forecast.season import season_of_use, season_spread
from corrosion.forecast.usage_regression import HABIT_DAYS, Rule, learn
from corrosion.records import Checked

MEMORY_DAYS = 56
LONGEST_DAYS = 3650
BOOK_IS_FULL = 0.6
"""Share of the usual bookings at which a week's book counts as filled."""
USUAL_H = 10.0
"""Engine hours at which a hull's own flushing habit counts as much as its mooring's."""


@dataclass(frozen=True)
class Ahead:
    """Expected hours of every hull from now on.

    Attributes
    ----------
    days : ndarray, shape (d,), days ahead, 0 first
    hours : Hours of shape (hulls, d, ...), expected running totals from now
    engine_h : ndarray, shape (hulls, d), expected engine hours from now
    spread : ndarray, shape (hulls, d), standard deviation of the engine hours, as their share
    """

    days: Floats
    hours: Hours
    engine_h: Floats
    spread: Floats


def day_grid(days: int) -> Floats:
    """Return the days ahead at which forecasts are worked out, shape (d,): days, weeks, months."""
    near, weeks, months = (
        np.arange(61),
        np.arange(63, 190, 7),
        np.arange(210, LONGEST_DAYS + 30, 30),
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
    daily = _daily_engine_hours(exposure, on_h)
    booked = _booked(checked.bookings, exposure.hull_ids, on_h, daily.shape[1])
    rule = learn(daily, booked.past)
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
    return Ahead(grid, hours, engine_h, np.minimum(spread, 2.0))


def _daily_engine_hours(exposure: Exposure, on_h: float) -> Floats:
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


@dataclass(frozen=True)
class _Booked:
    past: Floats
    ahead: Floats


def _booked(bookings: pd.DataFrame, hulls: pd.Index, on_h: float, past: int) -> _Booked:
    """Return booked engine hours by hull and day, behind and ahead of now."""
    ahead = 400
    hull = hulls.get_indexer(pd.Index(bookings["hull_id"]))
    start, stop = hours_since_epoch(bookings["starts"]), hours_since_epoch(bookings["ends"])
    table = np.zeros((len(hulls), past + ahead))
    length = stop - start
    hours = _usual_engine_hours(bookings["engine_hours"].to_numpy(float), length)
    good = (hull >= 0) & (length > 0) & (hours >= 0)
    count = np.ceil(np.where(good, length, 0) / HOURS_A_DAY).astype(int).clip(max=60)
    for part in range(int(count.max(initial=0))):
        middle = start + (part + 0.5) * length / np.maximum(count, 1)
        day = past + np.floor((middle - on_h) / HOURS_A_DAY)
        seen = good & (part < count) & (day >= 0) & (day < past + ahead)
        share = hours[seen] / count[seen]
        np.add.at(table, (hull[seen], day[seen].astype(np.intp)), share)
    return _Booked(table[:, :past], table[:, past:])


def _usual_engine_hours(hours: Floats, length: Floats) -> Floats:
    """Fill unknown engine hours of bookings with the usual share of their length."""
    known = ~np.isnan(hours) & (length > 0)
    usual = float(np.median(hours[known] / length[known])) if known.any() else np.nan
    return np.where(np.isnan(hours), usual * length, hours)


def _filled(bookings: pd.DataFrame, on_h: float, booked: Floats, usual: Floats) -> Floats:
    """Return how full the book of each day ahead is, 0 to 1, shape (days,)."""
    told = fill_of_leads(bookings, on_h, usual.size)
    if told is not None:
        return told
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
    told = rule.booked * booked + rule.habit * usual
    return np.asarray(told + max(1.0 - rule.habit, 0.0) * (1 - filled) * usual)


def _hours(
    checked: Checked, exposure: Exposure, on_h: float, grid: Floats, engine_h: Floats
) -> Hours:
    """Share expected hours out over the cells of each hull's present mooring."""
    hulls = np.arange(len(exposure.hull_ids))
    berth = _present_berths(exposure, on_h)
    since = np.maximum(on_h - MEMORY_DAYS * HOURS_A_DAY, berth["start_h"].to_numpy(float))
    past = exposure.between(hulls, since, np.full(hulls.size, on_h))
    mooring = berth["mooring"].to_numpy(np.intp)
    running, wet = _running_shares(exposure, past, mooring), _wet_per_hour(exposure, past, mooring)
    degrees = _degrees(checked, exposure, on_h, grid)[mooring]
    steps = np.diff(engine_h, axis=1, prepend=0.0)
    lying = _lying(exposure, berth, mooring, grid, engine_h)
    plain = running[:, None, :] * steps[:, :, None]
    plain[:, :, (exposure.cells["state"] == "afloat").to_numpy(bool)[: plain.shape[2]]] = lying
    drying = wet[:, None, :, :] * steps[:, :, None, None]
    warm, wet_warm = plain * degrees[:, :, None], drying * degrees[:, :, None, None]
    return Hours(*(np.cumsum(part, axis=1) for part in (plain, warm, drying, wet_warm)))


def _present_berths(exposure: Exposure, on_h: float) -> pd.DataFrame:
    """Return each hull's present berth, one row a hull code; mooring -1 and ashore without one."""
    last = exposure.berths.drop_duplicates("hull", keep="last").set_index("hull")
    table = last.reindex(np.arange(len(exposure.hull_ids)))
    return table.assign(
        mooring=table["mooring"].fillna(-1).astype(int),
        start_h=table["start_h"].fillna(on_h),
        afloat=table["afloat"].eq(True),
    )


def _codes(exposure: Exposure, state: str) -> tuple[Codes, np.ndarray]:
    cells = exposure.cells[exposure.cells["state"] == state]
    return exposure.mooring_ids.get_indexer(pd.Index(cells["mooring_id"])), cells["water"].to_numpy(
        object
    )


def _running_shares(exposure: Exposure, past: Hours, mooring: Codes) -> Floats:
    """Return where engine hours are run, shape (hulls, plain cells), rows summing to 1."""
    code, water = _codes(exposure, "running")
    own = exposure.waters.to_numpy(object)
    home = np.equal.outer(mooring, code) & np.equal.outer(own[mooring], water)
    here = np.equal.outer(mooring, code)
    seen = past.plain[:, : code.size] * here + 1e-3 * home
    shares = np.zeros((mooring.size, past.plain.shape[1]))
    shares[:, : code.size] = seen / np.maximum(seen.sum(axis=1, keepdims=True), 1e-9)
    return shares


def _wet_per_hour(exposure: Exposure, past: Hours, mooring: Codes) -> Floats:
    """Return unflushed hours an engine hour, shape (hulls, unflushed cells, drying grid)."""
    code, water = _codes(exposure, "unflushed")
    run_code, run_water = _codes(exposure, "running")
    match = np.equal.outer(run_code, code) & np.equal.outer(run_water, water)
    run = past.plain[:, : run_code.size]
    here = np.equal.outer(mooring, code)
    salty_run = run @ match
    fleet = (past.drying * here[:, :, None]).sum(axis=0) / np.maximum(
        (salty_run * here).sum(axis=0), 1e-9
    )[:, None]
    own = (past.drying + USUAL_H * fleet) / (salty_run + USUAL_H)[:, :, None]
    share = _running_shares(exposure, past, mooring)[:, : run_code.size] @ match
    return np.asarray(own * (share * here)[:, :, None])


def _degrees(checked: Checked, exposure: Exposure, on_h: float, grid: Floats) -> Floats:
    middle = (grid + np.concatenate([[0.0], grid[:-1]])) / 2 * HOURS_A_DAY
    ahead = temperature_ahead(checked.water_samples, exposure.mooring_ids, on_h, middle)
    return np.concatenate([ahead, np.zeros((1, grid.size))])


def _lying(
    exposure: Exposure, berth: pd.DataFrame, mooring: Codes, grid: Floats, engine_h: Floats
) -> Floats:
    """Return hours lying afloat in each step, shape (hulls, steps, afloat cells)."""
    outings = exposure.outings
    length = float((outings["stop_h"] - outings["start_h"]).sum())
    per_engine_hour = length / max(float(outings["engine_h"].sum()), 1e-9) if length else 1.0
    code, _ = _codes(exposure, "afloat")
    out = np.diff(engine_h, axis=1, prepend=0.0) * per_engine_hour
    free = np.maximum(np.diff(grid, prepend=0.0) * HOURS_A_DAY - out, 0.0)
    here = np.equal.outer(mooring, code) & berth["afloat"].to_numpy(bool)[:, None]
    return np.asarray(free[:, :, None] * here[:, None, :])
