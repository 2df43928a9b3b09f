"""Days, deadlines and moments as the fleet's own clocks and calendars show them."""

from __future__ import annotations

from datetime import date, tzinfo
from typing import Final

import pandas as pd

from corrosion.common.arrays import WHOLE_YEAR_DAYS

DAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS: Final = (
    *("Jan", "Feb", "Mar", "Apr", "May", "Jun"),
    *("Jul", "Aug", "Sep", "Oct", "Nov", "Dec"),
)
FAR_OFF: Final = "not within a year"


def day(when: pd.Timestamp | date | None, zone: tzinfo, *, year: bool = True) -> str:
    """Write a date in the fleet's time zone: ``Mon 14 Jun 2031``.

    Parameters
    ----------
    when : Timestamp or date or None
        A moment (with its zone) or a plain date, which stays as it is.
    zone : tzinfo
        The fleet's time zone.
    year : bool
        Whether to write the year.

    Returns
    -------
    str
        The date; ``not known`` for none.
    """
    if when is None or pd.isna(when):
        return "not known"
    if isinstance(when, pd.Timestamp) and when.tzinfo is not None:
        when = when.tz_convert(zone)
    text = f"{DAYS[when.weekday()]} {when.day} {MONTHS[when.month - 1]}"
    return f"{text} {when.year}" if year else text


def last_day(until: pd.Timestamp, zone: tzinfo, *, year: bool = True) -> str:
    """Write the last day of a stretch that ends at a moment: at midnight, the day before it.

    Parameters
    ----------
    until : Timestamp
        The end, with its zone.
    zone : tzinfo
        The fleet's time zone.
    year : bool
        Whether to write the year.

    Returns
    -------
    str
        As `day`. ``by Sat 7 Jun`` is what may happen until Sunday begins, here as in the plan,
        whose weeks end with a Sunday.
    """
    return day(until - pd.Timedelta(microseconds=1), zone, year=year)


def deadline(when: pd.Timestamp | date | None, today: pd.Timestamp, zone: tzinfo) -> str:
    """Write a date by which something is to be done, no finer than it can be known.

    Parameters
    ----------
    when : Timestamp or date or None
        The last good date.
    today : Timestamp
        The moment of the forecast, with its zone.
    zone : tzinfo
        The fleet's time zone.

    Returns
    -------
    str
        ``today``, ``Thu 19 Jun``, with the year where it is another one, and ``not within a
        year`` beyond that.
    """
    if when is None or pd.isna(when):
        return "not known"
    now = today.tz_convert(zone).date()
    last = when.date() if isinstance(when, pd.Timestamp) else when
    if last <= now:
        return "today"
    if (last - now).days > WHOLE_YEAR_DAYS:
        return FAR_OFF
    return day(last, zone, year=last.year != now.year)


def moment(when: pd.Timestamp | None, zone: tzinfo) -> str:
    """Write a moment in the fleet's time zone: ``Mon 14 Jun 2031, 07:30``.

    Parameters
    ----------
    when : Timestamp or None
        The moment, with its zone.
    zone : tzinfo
        The fleet's time zone.

    Returns
    -------
    str
        Date and time of day; ``not known`` for none.
    """
    if when is None or pd.isna(when):
        return "not known"
    local = when.tz_convert(zone)
    return f"{day(when, zone)}, {local:%H:%M}"
