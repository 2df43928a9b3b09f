"""What the yard can do on each day of the horizon: bays, hours, hulls, people."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, time

import numpy as np
import numpy.typing as npt
import pandas as pd

from corrosion.common import Floats
from corrosion.records import Bay, DaysOff, Mechanic, Settings
from corrosion.workshop.plan.horizon import Horizon

WHOLE_DAY_H = (0.0, 24.0)
DAY_FROM_H, DAY_TO_H = 8.0, 17.0
"""Hours of a bay that says none."""
NO_HOURS = "Bays without hours in fleet.toml work from 08:00 to 17:00."
DEFAULT_BAY = {"weekdays": (0, 1, 2, 3, 4), "hulls_per_day": 2, "hours_per_day": 8.0}
NO_BAYS = (
    "No bays in fleet.toml: one bay a mooring is taken, Monday to Friday, 2 hulls and 8 h a day."
)
Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class BayDays:
    """One bay over the horizon.

    Attributes
    ----------
    mooring_id : str
    bay : int, from 1 at each mooring
    hulls : ndarray, shape (d,), most hulls each day, inf: not limited
    hours : ndarray, shape (d,), most working hours each day, h
    window_h : (float, float), working hours of the clock between which a hull must not be on hire
    closed : tuple of str, why it is closed on each day, empty where it is open
    opens_h, closes_h : ndarray, shape (d,), hours of the clock between which visits lie
    """

    mooring_id: str
    bay: int
    hulls: Floats
    hours: Floats
    window_h: tuple[float, float]
    closed: tuple[str, ...]
    opens_h: Floats
    closes_h: Floats

    @property
    def open(self) -> Flags:
        """Return whether anything can be done on each day, shape (d,)."""
        return (self.hulls >= 1) & (self.hours > 0)


@dataclass(frozen=True)
class Crew:
    """One mechanic over the horizon: where, and hours each day (h, shape (d,))."""

    name: str
    moorings: frozenset[str]
    hours: Floats


@dataclass(frozen=True)
class Yard:
    """All bays and people over the horizon; `assumed` says what was taken for granted."""

    bays: tuple[BayDays, ...]
    crews: tuple[Crew, ...]
    unplanned: int
    assumed: tuple[str, ...]

    def at(self, mooring_id: str) -> list[BayDays]:
        """Return the bays of a mooring."""
        return [place for place in self.bays if place.mooring_id == mooring_id]


def bays_of(settings: Settings, moorings: Iterable[str]) -> tuple[Bay, ...]:
    """Return the fleet's bays, or the modest default where it names none."""
    if settings.bays:
        return settings.bays
    return tuple(Bay(mooring, **DEFAULT_BAY) for mooring in sorted(moorings))  # type: ignore[arg-type]


def open_weekdays(bays: Sequence[Bay]) -> frozenset[int]:
    """Return the weekdays on which any bay works."""
    return frozenset(day for bay in bays for day in bay.weekdays)


def lay_out_yard(
    settings: Settings, bays: Sequence[Bay], windows: pd.DataFrame, horizon: Horizon
) -> Yard:
    """Lay the yard out over the days of the horizon.

    Parameters
    ----------
    settings : Settings
    bays : the fleet's bays
    windows : DataFrame, the log `slip_windows` (mooring_id, opens, closes in UTC); a mooring with
        any row works only inside its windows
    horizon : Horizon

    Returns
    -------
    Yard
    """
    count: dict[str, int] = {}
    places = []
    for bay in bays:
        count[bay.mooring_id] = number = count.get(bay.mooring_id, 0) + 1
        own = windows[windows["mooring_id"] == bay.mooring_id]
        places.append(_place(bay, number, settings.days_off, own, horizon))
    crews = tuple(_crew(each, settings.days_off, horizon) for each in settings.mechanics)
    assumed = () if settings.bays else (NO_BAYS,)
    if any(bay.hours is None for bay in bays):
        assumed = (*assumed, NO_HOURS)
    return Yard(tuple(places), crews, settings.unplanned_per_week, assumed)


def _place(
    bay: Bay, number: int, off: Sequence[DaysOff], windows: pd.DataFrame, horizon: Horizon
) -> BayDays:
    window_h = WHOLE_DAY_H if bay.hours is None else (_clock(bay.hours[0]), _clock(bay.hours[1]))
    spans = [_slip_span(windows, day, window_h, horizon) for day in horizon.days]
    usable = [closes - opens for opens, closes in spans]
    closed = tuple(
        _closed(bay, off, day, hours) for day, hours in zip(horizon.days, usable, strict=True)
    )
    works = np.array([not why for why in closed])
    most = np.inf if bay.hulls_per_day is None else float(bay.hulls_per_day)
    longest = window_h[1] - window_h[0]
    hours = longest if bay.hours_per_day is None else min(bay.hours_per_day, longest)
    opens, closes = np.array(spans, float).reshape(-1, 2).T
    if bay.hours is None and windows.empty:
        opens = np.full(len(spans), DAY_FROM_H)
        usual = DAY_TO_H - DAY_FROM_H
        long = usual if bay.hours_per_day is None else max(bay.hours_per_day, usual)
        closes = np.minimum(opens + long, WHOLE_DAY_H[1])
    hours = np.minimum(np.minimum(hours, usable), closes - opens)
    return BayDays(
        bay.mooring_id, number, np.where(works, most, 0.0), np.where(works, hours, 0.0), window_h,
        closed, opens, closes,
    )  # fmt: skip


def _clock(moment: time) -> float:
    return moment.hour + moment.minute / 60.0


def _slip_span(
    windows: pd.DataFrame, day: date, window_h: tuple[float, float], horizon: Horizon
) -> tuple[float, float]:
    """Return the longest span of a day in which the slip can be used: from and to, clock hours."""
    if windows.empty:
        return window_h
    midnight = pd.Timestamp(day, tz=horizon.zone)
    opens, closes = (midnight + pd.Timedelta(hours=hour) for hour in window_h)
    begin = windows["opens"].where(windows["opens"] > opens, opens)
    end = windows["closes"].where(windows["closes"] < closes, closes)
    hours = ((end - begin).dt.total_seconds() / 3600.0).fillna(0.0).to_numpy(float)
    longest = int(hours.argmax())
    if hours[longest] <= 0:
        return window_h[0], window_h[0]
    starts = float((begin.iloc[longest] - midnight).total_seconds() / 3600.0)
    return starts, starts + float(hours[longest])


def _closed(bay: Bay, off: Sequence[DaysOff], day: date, hours: float) -> str:
    """Say why a bay is closed on a day; empty where it is open."""
    if day.weekday() not in bay.weekdays:
        return "the bay does not work on that weekday"
    away = _off(off, bay.mooring_id, day)
    if away is not None:
        return f"day off{f' ({away.reason})' if away.reason else ''}"
    if bay.hulls_per_day == 0 or bay.hours_per_day == 0:
        return "the bay takes no hulls"
    return "" if hours > 0 else "no slip window on that day"


def _off(off: Sequence[DaysOff], mooring_id: str, day: date) -> DaysOff | None:
    hit = (each for each in off if each.first <= day <= each.last)
    return next((each for each in hit if each.mooring_id in (None, mooring_id)), None)


def _crew(mechanic: Mechanic, off: Sequence[DaysOff], horizon: Horizon) -> Crew:
    everywhere = [each for each in off if each.mooring_id is None]
    works = [
        day.weekday() in mechanic.weekdays
        and day not in mechanic.days_off
        and _off(everywhere, "", day) is None
        for day in horizon.days
    ]
    hours = np.where(works, mechanic.hours_per_day, 0.0)
    return Crew(mechanic.name, frozenset(mechanic.moorings), hours)
