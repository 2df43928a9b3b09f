"""Hire that is lost when a hull stands in the bay: what is usual on that day and not yet booked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import Floats, after_days
from corrosion.workshop.plan.away import booked_days
from corrosion.workshop.plan.horizon import Horizon

HIRE_LEARNED_DAYS = 56
NO_VALUES = "No hire_value in bookings: lost hire is not counted."


@dataclass(frozen=True)
class LostHire:
    """What a hull's day in the bay costs in hire.

    Attributes
    ----------
    by_day : ndarray, shape (i, d), currency
    usual : ndarray, shape (i, 7), currency, by weekday, where nothing is booked yet
    assumed : tuple of str
    """

    by_day: Floats
    usual: Floats
    assumed: tuple[str, ...]


def lost_hire(
    bookings: pd.DataFrame,
    outings: pd.DataFrame,
    hull_ids: pd.Index,
    mooring: np.ndarray,
    horizon: Horizon,
) -> LostHire:
    """Say what hire a hull in the bay would miss, day by day.

    The hire that a mooring usually takes on that weekday (last eight weeks, hires without a
    booking at the usual value) less what is booked already, shared by the hulls still free.

    Parameters
    ----------
    bookings : DataFrame, hull_id, starts, ends, hire_value
    outings : DataFrame, hull_id, started
    hull_ids : Index, shape (i,)
    mooring : object ndarray, shape (i,), where each hull lies
    horizon : Horizon

    Returns
    -------
    LostHire
    """
    shape = (len(hull_ids), len(horizon.days))
    values = bookings["hire_value"].where(bookings["hire_value"] >= 0)
    if not values.notna().any():
        return LostHire(np.zeros(shape), np.zeros((len(hull_ids), 7)), (NO_VALUES,))
    bookings = bookings.assign(value=values.fillna(float(values.median())))
    usual = _usual(bookings, outings, hull_ids, mooring, horizon)
    booked = booked_days(bookings, hull_ids, horizon, [(0.0, 24.0)] * len(hull_ids))
    worth = _booked_value(bookings, hull_ids, horizon)
    by_day = np.zeros(shape)
    for place in pd.unique(mooring):
        own = mooring == place
        for at, day in enumerate(horizon.days):
            free = max(int((~booked[own, at]).sum()), 1)
            missing = usual[own, day.weekday()].sum() - worth[own, at].sum()
            by_day[own, at] = max(missing, 0.0) / free
    return LostHire(by_day, usual, ())


def _usual(
    bookings: pd.DataFrame,
    outings: pd.DataFrame,
    hull_ids: pd.Index,
    mooring: np.ndarray,
    horizon: Horizon,
) -> Floats:
    """Return the hire that a hull of its mooring takes on each weekday, shape (i, 7)."""
    since = after_days(horizon.on, -HIRE_LEARNED_DAYS, horizon.zone)
    past = bookings[(bookings["starts"] > since) & (bookings["starts"] <= horizon.on)]
    trips = outings[(outings["started"] > since) & (outings["started"] <= horizon.on)]
    walk_in = max(len(trips) / len(past), 1.0) if len(past) else 1.0
    rows = hull_ids.get_indexer(pd.Index(past["hull_id"]))
    weekday = past["starts"].dt.tz_convert(horizon.zone).dt.day_of_week.to_numpy()
    table = np.zeros((len(hull_ids), 7))
    known = rows >= 0
    np.add.at(table, (rows[known], weekday[known]), past["value"].to_numpy(float)[known])
    begun = bookings["starts"].min()
    logged = (horizon.on - begun) / pd.Timedelta(weeks=1)
    table *= min(walk_in, 3.0) / float(np.clip(logged, 1.0, HIRE_LEARNED_DAYS / 7))
    for place in pd.unique(mooring):
        own = mooring == place
        table[own] = table[own].mean(axis=0)
    return table


def _booked_value(bookings: pd.DataFrame, hull_ids: pd.Index, horizon: Horizon) -> Floats:
    table = np.zeros((len(hull_ids), len(horizon.days)))
    day = bookings["starts"].dt.tz_convert(horizon.zone).dt.tz_localize(None)
    at = np.floor((day - pd.Timestamp(horizon.days[0])) / pd.Timedelta(days=1)).to_numpy()
    rows = hull_ids.get_indexer(pd.Index(bookings["hull_id"]))
    inside = (rows >= 0) & (at >= 0) & (at < len(horizon.days))
    place = (rows[inside], at[inside].astype(np.intp))
    np.add.at(table, place, bookings["value"].to_numpy(float)[inside])
    return table
