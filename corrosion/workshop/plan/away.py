"""On which days each hull can't come out: on hire, held back by the manager, not in the fleet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt
import pandas as pd

from corrosion.workshop.overrides import HIRE_OUT, PIN, SKIP
from corrosion.workshop.plan.horizon import Horizon

Flags = npt.NDArray[np.bool_]
ONE_DAY = pd.Timedelta(days=1)


@dataclass(frozen=True)
class Away:
    """What keeps hulls from coming out, row-aligned with `hull_ids`.

    Attributes
    ----------
    hull_ids : Index
    booked, out, skipped, gone : bool ndarray, shape (i, d): on hire; still out on an outing that
        has no end; held back by the manager; not in the fleet on that day
    mooring : object ndarray, shape (i, d), where the hull lies on each day
    pins : mapping of hull_id to the day on which the manager wants it out
    reasons : mapping of hull_id to what the manager said, for pins, skips and hires out
    """

    hull_ids: pd.Index
    booked: Flags
    out: Flags
    skipped: Flags
    gone: Flags
    mooring: npt.NDArray[np.object_]
    pins: dict[str, date]
    reasons: dict[str, str]

    @property
    def free(self) -> Flags:
        """Return whether each hull can come out on each day, shape (i, d)."""
        return self.there & ~self.booked

    @property
    def there(self) -> Flags:
        """Return whether nothing but a hire keeps each hull, shape (i, d)."""
        return ~(self.out | self.skipped | self.gone)


def booked_days(
    bookings: pd.DataFrame,
    hull_ids: pd.Index,
    horizon: Horizon,
    windows_h: Sequence[tuple[float, float]],
) -> Flags:
    """Say on which local days a hull is on hire during working hours.

    Parameters
    ----------
    bookings : DataFrame, hull_id, starts and ends (UTC)
    hull_ids : Index
    horizon : Horizon
    windows_h : working hours of the clock at each hull's mooring, one pair a hull

    Returns
    -------
    bool ndarray, shape (i, d)
    """
    hull = hull_ids.get_indexer(pd.Index(bookings["hull_id"]))
    known = (hull >= 0) & bookings["ends"].notna() & bookings["starts"].notna()
    hull, bookings = hull[known], bookings[known]
    windows = np.array(windows_h, float).reshape(-1, 2)[hull]
    first = pd.Timestamp(horizon.days[0])
    start, stop = (_days_from(bookings[name], first, horizon) for name in ("starts", "ends"))
    # a hire meets the working hours of day d where start < d + closes and stop > d + opens
    days = len(horizon.days)
    begins = np.clip(np.floor(start - windows[:, 1] / 24.0).astype(int) + 1, 0, days)
    is_over = np.clip(np.ceil(stop - windows[:, 0] / 24.0).astype(int), 0, days)
    meets = begins < is_over
    at_once = np.zeros((len(hull_ids), days + 1), dtype=int)
    np.add.at(at_once, (hull[meets], begins[meets]), 1)
    np.add.at(at_once, (hull[meets], is_over[meets]), -1)
    return np.asarray(at_once.cumsum(axis=1)[:, :days] > 0)


def _days_from(
    moments: pd.Series[pd.Timestamp], first: pd.Timestamp, horizon: Horizon
) -> npt.NDArray[np.float64]:
    local = moments.dt.tz_convert(horizon.zone).dt.tz_localize(None)
    return np.asarray((local - first) / ONE_DAY, float)


def hulls_out(outings: pd.DataFrame, hull_ids: pd.Index, horizon: Horizon) -> Flags:
    """Say which hulls are out on an outing whose end is still to come, by day, shape (i, d)."""
    begun = outings["started"].notna() & (outings["started"] <= horizon.on)
    recent = begun & (outings["started"] > horizon.on - ONE_DAY) & outings["ended"].isna()
    still = recent | (begun & (outings["ended"] > horizon.on))
    table = np.zeros((len(hull_ids), len(horizon.days)), dtype=bool)
    today = horizon.on.tz_convert(horizon.zone).date()
    if horizon.days[0] == today:
        table[:, 0] = hull_ids.isin(outings.loc[still, "hull_id"])
    return table


def held_back(standing: pd.DataFrame, hull_ids: pd.Index, horizon: Horizon) -> Flags:
    """Say in which weeks the manager holds a hull back, by day, shape (i, d)."""
    table = np.zeros((len(hull_ids), len(horizon.days)), dtype=bool)
    mondays = np.array(horizon.week_of, dtype=object)
    held = standing[standing["change"].isin([SKIP, HIRE_OUT])]
    for row, week in zip(hull_ids.get_indexer(pd.Index(held["hull_id"])), held["day"], strict=True):
        if row >= 0:
            table[row] |= mondays == week
    return table


def not_in_fleet(hulls: pd.DataFrame, hull_ids: pd.Index, horizon: Horizon) -> Flags:
    """Say on which days a hull has left the fleet, by day, shape (i, d)."""
    retired = hulls.drop_duplicates("hull_id").set_index("hull_id")["retired"].reindex(hull_ids)
    leaves = retired.dt.tz_convert(horizon.zone).dt.date
    days = np.array(horizon.days, dtype=object)
    gone = [np.zeros(len(days), bool) if pd.isna(day) else days >= day for day in leaves]
    return np.array(gone, dtype=bool).reshape(len(hull_ids), len(days))


def mooring_by_day(
    berths: pd.DataFrame, hull_ids: pd.Index, horizon: Horizon
) -> npt.NDArray[np.object_]:
    """Say where each hull lies on each day, shape (i, d); None where nobody knows."""
    table = np.full((len(hull_ids), len(horizon.days)), None, dtype=object)
    berths = berths.sort_values("since", kind="stable")
    days = np.array(horizon.days, dtype=object)
    since = berths["since"].dt.tz_convert(horizon.zone).dt.date
    rows = hull_ids.get_indexer(pd.Index(berths["hull_id"]))
    for row, mooring, day in zip(rows, berths["mooring_id"], since, strict=True):
        if row >= 0:
            table[row, days >= day if not pd.isna(day) else slice(None)] = mooring
    return table


def said_by_manager(
    standing: pd.DataFrame, horizon: Horizon
) -> tuple[dict[str, date], dict[str, str]]:
    """Return the pins that fall into the horizon, and the reasons of all decisions, by hull."""
    last = horizon.days[-1] + timedelta(days=1)
    pins, reasons = {}, {}
    for row in standing.to_dict("records"):
        hull, day = str(row["hull_id"]), row["day"]
        if row["change"] == PIN and day < last:
            pins[hull] = day
        if isinstance(row["reason"], str) and row["reason"].strip():
            reasons[hull] = row["reason"].strip()
    return pins, reasons
