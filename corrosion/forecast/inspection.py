"""When to look, beside when to replace: the fleet's own rule, and what a look would tell."""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.common import HOURS_A_DAY, Codes, Floats, dates_after_days, hours_since_epoch
from corrosion.exposure import Exposure
from corrosion.forecast.usage_forecast import Ahead
from corrosion.records import Checked

NEAR_DAYS = 42.0
"""A look pays before a pull-by that is no farther off than this..."""
MOVES_DAYS = 7.0
"""... where what it may show would move that date by at least so many days."""


def inspect_by(
    checked: Checked, exposure: Exposure, ahead: Ahead, anodes: pd.DataFrame, hull: Codes
) -> pd.DataFrame:
    """Say by when each anode is to be looked at under the fleet's own rule.

    The rule is `inspect_hours` or `inspect_days` of its position, whichever comes first, counted
    from the last look or the fitting; hours to come are those expected of its hull.

    Parameters
    ----------
    checked : Checked
    exposure : Exposure
    ahead : Ahead
    anodes : DataFrame, k rows: hull_id, position, layout, fitted_at, last_read_at
    hull : ndarray of int, shape (k,), hull code of each

    Returns
    -------
    DataFrame
        Row by row as `anodes`: `inspect_by` (local date, the day of the report where it is
        overdue; unknown without a rule) and `inspect_rule` (``hours``, ``months`` or empty).
    """
    on = checked.logbook.on
    on_h = float(hours_since_epoch(pd.DatetimeIndex([on]))[0])
    since = anodes[["last_read_at", "fitted_at"]].max(axis=1)
    since_h = np.where(since.isna(), on_h, hours_since_epoch(since))
    register = checked.anode_positions.drop_duplicates(["layout", "position"])
    rule = anodes[["layout", "position"]].merge(register, on=["layout", "position"], how="left")
    by_hours = _days_to_hours(exposure, ahead, hull, since_h, on_h, rule["inspect_hours"])
    by_days = rule["inspect_days"].to_numpy(float) - (on_h - since_h) / HOURS_A_DAY
    days = np.fmin(by_hours, by_days)
    hours_first = by_hours <= np.where(np.isnan(by_days), np.inf, by_days)
    clock = np.where(np.isnan(days), "", np.where(hours_first, "hours", "months"))
    zone = checked.logbook.settings.timezone
    dates = dates_after_days(on, np.maximum(days, 0.0), zone)
    return pd.DataFrame(
        {"inspect_by": pd.Series(dates, dtype=object), "inspect_rule": clock}
    ).set_axis(anodes.index)


def _days_to_hours(
    exposure: Exposure, ahead: Ahead, hull: Codes, since_h: Floats, on_h: float, rule: pd.Series
) -> Floats:
    """Return days ahead until the engine has run so many hours since the last look."""
    plain = exposure.cells.loc[exposure.cells["state"] != "unflushed", "state"]
    past = exposure.between(hull, since_h, np.full(hull.size, on_h))
    left = rule.to_numpy(float) - past.plain[:, (plain == "running").to_numpy(bool)].sum(axis=1)
    reached = np.where(np.isnan(left), np.nan, 0.0)
    for row in np.flatnonzero(left > 0):
        reached[row] = _reached(left[row], ahead.engine_h[hull[row]], ahead.days)
    return reached


def _reached(hours: float, engine_h: Floats, days: Floats) -> float:
    return float(np.interp(hours, engine_h, days)) if hours < engine_h[-1] else float(days[-1])


def look_moves_days(worn: Floats, worn_sd: Floats, reading_error: Floats, days: Floats) -> Floats:
    """Say by how many days a reading taken now would typically move an anode's dates.

    A reading narrows what is known of the wear (normal rule of combining), and so moves its middle
    by so much; at the wear that is expected over the next four weeks that is worth so many days.

    Parameters
    ----------
    worn, worn_sd : ndarray, shape (k, d), expected worn share and its standard deviation
    reading_error : ndarray, shape (k,), standard deviation of a reading, share of the allowance
    days : ndarray, shape (d,), days ahead, 0 first

    Returns
    -------
    ndarray, shape (k,), days; NaN where an anode was never seen
    """
    now = worn_sd[:, 0]
    shift = now**2 / np.sqrt(now**2 + reading_error**2)
    at = int(np.searchsorted(days, 28.0))
    a_day = (worn[:, at] - worn[:, 0]) / days[at]
    return np.asarray(shift / np.maximum(a_day, 1e-4))


def look_pays(moves_days: Floats, days_to_pull: Floats) -> np.ndarray:
    """Tell where a look now would pay: a pull-by is near, and a reading would move it.

    Parameters
    ----------
    moves_days, days_to_pull : ndarray, shape (k,), days

    Returns
    -------
    ndarray of bool, shape (k,)
    """
    return np.asarray((moves_days >= MOVES_DAYS) & (days_to_pull <= NEAR_DAYS))
