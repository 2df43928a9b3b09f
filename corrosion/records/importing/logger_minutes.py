"""A logger's rows, one a minute or so, turned into outings: start, stop, engine hours, the water.

A logger writes whether the engine runs, and perhaps how well the water conducts. What comes out is
a table of outings that is read as any other file: same questions, same reasons, same entries.

Notes
-----
* An outing begins with the first row in which the engine runs and ends with the row that finds it
  stopped; stops of less than `SAME_OUTING_MIN` belong to it (swimming, fishing).
* Engine hours are the minutes between rows, counted while the engine runs. Where the logger was
  silent for longer than `SILENT_MIN` within an outing, they are unknown, not guessed.
* Where the engine ran already in the first row, still in the last, or when the logger fell silent
  for longer than an outing's stop, its start or end is not known: it is set aside with the reason.
* The water is told by conductivity and temperature; without a temperature only where it is the same
  at any from 0 to 30 C. Else it is left to the mooring's.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from corrosion.common import LogRefused
from corrosion.records.importing.headings import bare, bare_fits, unit_in
from corrosion.records.importing.raw import Cell, Raw

SAME_OUTING_MIN = 20.0
"""Common practice, no source."""
SILENT_MIN = 5.0
"""Rows further apart are a gap: a logger of one row a minute has missed four (no source)."""

AT_C = (0.0, 10.0, 20.0, 30.0)
FRESH_BELOW_MS_PER_CM = (0.539, 0.718, 0.912, 1.12)
SALT_FROM_MS_PER_CM = (25.243, 33.156, 41.748, 50.875)
"""Conductivities of salinities 0.5 and 30 (Venice System, 1958) at these temperatures by the
Practical Salinity Scale of 1978, not compensated; in between they are nearly a straight line."""
TO_MS_PER_CM = {"mS/cm": 1.0, "µS/cm": 0.001, "S/m": 10.0}

_HULL = ("hull id", "hull", "boat", "boat id", "boat no", "hull no")
_TIME = ("time", "timestamp", "time stamp", "date time", "datetime", "logged at", "at", "utc")
_ENGINE = ("rpm", "engine rpm", "revolutions", "engine on", "engine running", "engine runs")
_CONDUCTIVITY = ("conductivity", "conductivity ms per cm", "water conductivity")
_TEMPERATURE = ("temperature", "water temperature", "temperature c", "water temperature c")
_ON = {"on", "yes", "true", "running"}
_OFF = {"off", "no", "false", "stopped"}
HEADINGS = ("hull_id", "started", "ended", "engine_hours", "water")


@dataclass(frozen=True)
class _Columns:
    """Places of the columns of a logger's table; none of the water's where it has none."""

    hull: int
    time: int
    engine: int
    conductivity: int | None
    temperature: int | None
    factor: float


def outings_of_logger(raw: Raw) -> Raw:
    """Turn a logger's rows into outings; any other table is returned as it is.

    Parameters
    ----------
    raw : Raw
        A table with a hull, a time as ISO 8601 writes it, and the engine: revolutions, or on and
        off. A column of conductivity is used where it names its unit.

    Returns
    -------
    Raw
        One row an outing, headed as the log `outings`; `lines` says where each began, `odd` why
        one can't be taken.

    Raises
    ------
    LogRefused
        Times of a logger's table can't be read, or its engine never runs.
    """
    columns = _columns(raw)
    if columns is None:
        return raw
    table = _table(raw, columns)
    stretches = [one for _, rows in table.groupby("hull", sort=False) for one in _outings(rows)]
    if not stretches:
        raise LogRefused(
            f"{raw.name}: the engine runs in none of {len(table)} rows of a logger, so there is no "
            "outing in it. Revolutions are numbers with a point; on and off are words."
        )
    # hours are worked out here, so their mark of the decimals is no question
    rows = [
        tuple(
            Cell(cell, typed=name == "engine_hours") if cell else None
            for name, cell in zip(HEADINGS, each.cells, strict=True)
        )
        for each in stretches
    ]
    odd = {at: each.odd for at, each in enumerate(stretches) if each.odd}
    lines = [each.line for each in stretches]
    return replace(raw, headings=HEADINGS, rows=rows, lines=lines, odd=odd)


def _columns(raw: Raw) -> _Columns | None:
    """Find the columns of a logger; None where this is another kind of table."""

    def place(ways: tuple[str, ...]) -> int | None:
        return next((at for at, name in enumerate(raw.headings) if bare_fits(name, ways)), None)

    hull, time, engine, water = map(place, (_HULL, _TIME, _ENGINE, _CONDUCTIVITY))
    warmth = place(_TEMPERATURE)
    if hull is None or time is None or engine is None:
        return None
    unit = None if water is None else unit_in(raw.headings[water], "conductivity_ms_per_cm")
    celsius = warmth is None or unit_in(raw.headings[warmth], "temperature_c") in (None, "°C")
    told = water is not None and bare(raw.headings[water]) == "conductivity ms per cm"
    # a conductivity without a unit may be a thousand times another: it tells no water
    factor = 1.0 if told else TO_MS_PER_CM.get(unit or "", np.nan)
    return _Columns(hull, time, engine, water, warmth if celsius else None, factor)


def _table(raw: Raw, columns: _Columns) -> pd.DataFrame:
    """Lay the rows out: hull, time (as written), at (clock), runs, ms_per_cm, degrees_c, line."""

    def texts(place: int | None) -> list[str | None]:
        cells = [None if place is None else row[place] for row in raw.rows]
        return [None if cell is None else cell.text for cell in cells]

    table = pd.DataFrame({"hull": texts(columns.hull), "time": texts(columns.time)}, dtype=object)
    at = pd.to_datetime(table["time"], format="ISO8601", utc=True, errors="coerce")
    table["at"] = at.astype("datetime64[us, UTC]")
    unread = table["at"].isna() & table["time"].notna()
    if unread.any():
        first = int(np.flatnonzero(unread)[0])
        raise LogRefused(
            f"{raw.name}: {int(unread.sum())} rows of a logger whose time cannot be read (first: "
            f"line {raw.lines[first]}, {table['time'][first]}). Write times as 2031-05-02 14:30."
        )
    table["runs"] = [_runs(text) for text in texts(columns.engine)]
    conductivity = pd.to_numeric(pd.Series(texts(columns.conductivity)), errors="coerce")
    table["ms_per_cm"] = conductivity.astype(float) * columns.factor
    table["degrees_c"] = pd.to_numeric(pd.Series(texts(columns.temperature)), errors="coerce")
    table["line"] = raw.lines
    known = table[table["hull"].notna() & table["at"].notna() & table["runs"].notna()]
    return known.sort_values("at", kind="stable")


def _runs(text: str | None) -> bool | None:
    """Whether the engine runs; None where a cell does not tell."""
    word = "" if text is None else text.casefold()
    if word in _ON or word in _OFF:
        return word in _ON
    try:
        return float(word) > 0
    except ValueError:
        return None


@dataclass(frozen=True)
class _Outing:
    """Cells of an outing by HEADINGS, the line it began in, and why it can't be taken."""

    cells: tuple[str, ...]
    line: int
    odd: str


def _outings(rows: pd.DataFrame) -> Iterator[_Outing]:
    """Cut one hull's rows, in order of time, into outings."""
    at_min = rows["at"].astype("int64").to_numpy() / _A_MINUTE
    runs = rows["runs"].to_numpy(bool)
    running = np.flatnonzero(runs)
    if running.size == 0:
        return
    # the row after each running one ends its minutes: there the engine was found stopped, or not
    until = np.minimum(running + 1, runs.size - 1)
    stopped_for = at_min[running[1:]] - at_min[until[:-1]]
    silent_for = at_min[until] - at_min[running]
    apart = (stopped_for >= SAME_OUTING_MIN) | (silent_for[:-1] >= SAME_OUTING_MIN)
    for part in np.split(np.arange(running.size), np.flatnonzero(apart) + 1):
        yield _outing(rows, running[part], until[part], silent_for[part])


def _outing(
    rows: pd.DataFrame, running: np.ndarray, until: np.ndarray, minutes: np.ndarray
) -> _Outing:
    first, last, end = int(running[0]), int(running[-1]), int(until[-1])
    at_min = rows["at"].astype("int64").to_numpy() / _A_MINUTE
    odd = ""
    if end == last:
        odd = "the engine still ran in its last row: import it again with the rows that follow"
    elif minutes[-1] >= SAME_OUTING_MIN:
        odd = "the logger fell silent while the engine ran: say when it ended"
    elif first == 0 or at_min[first] - at_min[first - 1] >= SAME_OUTING_MIN:
        odd = "the engine ran already when the logger began to write: say when it started"
    whole = bool((np.diff(at_min[first : end + 1]) <= SILENT_MIN).all())
    hours = f"{minutes.sum() / 60:.3f}" if whole else ""
    time, hull = rows["time"].to_numpy(object), str(rows["hull"].iloc[0])
    seen = rows[["ms_per_cm", "degrees_c"]].iloc[running].median()
    water = water_by_conductivity(float(seen["ms_per_cm"]), float(seen["degrees_c"]))
    cells = (hull, str(time[first]), str(time[end]), hours, water)
    return _Outing(cells, int(rows["line"].iloc[first]), odd)


_A_MINUTE = 6e7  # microseconds


def water_by_conductivity(ms_per_cm: float, degrees_c: float) -> str:
    """Say which water conducts so well.

    Parameters
    ----------
    ms_per_cm : float, conductivity, not compensated; NaN is unknown
    degrees_c : float, C; NaN is any from 0 to 30

    Returns
    -------
    str
        One of the waters of a mooring; empty where it may be two of them.
    """
    any_c = AT_C[0], AT_C[-1]
    cold, warm = any_c if np.isnan(degrees_c) else (degrees_c, degrees_c)
    fresh = [float(np.interp(c, AT_C, FRESH_BELOW_MS_PER_CM)) for c in (cold, warm)]
    salt = [float(np.interp(c, AT_C, SALT_FROM_MS_PER_CM)) for c in (cold, warm)]
    if ms_per_cm < fresh[0]:
        return "fresh"
    if ms_per_cm >= salt[1]:
        return "salt"
    return "brackish" if fresh[1] <= ms_per_cm < salt[0] else ""
