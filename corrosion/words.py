"""Numbers, chances, ranges and dates as a person would say them.

Pure functions from values to text, used by the pages, the commands and the printed sheets.
A chance from thin data is never said as 0 or 1, and nothing is said with more than two
significant digits: the logs do not carry more.
"""

from __future__ import annotations

import math
from datetime import date, tzinfo
from typing import Final

import pandas as pd

DAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS: Final = (
    *("Jan", "Feb", "Mar", "Apr", "May", "Jun"),
    *("Jul", "Aug", "Sep", "Oct", "Nov", "Dec"),
)
MM_PER_INCH: Final = 25.4
LONG_DAYS: Final = 730
FAR_OFF: Final = "not within a year"

# Easy fractions for chances above one in three, each the nearest to say over its stretch.
_EASY: Final = (
    (2 / 5, "2 in 5"),
    (1 / 2, "1 in 2"),
    (3 / 5, "3 in 5"),
    (2 / 3, "2 in 3"),
    (3 / 4, "3 in 4"),
    (4 / 5, "4 in 5"),
    (9 / 10, "9 in 10"),
    (19 / 20, "19 in 20"),
)
_MARKDOWN: Final = frozenset("\\`*_{}[]()#+-.!|<>$:~^=&")


def chance(share: float | None) -> str:
    """Say a chance as odds: 0.125 is ``1 in 8``.

    Parameters
    ----------
    share : float or None
        Chance, 0 to 1; None or NaN when it is not known.

    Returns
    -------
    str
        ``1 in 8``, ``3 in 4``; the ends are ``under 1 in 100`` and ``over 99 in 100``.
    """
    share = _float(share)
    if math.isnan(share):
        return "not known"
    if share < 0.01:
        return "under 1 in 100"
    if share > 0.99:
        return "over 99 in 100"
    if share <= 0.36:
        return f"1 in {_round_odds(1.0 / share)}"
    return min(_EASY, key=lambda easy: abs(easy[0] - share))[1]


def level(share: float | None, tolerated_risk: float) -> str:
    """Name how a chance stands against the fleet's tolerated risk, with a shape before the word.

    Parameters
    ----------
    share : float or None
        Chance, 0 to 1.
    tolerated_risk : float
        The fleet's own limit, 0 to 1.

    Returns
    -------
    str
        ``▲ High`` above the tolerated risk, ``● Watch`` above a third of it, else ``▽ Low``.
    """
    share = _float(share)
    if math.isnan(share):
        return "? Not known"
    if share > tolerated_risk:
        return "▲ High"
    return "● Watch" if share > tolerated_risk / 3.0 else "▽ Low"


def worn(share: float | None) -> str:
    """Say the share of the allowance that is used up.

    Parameters
    ----------
    share : float or None
        Worn, 0 new, 1 at the limit.

    Returns
    -------
    str
        ``84 %``, ``past its limit`` from 1 on, ``as new`` below 1 %.
    """
    share = _float(share)
    if math.isnan(share):
        return "not known"
    if share >= 1.0:
        return "past its limit"
    if share < 0.01:
        return "as new"
    return f"{min(max(round(100.0 * share), 1), 99)} %"


def number(value: float | None) -> str:
    """Write a quantity with two significant digits at most, thousands apart.

    Parameters
    ----------
    value : float or None
        Any finite number; None or NaN when it is not known.

    Returns
    -------
    str
        ``20``, ``1.3``, ``0.04``, ``1 300``.
    """
    value = _float(value)
    if math.isnan(value):
        return "not known"
    if value == 0.0:
        return "0"
    places = 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, places)
    text = f"{rounded:,.{max(places, 0)}f}".replace(",", "\N{NARROW NO-BREAK SPACE}")
    return text.rstrip("0").rstrip(".") if "." in text else text


def span(low: float | None, middle: float | None, high: float | None, unit: str) -> str:
    """Say a range with its unit: ``12 to 31 h, most likely 20``.

    Parameters
    ----------
    low, middle, high : float or None
        Ends of the range and its middle, in `unit`; an unknown or endless `high` is open.
    unit : str
        The unit as written, such as ``h`` or ``days``.

    Returns
    -------
    str
        The range; one number when both ends read alike; ``not known`` without a lower end.
    """
    low, middle, high = _float(low), _float(middle), _float(high)
    if math.isnan(low):
        return "not known"
    unit_text = f" {unit}" if unit else ""
    if math.isnan(high):
        return f"{number(low)}{unit_text} or more"
    if number(low) == number(high):
        return f"about {number(low)}{unit_text}"
    likely = "" if math.isnan(middle) else f", most likely {number(middle)}"
    return f"{number(low)} to {number(high)}{unit_text}{likely}"


def days_left(low: float | None, middle: float | None, high: float | None) -> str:
    """Say the days until an anode reaches its limit, 80 % of the time inside the range.

    Parameters
    ----------
    low, middle, high : float or None
        The 10, 50 and 90 % points, days from now.

    Returns
    -------
    str
        ``12 to 31 days, most likely 20``, or ``at or past its limit now``, or, with the
        lower end reached, ``up to 9 days, most likely 3``; ends beyond two years stay open.
    """
    low, middle, high = _float(low), _float(middle), _float(high)
    if low > LONG_DAYS:
        return "more than two years"
    if high > LONG_DAYS:
        high = math.nan
    if high < 0.5:
        return "at or past its limit now"
    if middle < 0.5:
        return "probably at its limit now"
    if low < 0.5:
        if math.isnan(high):
            return "from today on; when is not known"
        return f"up to {number(high)} days, most likely {_whole(middle)}"
    return span(_floor(low), _floor(middle), _floor(high), "days")


def share(part: float | None) -> str:
    """Say a part of a whole: ``25 %``, ``under 1 %``, ``over 99 %``; below nothing ``-12 %``.

    Parameters
    ----------
    part : float or None
        Share, 1 for the whole; negative where something grew.

    Returns
    -------
    str
        Whole per cent; ``not known`` for none.
    """
    part = _float(part)
    if math.isnan(part):
        return "not known"
    if part == 0.0:
        return "nothing"
    if 0.0 < part < 0.01:
        return "under 1 %"
    return "over 99 %" if 0.99 < part < 1.0 else f"{round(100.0 * part)} %"


def share_span(low: float | None, high: float | None) -> str:
    """Say a range of shares: ``16 to 34 %``, ``nothing to 8 %``.

    Parameters
    ----------
    low, high : float or None
        Ends, 1 for the whole.

    Returns
    -------
    str
        The range; ``not known`` without both ends.
    """
    low, high = _float(low), _float(high)
    if math.isnan(low) or math.isnan(high):
        return "not known"
    if share(low) == share(high):
        return share(low)
    return f"{share(low).removesuffix(' %')} to {share(high)}"


def size(size_mm: float | None, length_unit: str = "mm") -> str:
    """Write a caliper reading in the unit of the caliper.

    Parameters
    ----------
    size_mm : float or None
        Size, mm.
    length_unit : {'mm', 'in'}
        The unit on the fleet's calipers.

    Returns
    -------
    str
        ``7.25 mm`` or ``0.285 in``; a reading keeps the digits that a caliper shows.
    """
    size_mm = _float(size_mm)
    if math.isnan(size_mm):
        return "not measured"
    if length_unit == "in":
        return f"{size_mm / MM_PER_INCH:.3f} in"
    return f"{size_mm:.2f}".removesuffix("0") + " mm"


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
    if (last - now).days > 365:
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


def count(how_many: int, noun: str, plural: str | None = None) -> str:
    """Write a count with its noun in the right number: ``1 hull``, ``3 hulls``."""
    return f"{how_many} {noun if how_many == 1 else plural or noun + 's'}"


def listed(names: list[str], most: int = 6) -> str:
    """Join names as in a sentence; beyond `most`, say how many more there are."""
    shown = names[:most]
    if len(names) > most:
        return f"{', '.join(shown)} and {len(names) - most} more"
    return " and ".join([", ".join(shown[:-1]), shown[-1]]) if len(shown) > 1 else "".join(shown)


def plain(text: object) -> str:
    """Escape what Markdown would act on, so that a name from the logs shows as it is written."""
    flat = " ".join(str(text).split())
    return "".join(f"\\{letter}" if letter in _MARKDOWN else letter for letter in flat)


def _float(value: float | None) -> float:
    """Give NaN for everything that is not known: None, NaN and endless."""
    return math.nan if value is None or not math.isfinite(value) else float(value)


def _round_odds(odds: float) -> int:
    """Round odds so that they can be remembered: whole to 20, then by 5, then by 10."""
    step = 1 if odds < 20.5 else 5 if odds < 52.5 else 10
    return min(step * round(odds / step), 100)


def _floor(days: float) -> float:
    return days if math.isnan(days) else float(max(math.floor(days), 1))


def _whole(days: float) -> str:
    return "not known" if math.isnan(days) else number(max(round(days), 1))
