"""The clock changes of a time zone, written out as iCalendar wants them (RFC 5545, 3.6.5).

Notes
-----
* Clock changes are written out by `zone_rules`. icalendar 7.3.2 gives the onset of summer time an
  hour late (by the new clock, where RFC 5545, 3.6.5 asks for the old one) and definitions that
  say they hold only between two dates. Ours are whole years without recurrence rules; a test
  works local times back to UTC from the file's VTIMEZONE alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

_STEP: Final = timedelta(days=1)
_SHARP: Final = timedelta(minutes=1)


def zone_rules(zone: ZoneInfo, first_year: int, last_year: int) -> Timezone:
    """Define a zone over whole years, each clock change with its own onset.

    The onset of each part is the clock's reading just before it, by the offset from which it
    changes, as the standard has it; icalendar's own definitions begin summer time an hour late.

    Parameters
    ----------
    zone : ZoneInfo
        The zone.
    first_year, last_year : int
        Years, both included.

    Returns
    -------
    Timezone
        A VTIMEZONE without recurrence rules: nothing has to be worked out by who reads it.
    """
    begins, ends = (datetime(year, 1, 1, tzinfo=UTC) for year in (first_year, last_year + 1))
    defined = Timezone()
    defined.add("tzid", zone.key)
    for moment in (begins, *clock_changes(zone, begins, ends)):
        defined.add_component(_part(zone, moment))
    return defined


def clock_changes(zone: ZoneInfo, begins: datetime, ends: datetime) -> Iterator[datetime]:
    """Find the moments, UTC to the minute, from which a zone has another offset."""
    early = begins
    while early < ends:
        late = min(early + _STEP, ends)
        if _offset(zone, late) != _offset(zone, early):
            yield _change(zone, early, late)
        early = late


def _change(zone: ZoneInfo, early: datetime, late: datetime) -> datetime:
    """Halve the stretch until the change stands at its end."""
    while late - early > _SHARP:
        middle = early + _SHARP * ((late - early) // _SHARP // 2)
        early, late = (
            (middle, late) if _offset(zone, middle) == _offset(zone, early) else (early, middle)
        )
    return late


def _part(zone: ZoneInfo, moment: datetime) -> TimezoneDaylight | TimezoneStandard:
    local = moment.astimezone(zone)
    before = _offset(zone, moment - _SHARP)
    part = TimezoneDaylight() if local.dst() else TimezoneStandard()
    onset = (moment + before).replace(tzinfo=None)
    part.add("dtstart", onset)
    part.add("rdate", [onset])  # says nothing new, but some readers want a rule or a date
    part.add("tzoffsetfrom", before)
    part.add("tzoffsetto", _offset(zone, moment))
    part.add("tzname", local.tzname() or zone.key)
    return part


def _offset(zone: ZoneInfo, moment: datetime) -> timedelta:
    return moment.astimezone(zone).utcoffset() or timedelta(0)
