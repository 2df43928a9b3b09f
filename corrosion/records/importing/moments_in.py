"""Moments in: texts of a file as times, the order of day and month decided over the whole file."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

from corrosion.common import read_clock
from corrosion.records.importing.raw import Cell

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_CLOCK = (
    r"(?:[ T,]+(?P<hour>\d{1,2})[:.h](?P<minute>\d{2})(?::(?P<second>\d{2})(?:[.,](?P<part>\d+))?)?"
    r"\s*(?P<half>[ap]\.?m\.?)?)?"
    r"\s*(?P<zone>z|utc|[+-]\d{2}(?::?\d{2})?)?$"
)
_FORMS = [
    re.compile(form + _CLOCK, re.I)
    for form in (
        r"^(?P<year>\d{4})[-/.](?P<month>\d{1,2})[-/.](?P<day>\d{1,2})",
        r"^(?P<day>\d{1,2})\.\s?(?P<month>\d{1,2})\.\s?(?P<year>\d{4}|\d{2})",
        r"^(?P<one>\d{1,2})(?P<mark>[/-])(?P<two>\d{1,2})(?P=mark)(?P<year>\d{4}|\d{2})",
        r"^(?P<day>\d{1,2})\.?[ -](?P<name>[a-z]{3,9})\.?,?[ -](?P<year>\d{4}|\d{2})",
        r"^(?P<name>[a-z]{3,9})\.? (?P<day>\d{1,2}),? (?P<year>\d{4})",
    )
]

NO_TIME = "is no time"
NO_DATE = "is no date of the calendar"
TWICE = "was on the clock twice that day; write its offset, such as +01:00, or say which one"
SKIPPED = "never was on the clock that day, which was put forward"
BEYOND = "lies outside 1900 to 2200"


@dataclass(frozen=True)
class Clock:
    """How times without a zone are read.

    Attributes
    ----------
    day_first : bool
        True: `03/04` is 3 April.
    zone : ZoneInfo
        Where the clock hung.
    twice : {'earlier', 'later'} or None
        Which one is meant where the clock showed a time twice; None: such a time is not taken.
    """

    day_first: bool
    zone: ZoneInfo
    twice: Literal["earlier", "later"] | None = None


def _parts(text: str) -> dict[str, str] | None:
    for form in _FORMS:
        match = form.match(text)
        if match:
            return {name: value for name, value in match.groupdict().items() if value}
    return None


def day_order(cells: Iterable[Cell | None]) -> bool | str | None:
    """Whether the day stands before the month in a file.

    Parameters
    ----------
    cells : iterable of Cell or None
        Of all columns of times.

    Returns
    -------
    bool, None or str
        True: the day is first. False: the month. None: nothing hangs on it. A cell's text: it may
        be two dates, and no other cell tells which, or others tell both.
    """
    day_first: set[bool] = set()
    open_text = ""
    for cell in cells:
        parts = _parts(cell.text) if cell else None
        if not cell or parts is None or "one" not in parts:
            continue
        one, two = int(parts["one"]), int(parts["two"])
        if one > 12 >= two:
            day_first.add(True)
        elif two > 12 >= one:
            day_first.add(False)
        elif one != two:
            open_text = open_text or cell.text
    if len(day_first) == 1:
        return day_first.pop()
    if day_first:
        return open_text or next(cell.text for cell in cells if cell)
    return open_text or None


def moment_of(text: str, clock: Clock) -> tuple[datetime | None, str]:
    """A text as a moment in UTC, and why not.

    Parameters
    ----------
    text : str
        A date, or a date and a time, with an offset or without.
    clock : Clock
        How it is read where it does not say.

    Returns
    -------
    datetime or None, str
        The moment and nothing; or none and a reason.
    """
    parts = _parts(text)
    if parts is None:
        return None, NO_TIME
    naive = _naive(parts, clock.day_first)
    if naive is None:
        return None, NO_DATE
    if not 1900 <= naive.year < 2200:
        return None, BEYOND
    if "zone" in parts:
        return (naive - _offset(parts["zone"])).replace(tzinfo=UTC), ""
    return _placed(naive, clock)


def _naive(parts: dict[str, str], day_first: bool) -> datetime | None:
    if "one" in parts:
        names = ("day", "month") if day_first else ("month", "day")
        parts = parts | dict(zip(names, (parts["one"], parts["two"]), strict=True))
    month = _month(parts)
    year = int(parts["year"]) + (2000 if len(parts["year"]) == 2 else 0)
    hour = int(parts.get("hour", 0))
    half = parts.get("half", "").lower()[:1]
    if half:
        hour = hour % 12 + 12 * (half == "p") if 1 <= hour <= 12 else 99
    second, part = int(parts.get("second", 0)), parts.get("part", "")[:6].ljust(6, "0")
    try:
        day = datetime(year, month, int(parts["day"]))
        return day.replace(
            hour=hour, minute=int(parts.get("minute", 0)), second=second, microsecond=int(part)
        )
    except ValueError:
        return None


def _month(parts: dict[str, str]) -> int:
    if "name" not in parts:
        return int(parts["month"])
    short = parts["name"].lower()[:3]
    return _MONTHS.index(short) + 1 if short in _MONTHS else 0


def _offset(text: str) -> timedelta:
    if text.lower() in ("z", "utc"):
        return timedelta(0)
    digits = text[1:].replace(":", "").ljust(4, "0")
    size = timedelta(hours=int(digits[:2]), minutes=int(digits[2:]))
    return -size if text.startswith("-") else size


def _placed(naive: datetime, clock: Clock) -> tuple[datetime | None, str]:
    """A clock reading as a moment, where the clock hung."""
    reading = read_clock(naive, clock.zone)
    if reading.skipped:
        return None, SKIPPED
    if reading.second is None:
        return reading.moment.to_pydatetime(), ""
    if clock.twice is None:
        return None, TWICE
    return (reading.moment if clock.twice == "earlier" else reading.second).to_pydatetime(), ""
