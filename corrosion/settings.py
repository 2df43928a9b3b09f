"""The settings of a fleet: `fleet.toml`, checked key by key."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal, NoReturn
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from corrosion.errors import LogRefused

SETTINGS_FILE = "fleet.toml"
UTC = ZoneInfo("UTC")
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


@dataclass(frozen=True)
class Bay:
    """A place where hulls are pulled out and worked on.

    Attributes
    ----------
    mooring_id : str
        The mooring it serves.
    weekdays : tuple of int
        Days on which it works, 0 is Monday, 6 is Sunday; every day when not given.
    hulls_per_day : int or None
        Most hulls in a day; None: not limited.
    hours_per_day : float or None
        Most working hours in a day, h; None: not limited.
    """

    mooring_id: str
    weekdays: tuple[int, ...] = (0, 1, 2, 3, 4, 5, 6)
    hulls_per_day: int | None = None
    hours_per_day: float | None = None


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
    stock : mapping of str to int
        Part number to pieces on hand.
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
    stock: Mapping[str, int] = field(default_factory=dict)
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
    if not path.exists():
        return Settings()
    given = _parsed(path)
    known = {key: read(key, given[key]) for key, read in _READERS.items() if key in given}
    bays = _bays(given.get("bays", []))
    extra = {key: value for key, value in given.items() if key not in {*_READERS, "bays"}}
    for number, raw in enumerate(given.get("bays", []), start=1):
        extra |= {f"bays.{number}.{key}": raw[key] for key in raw if key not in _BAY_READERS}
    return Settings(**known, bays=bays, extra=extra)


def _parsed(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_bytes().decode("utf-8-sig"))
    except OSError as error:
        raise LogRefused(f"{SETTINGS_FILE}: cannot be opened ({error.strerror}).") from error
    except UnicodeDecodeError as error:
        raise LogRefused(
            f"{SETTINGS_FILE}: is not UTF-8 text (byte {error.start}). Save it as UTF-8."
        ) from error
    except (ValueError, RecursionError) as error:  # also numbers too long to be one
        raise LogRefused(
            f"{SETTINGS_FILE}: is not valid TOML: {error}. Correct that line."
        ) from error


def _refuse(key: str, value: object, what_to_do: str) -> NoReturn:
    shown = repr(value)
    shown = shown if len(shown) <= 60 else shown[:57] + "..."
    raise LogRefused(f"{SETTINGS_FILE}: {key} = {shown} cannot be used. {what_to_do}")


def _text(key: str, value: object) -> str:
    if not isinstance(value, str):
        _refuse(key, value, "Write a text in quotes.")
    return value.strip()


def _identifier(key: str, value: object) -> str:
    """An id as text; a whole number is read as its text, as in the logs."""
    if isinstance(value, int) and not isinstance(value, bool):
        return str(value)
    text = _text(key, value)
    if not text:
        _refuse(key, value, "Write the id that the logs use.")
    return text


def _flag(key: str, value: object) -> bool:
    if not isinstance(value, bool):
        _refuse(key, value, "Write true or false, without quotes.")
    return value


def _number(key: str, value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        _refuse(key, value, "Write a number, without quotes.")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        _refuse(key, value, "Write a finite number.")
    return number


def _amount(key: str, value: object) -> float:
    number = _number(key, value)
    if number < 0:
        _refuse(key, value, "Write zero or more.")
    return number


def _count(key: str, value: object) -> int:
    number = _amount(key, value)
    if not number.is_integer():
        _refuse(key, value, "Write a whole number.")
    return int(number)


def _risk(key: str, value: object) -> float:
    number = _number(key, value)
    if not 0 < number < 1:
        _refuse(key, value, "Write a chance above 0 and below 1, such as 0.10.")
    return number


def _length_unit(key: str, value: object) -> str:
    text = _text(key, value).lower()
    if text not in {"mm", "in"}:
        _refuse(key, value, 'Write "mm" or "in".')
    return text


def _zone(key: str, value: object) -> ZoneInfo:
    name = _text(key, value)
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        _refuse(key, value, 'Write an IANA time zone, such as "Europe/Lisbon" or "UTC".')


def _weekday(key: str, value: object) -> int:
    text = _text(key, value).lower().rstrip(".")
    found = [day for day, name in enumerate(WEEKDAYS) if len(text) >= 2 and name.startswith(text)]
    if len(found) != 1:
        _refuse(key, value, 'Write weekdays by name, such as ["Monday", "Thu"].')
    return found[0]


def _weekdays(key: str, value: object) -> tuple[int, ...]:
    given = [value] if isinstance(value, str) else value
    if not isinstance(given, list) or not given:
        _refuse(key, value, 'Write a list of weekdays, such as ["Monday", "Thu"].')
    return tuple(sorted({_weekday(key, day) for day in given}))


def _stock(key: str, value: object) -> Mapping[str, int]:
    if not isinstance(value, dict):
        _refuse(key, value, "Write a table [stock] with one line per part number.")
    return {part: _count(f"{key}.{part}", pieces) for part, pieces in value.items()}


def _bays(value: object) -> tuple[Bay, ...]:
    if not isinstance(value, list) or not all(isinstance(raw, dict) for raw in value):
        _refuse("bays", value, "Write one [[bays]] table per bay.")
    return tuple(_bay(number, raw) for number, raw in enumerate(value, start=1))


def _bay(number: int, raw: dict[str, Any]) -> Bay:
    if "mooring_id" not in raw:
        _refuse(f"bays.{number}", raw, "Say which mooring it serves: mooring_id.")
    known = {
        key: read(f"bays.{number}.{key}", raw[key])
        for key, read in _BAY_READERS.items()
        if key in raw
    }
    return Bay(**known)


_BAY_READERS: dict[str, Callable[[str, object], Any]] = {
    "mooring_id": _identifier,
    "weekdays": _weekdays,
    "hulls_per_day": _count,
    "hours_per_day": _amount,
}

_READERS: dict[str, Callable[[str, object], Any]] = {
    "name": _text,
    "timezone": _zone,
    "currency": _text,
    "length_unit": _length_unit,
    "simulated": _flag,
    "tolerated_risk": _risk,
    "wage_per_hour": _amount,
    "flush_minutes": _amount,
    "stock": _stock,
}
