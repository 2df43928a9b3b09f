"""The days that a plan is made for, and the weeks beyond them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo
from functools import cached_property

import numpy as np
import pandas as pd

from corrosion.common import Floats, Refusal
from corrosion.workshop.overrides import monday_of

LATER_WEEKS = 6
"""Weeks beyond the horizon whose capacity still counts, taken as wholes."""
FARTHEST_WEEKS = 26
SECONDS_A_DAY = 86400.0
LAST_HOUR_TO_BEGIN = time(12)
"""A day counts as still to come until noon: half a day is left to haul and do one hull."""


@dataclass(frozen=True)
class Horizon:
    """The days that a plan is made for.

    Attributes
    ----------
    on : Timestamp, UTC
    zone : tzinfo
    week : date, Monday of the week asked for
    weeks : int, from that week on
    days : tuple of date, every day of the horizon, the first that can still be worked on first
    """

    on: pd.Timestamp
    zone: tzinfo
    week: date
    weeks: int
    days: tuple[date, ...]

    @cached_property
    def ahead(self) -> Floats:
        """Return the days from `on` to noon of each day, shape (d,)."""
        return np.array([self.days_until(day) for day in self.days])

    @cached_property
    def later(self) -> Floats:
        """Return the days from `on` to the middle of each week beyond, shape (LATER_WEEKS,)."""
        return np.asarray(self.end + 7.0 * np.arange(LATER_WEEKS) + 3.5, float)

    @cached_property
    def far(self) -> Floats:
        """Return days from `on` beyond all capacity: fortnights, then quarters, to five years."""
        steps = np.concatenate([np.arange(0.0, 182.0, 14.0), np.arange(182.0, 1826.0, 91.0)])
        return np.asarray(self.end + 7.0 * LATER_WEEKS + steps)

    @cached_property
    def end(self) -> float:
        """Return the days from `on` to the end of the horizon."""
        return self.days_until(self.days[-1] + timedelta(days=1), time(0))

    @cached_property
    def week_of(self) -> tuple[date, ...]:
        """Return the Monday of each day."""
        return tuple(monday_of(day) for day in self.days)

    def days_until(self, day: date, at: time = LAST_HOUR_TO_BEGIN) -> float:
        """Return the days from `on` to an hour of a local day, never less than 0."""
        moment = pd.Timestamp(datetime.combine(day, at, self.zone))
        return max((moment - self.on).total_seconds() / SECONDS_A_DAY, 0.0)

    def until_week_ends(self, week: date) -> float:
        """Return the days from `on` to the end of the week that begins on a Monday."""
        return self.days_until(week + timedelta(days=7), time(0))


def lay_out_days(
    on: pd.Timestamp, zone: tzinfo, open_on: frozenset[int], week: date | None, weeks: int
) -> Horizon:
    """Say which days a plan is made for: from `on` to the end of the last week asked for.

    Parameters
    ----------
    on : Timestamp, moment of the report, UTC
    zone : tzinfo
    open_on : weekdays on which anything is open, 0 is Monday
    week : a day of the week asked for; None: that of the next working day
    weeks : int, how many weeks from that week on

    Returns
    -------
    Horizon

    Raises
    ------
    Refusal
        The week is over, or too far away to know anything.
    """
    local = on.tz_convert(zone)
    first = local.date() if local.time() <= LAST_HOUR_TO_BEGIN else local.date() + timedelta(days=1)
    monday = monday_of(_next_open(first, open_on) if week is None else week)
    if monday + timedelta(days=6) < first:
        raise Refusal(
            f"plan: the week of {monday:%Y-%m-%d} is over on {local:%Y-%m-%d}. "
            "Ask for a later week, or look back with --on."
        )
    if (monday - first).days > 7 * FARTHEST_WEEKS:
        raise Refusal(
            f"plan: the week of {monday:%Y-%m-%d} is more than {FARTHEST_WEEKS} weeks ahead of "
            f"{local:%Y-%m-%d}. Ask for a week within half a year."
        )
    last = monday + timedelta(days=7 * weeks - 1)
    count = (last - first).days + 1
    return Horizon(on, zone, monday, weeks, tuple(first + timedelta(days=n) for n in range(count)))


def _next_open(first: date, open_on: frozenset[int]) -> date:
    days = (first + timedelta(days=n) for n in range(7))
    return next((day for day in days if day.weekday() in open_on), first)
