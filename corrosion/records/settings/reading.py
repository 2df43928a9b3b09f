"""The settings of a fleet: `fleet.toml`, checked key by key."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal
from zoneinfo import ZoneInfo

from corrosion.common import LogRefused, read_plain
from corrosion.records.settings import values
from corrosion.records.settings.values import SETTINGS_FILE, Reader
from corrosion.records.settings.yard import (
    BAY_KEYS,
    DAYS_OFF_KEYS,
    MECHANIC_KEYS,
    Bay,
    DaysOff,
    Express,
    Hires,
    Mechanic,
    on_hand,
    read_bays,
    read_days_off,
    read_express,
    read_hires,
    read_mechanics,
)

UTC = ZoneInfo("UTC")
ROLES = ("dock, early shift", "dock, late shift", "workshop", "office")


@dataclass(frozen=True)
class Settings:
    """What the fleet says about itself.

    Attributes
    ----------
    name : str
        Name of the fleet.
    timezone : ZoneInfo
        Zone in which its people read the clock.
    currency : str
        Currency of every cost, as shown.
    length_unit : {'mm', 'in'}
        Unit of lengths on the screen; logs are in mm.
    simulated : bool
        True: an invented fleet, labelled as such everywhere.
    tolerated_risk : float
        Largest risk the fleet lives with, strictly between 0 and 1.
    wage_per_hour : float or None
        Cost of an hour's work, currency per h.
    flush_minutes : float or None
        What a flush takes, min.
    bays : tuple of Bay
        Places where hulls are worked on.
    stock : mapping of str to int, or to a mapping of str to int
        Part number to pieces on hand in the common store, or to pieces by mooring.
    haul_hours : float
        To haul, wash and lock out a hull and put it back, h.
    unplanned_per_week : int
        Pull-outs that each mooring keeps free every week for what nobody planned.
    late_days : float
        Days past its limit after which an anode's `late_cost` is taken as spent once, d.
    lead_days : float
        From order to delivery of a part that has no entry in `lead`, d.
    lead : mapping of str to float
        Part number to days from order to delivery.
    service_level : float
        Chance with which parts are to be there, strictly between 0 and 1.
    days_off : tuple of DaysOff
        Days without pull-outs.
    mechanics : tuple of Mechanic
        Who does the work; none: hours are limited by the bays alone.
    horizon_weeks : int
        Weeks that a plan looks ahead.
    stray_look_days : mapping of str to float
        Water to the most days between two looks at an anode, for what no forecast sees coming; a
        water without an entry has the default of `corrosion.workshop`, which says so.
    roles : tuple of str
        Who writes into the logs: roles or shifts, never people's names.
    stop_chance : float
        A hull whose chance of an anode past its limit is at least this now must not be hired out.
    churn_cost : float or None
        What changing the day of a visit costs once its plan was issued, currency.
    hires : Hires
        What may be done with hires that are booked.
    express : mapping of str to Express
        Part number to what a courier takes.
    address : str
        Where phones find the dashboard, for links on printed sheets; empty: not known.
    extra : mapping of str to object
        Keys that this program does not know, kept as they are (a bay's as `bays.1.key`).
    """

    name: str = ""
    timezone: ZoneInfo = UTC
    currency: str = ""
    length_unit: Literal["mm", "in"] = "mm"
    simulated: bool = False
    tolerated_risk: float = 0.10
    wage_per_hour: float | None = None
    flush_minutes: float | None = None
    bays: tuple[Bay, ...] = ()
    stock: Mapping[str, int | Mapping[str, int]] = field(default_factory=dict)
    haul_hours: float = 0.75
    unplanned_per_week: int = 1
    late_days: float = 30.0
    lead_days: float = 14.0
    lead: Mapping[str, float] = field(default_factory=dict)
    service_level: float = 0.95
    days_off: tuple[DaysOff, ...] = ()
    mechanics: tuple[Mechanic, ...] = ()
    horizon_weeks: int = 6
    stray_look_days: Mapping[str, float] = field(default_factory=dict)
    roles: tuple[str, ...] = ROLES
    stop_chance: float = 0.5
    churn_cost: float | None = None
    hires: Hires = field(default_factory=Hires)
    express: Mapping[str, Express] = field(default_factory=dict)
    address: str = ""
    extra: Mapping[str, object] = field(default_factory=dict)


def read_settings(folder: Path) -> Settings:
    """Read the settings of a fleet.

    Parameters
    ----------
    folder : Path
        The fleet's folder; without a `fleet.toml` every setting has its default.

    Returns
    -------
    Settings
        Every key checked; unknown keys under `extra`.

    Raises
    ------
    LogRefused
        The file cannot be read, or a value is not what its key means.
    """
    path = Path(folder) / SETTINGS_FILE
    # a link that leads nowhere is no fleet without settings: it is refused as it is opened
    return _settings(_parsed(_bytes(path))) if os.path.lexists(path) else Settings()


def settings_of(text: str) -> Settings:
    """Read the settings that a text says, before it becomes anybody's `fleet.toml`.

    Parameters
    ----------
    text : str
        TOML.

    Returns
    -------
    Settings
        As `read_settings` would read them.

    Raises
    ------
    LogRefused
        It is no TOML, or a value is not what its key means.
    """
    return _settings(_parsed(text.encode("utf-8")))


def _settings(given: dict[str, Any]) -> Settings:
    known = {key: read(key, given[key]) for key, read in _READERS.items() if key in given}
    known |= {key: read(given[key]) for key, read in _TABLES.items() if key in given}
    return Settings(**known, extra=_extra(given))


def _extra(given: dict[str, Any]) -> dict[str, object]:
    """Return what no key of ours is, that inside of tables as `bays.1.key`."""
    extra = {key: value for key, value in given.items() if key not in {*_READERS, *_TABLES}}
    for table, keys in _TABLE_KEYS.items():
        for number, raw in enumerate(given.get(table, []), start=1):
            extra |= {f"{table}.{number}.{key}": raw[key] for key in raw if key not in keys}
    return extra


def _bytes(path: Path) -> bytes:
    try:
        return read_plain(path, MOST_BYTES)
    except OSError as error:
        raise LogRefused(
            f"{SETTINGS_FILE}: cannot be opened ({error.strerror}). Put the file itself there, or "
            "take the name away to go by what is usual."
        ) from error


def _parsed(raw: bytes) -> dict[str, Any]:
    try:
        return tomllib.loads(raw.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise LogRefused(
            f"{SETTINGS_FILE}: is not UTF-8 text (byte {error.start}). Save it as UTF-8."
        ) from error
    except (ValueError, RecursionError) as error:  # also numbers too long to be one
        raise LogRefused(
            f"{SETTINGS_FILE}: is not valid TOML: {error}. Correct that line."
        ) from error


MOST_BYTES = 1_000_000
MOST_WEEKS_AHEAD = 13  # a quarter; the plan takes longer to find the more weeks it has
MOST_DAYS = 3_660
DAY_H = 24
A_WEEK = 1_000


def _some_days(key: str, value: object) -> float:
    number = values.an_amount(key, value)
    if number == 0:
        values.refuse(key, value, "Write more than zero.")
    return number


_READERS: dict[str, Reader] = {
    "name": values.a_text,
    "timezone": values.a_zone,
    "currency": values.a_currency,
    "length_unit": values.a_length_unit,
    "simulated": values.a_flag,
    "tolerated_risk": values.a_risk,
    "wage_per_hour": values.an_amount,
    "flush_minutes": values.up_to(DAY_H * 60, values.an_amount),
    "stock": values.by_part(on_hand),
    "haul_hours": values.up_to(DAY_H, values.an_amount),
    "unplanned_per_week": values.up_to(A_WEEK, values.a_count),
    "late_days": values.up_to(MOST_DAYS, _some_days),
    "lead_days": values.up_to(MOST_DAYS, values.an_amount),
    "lead": values.by_part(values.up_to(MOST_DAYS, values.an_amount)),
    "service_level": values.a_risk,
    "horizon_weeks": values.up_to(MOST_WEEKS_AHEAD, values.some),
    "stray_look_days": values.by_water(_some_days),
    "roles": values.texts,
    "stop_chance": values.a_risk,
    "churn_cost": values.an_amount,
    "address": values.a_web_address,
}

_TABLES: dict[str, Callable[[object], Any]] = {
    "bays": read_bays,
    "days_off": read_days_off,
    "mechanics": read_mechanics,
    "hires": read_hires,
    "express": read_express,
}

_TABLE_KEYS = {"bays": BAY_KEYS, "days_off": DAYS_OFF_KEYS, "mechanics": MECHANIC_KEYS}
