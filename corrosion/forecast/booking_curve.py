"""How full the book ahead is: hires that are still to be taken are no quiet weeks.

Where bookings say when they were entered, how far ahead hires are taken is read off those that are
over. Where they do not, a book that thins out steeply from this week on is taken for one that is
still filling; one that does not is taken as it stands.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
from scipy.optimize import isotonic_regression

from corrosion.common import HOURS_A_DAY, Floats, hours_since_epoch

LEAST_BOOKINGS = 40
LEARNED_DAYS = 200
ONE_SITTING = 0.5
"""Share of the bookings, or outings, entered on one day at which that day is an import: it tells
nothing of how early or late they are written."""
WEEK = 7
STEEP, FLAT = 0.55, 0.8
"""Fullness three weeks ahead against this week's, at which a book is filling, and at which not."""


def fill_of_leads(bookings: pd.DataFrame, on_h: float, ahead: int) -> Floats | None:
    """Return the share of hires that is taken so many days ahead, from when past ones were entered.

    Parameters
    ----------
    bookings : DataFrame with starts and, where known, entered_at (UTC)
    on_h : float, hours since 1970 of the moment of the forecast
    ahead : int, days

    Returns
    -------
    ndarray, shape (ahead,), 1 where all is taken by then; None where too few bookings tell
    """
    if "entered_at" not in bookings:
        return None
    start, entered = (hours_since_epoch(bookings[c]) for c in ("starts", "entered_at"))
    over = (start < on_h) & (start > on_h - LEARNED_DAYS * HOURS_A_DAY) & ~np.isnan(entered)
    if over.sum() < LEAST_BOOKINGS:
        return None
    days = np.floor(entered[over] / HOURS_A_DAY)
    if np.unique(days, return_counts=True)[1].max() > ONE_SITTING * days.size:
        return None
    lead = np.sort(np.maximum(start[over] - entered[over], 0.0) / HOURS_A_DAY)
    middle = np.arange(ahead) + 0.5
    return np.asarray(1.0 - np.searchsorted(lead, middle) / lead.size)


def fill_of_shape(booked: Floats, usual: Floats) -> tuple[Floats, float]:
    """Return how full the book looks by its shape, and how far it may be called filling.

    Parameters
    ----------
    booked : ndarray, shape (ahead,), the fleet's booked hours of each day ahead
    usual : ndarray, shape (ahead,), what is booked on such a day in the end

    Returns
    -------
    fill : ndarray, shape (ahead,), never rising with the days ahead, 0 to 1
    filling : float, 0 (a book as full three weeks ahead as now) to 1 (one that thins out steeply)
    """
    weeks = max(booked.size // WEEK, 1)
    sums = [np.add.reduceat(part, np.arange(weeks) * WEEK) for part in (booked, usual)]
    ratio = sums[0] / np.maximum(sums[1], 1e-9)
    level = isotonic_regression(ratio, weights=np.maximum(sums[1], 1e-9), increasing=False).x
    steep = float(level[min(3, weeks - 1)] / max(level[0], 1e-9))
    filling = float(np.clip((FLAT - steep) / (FLAT - STEEP), 0.0, 1.0))
    middle = (np.arange(weeks) + 0.5) * WEEK
    days = np.interp(np.arange(booked.size) + 0.5, middle, np.clip(level, 0.0, 1.0))
    return np.asarray(days), filling
