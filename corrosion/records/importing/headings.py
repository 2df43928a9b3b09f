"""Headings: which column of the log a heading in a file most likely means, and in which unit."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from functools import lru_cache

from corrosion.records.logs import Log

# other ways to write a column's name, as people head their own tables; ours, common practice
_SYNONYMS: Mapping[str, tuple[str, ...]] = {
    "hull_id": ("hull", "boat", "boat id", "boat no", "boat number", "hull no", "hull number"),
    "mooring_id": ("mooring", "place", "dock", "base", "station", "marina"),
    "position": ("anode", "anode position", "place of anode"),
    "layout": ("arrangement", "engine layout", "engine type"),
    "started": (
        "start",
        "time out",
        "out time",
        "time started",
        "out",
        "cast off",
        "departure",
        "left",
        "from",
    ),
    "ended": (
        "end",
        "time back",
        "time in",
        "time ended",
        "back time",
        "in time",
        "in",
        "back",
        "return",
        "returned",
        "until",
        "to",
    ),
    "engine_hours": ("engine h", "hours run", "running hours", "run hours", "hours"),
    "meter_hours": ("meter", "hour meter", "engine meter", "meter reading"),
    "read_at": ("read", "date read", "measured", "measured at", "checked", "inspected"),
    "flushed_at": ("flushed", "flush time", "rinsed", "rinsed at"),
    "fitted_at": ("fitted", "changed", "replaced", "date fitted", "installed"),
    "sampled_at": ("sampled", "sample time"),
    "starts": ("start", "from", "hire starts", "pick up"),
    "ends": ("end", "to", "until", "hire ends", "drop off"),
    "since": ("from", "moved", "since date"),
    "moved_at": ("moved", "when"),
    "size_mm": ("size", "diameter", "length", "thickness", "measurement", "caliper", "remaining"),
    "size_low_mm": ("at least", "size low", "size from"),
    "size_high_mm": ("at most", "size high", "size to"),
    "new_size_mm": ("new size", "size new"),
    "limit_size_mm": ("limit", "limit size", "replace at"),
    "removed": ("taken out", "came out"),
    "cleaned": ("brushed",),
    "potential_mv": ("potential", "hull potential"),
    "bond_ohm": ("bond", "resistance", "contact resistance"),
    "minutes": ("duration", "min", "flush minutes", "how long"),
    "done": ("flushed yes no", "was flushed"),
    "salinity_g_per_kg": ("salinity", "psu", "ppt"),
    "conductivity_ms_per_cm": ("conductivity",),
    "conductivity_at_25c": ("temperature compensated", "compensated", "at 25 c"),
    "touched_metal": ("metal touched", "measured on", "touched"),
    "temperature_c": ("temperature", "temp", "water temperature"),
    "note": ("notes", "remark", "remarks", "comment", "comments"),
    "entered_by": ("by", "who", "role", "shift"),
    "hire_value": ("hire", "price", "value"),
    "part_number": ("part", "part no"),
    "pieces": ("count", "quantity", "qty"),
    "name": ("boat name", "hull name"),
}
_OF_THE_EVENT = ("date time", "datetime", "timestamp", "time stamp", "when", "at")
_DAY, _CLOCK = ("date", "day"), ("time", "clock", "hour of day")

# a unit as people write it, after the name or in brackets
UNITS: Mapping[str, str] = {
    "mm": "mm",
    "millimetre": "mm",
    "millimeter": "mm",
    "cm": "cm",
    "in": "in",
    "inch": "in",
    "inches": "in",
    '"': "in",
    "h": "h",
    "hr": "h",
    "hrs": "h",
    "hours": "h",
    "min": "min",
    "mins": "min",
    "minutes": "min",
    "mv": "mV",
    "v": "V",
    "volt": "V",
    "ohm": "ohm",
    "kohm": "kohm",
    "c": "°C",
    "f": "°F",
    "psu": "g/kg",
    "ppt": "g/kg",
    "g kg": "g/kg",
    "ms cm": "mS/cm",
    "us cm": "µS/cm",
    "\u03bcs/cm": "µS/cm",
    "s m": "S/m",
}


@lru_cache(maxsize=4096)
def bare(heading: str) -> str:
    """A heading in small letters without accents, marks and brackets' contents."""
    text = re.sub(r"[(\[].*?[)\]]", " ", heading)
    return _words(text) or _words(heading)


def _words(text: str) -> str:
    plain = unicodedata.normalize("NFKD", text.casefold())
    plain = "".join(mark for mark in plain if not unicodedata.combining(mark))
    return " ".join(re.findall(r"[a-z0-9]+", plain))


@lru_cache(maxsize=4096)
def unit_in(heading: str, column: str) -> str | None:
    """The unit that a heading names; None where it names none.

    Parameters
    ----------
    heading : str
        Such as `Size (in)` or `size_mm`.
    column : str
        The column that it means: what is part of that name (`engine_hours`) says nothing new,
        except for a unit that ends it.
    """
    for inside in re.findall(r"[(\[](.*?)[)\]]", heading):
        unit = UNITS.get(inside.strip().casefold()) or UNITS.get(_words(inside))
        if unit:
            return unit
    words = bare(heading).split()
    if not words or bare(heading) == _words(column) or len(words) < 2:
        return None
    last = words[-1]
    return UNITS.get(last) if last not in ("in", "c", "f", "v", "h") or len(last) > 1 else None


def guessed(log: Log, headings: Iterable[str]) -> dict[str, str]:
    """Columns of a log to the headings that most likely mean them.

    Parameters
    ----------
    log : Log
        The log.
    headings : iterable of str
        As in the file.

    Returns
    -------
    dict of str to str
        Exact names first, then names without their unit, then other ways to write them. A heading
        is used once; a day and a clock time in two columns are joined by `+`.
    """
    left = list(headings)
    columns: dict[str, str] = {}
    for ways in (_exact, _without_unit, _other_ways):
        for column in log.names:
            fitting = [heading for heading in left if bare_fits(heading, ways(column, log))]
            if column not in columns and fitting:
                columns[column] = fitting[0]
                left.remove(fitting[0])
    return columns | _day_and_clock(log, columns, left)


def bare_fits(heading: str, ways: Iterable[str]) -> bool:
    """True when a heading, with its unit or without, is one of these."""
    whole = bare(heading)
    words = whole.split()
    short = " ".join(words[:-1]) if len(words) > 1 and words[-1] in UNITS else whole
    return bool({whole, short, _words(heading)} & {*ways})


def _exact(column: str, _: Log) -> list[str]:
    return [_words(column)]


def _without_unit(column: str, _: Log) -> list[str]:
    short = re.sub(r"_(mm|mv|c|g_per_kg|ms_per_cm|ohm)$", "", column)
    return [_words(short)]


def _other_ways(column: str, log: Log) -> list[str]:
    ways = [_words(way) for way in _SYNONYMS.get(column, ())]
    return ways + ([*_OF_THE_EVENT] if column == log.event_time else [])


def _day_and_clock(log: Log, columns: Mapping[str, str], left: list[str]) -> dict[str, str]:
    """Times written in two columns: the day, and the clock; or one day for two clocks."""
    day = next((heading for heading in left if bare(heading) in _DAY), None)
    moments = [c.name for c in log if c.required and c.kind in ("moment", "date")]
    if day is None or not moments:
        return {}
    clock = next((heading for heading in left if bare(heading) in _CLOCK), None)
    if len(moments) == 1 and moments[0] not in columns:
        return {moments[0]: day if clock is None else f"{day}+{clock}"}
    return {name: f"{day}+{columns[name]}" for name in moments if name in columns}
