"""One reader a kind of value: what it takes, and the refusal that says what to write."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from datetime import date, datetime, time
from typing import Any, NoReturn
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from corrosion.common import LogRefused
from corrosion.records.logs.kinds import WATERS

SETTINGS_FILE = "fleet.toml"
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
Reader = Callable[[str, object], Any]
MOST_OF_A_CURRENCY = 8
MOST = 1e9
"""No amount of a fleet of boats is larger, in any currency."""


def refuse(key: str, value: object, what_to_do: str) -> NoReturn:
    """Refuse a value: which key, what it is, and what to write."""
    shown = repr(value)
    shown = shown if len(shown) <= 60 else shown[:57] + "..."
    raise LogRefused(f"{SETTINGS_FILE}: {key} = {shown} cannot be used. {what_to_do}")


def a_text(key: str, value: object) -> str:
    """A text, without blanks around it."""
    if not isinstance(value, str):
        refuse(key, value, "Write a text in quotes.")
    return value.strip()


def a_currency(key: str, value: object) -> str:
    """A currency as it stands behind amounts, in labels too: letters and signs, no more."""
    text = a_text(key, value)
    if len(text) > MOST_OF_A_CURRENCY or any(mark in text for mark in "[]()<>`!\\:/"):
        refuse(key, value, 'Write it short, such as "EUR" or "kr".')
    return text


def an_id(key: str, value: object) -> str:
    """An id as text; a whole number is read as its text, as in the logs."""
    if isinstance(value, int) and not isinstance(value, bool):
        return str(value)
    text = a_text(key, value)
    if not text:
        refuse(key, value, "Write the id that the logs use.")
    return text


def a_flag(key: str, value: object) -> bool:
    """True or false."""
    if not isinstance(value, bool):
        refuse(key, value, "Write true or false, without quotes.")
    return value


def a_number(key: str, value: object) -> float:
    """A finite number."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        refuse(key, value, "Write a number, without quotes.")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        refuse(key, value, "Write a finite number.")
    return number


def an_amount(key: str, value: object) -> float:
    """Zero or more, and no more than can be calculated with."""
    number = a_number(key, value)
    if number < 0:
        refuse(key, value, "Write zero or more.")
    if number > MOST:
        refuse(key, value, f"Write {MOST:,.0f} or less.")
    return number


def up_to(most: float, read: Reader) -> Reader:
    """Read with another reader, and refuse what is more."""

    def reader(key: str, value: object) -> Any:
        number = read(key, value)
        if number > most:
            refuse(key, value, f"Write {most:g} or less.")
        return number

    return reader


def a_count(key: str, value: object) -> int:
    """A whole number from 0 on."""
    number = an_amount(key, value)
    if not number.is_integer():
        refuse(key, value, "Write a whole number.")
    return int(number)


def a_risk(key: str, value: object) -> float:
    """A chance strictly between 0 and 1."""
    number = a_number(key, value)
    if not 0 < number < 1:
        refuse(key, value, "Write a chance above 0 and below 1, such as 0.10.")
    return number


def a_length_unit(key: str, value: object) -> str:
    """The unit of the calipers."""
    text = a_text(key, value).lower()
    if text not in {"mm", "in"}:
        refuse(key, value, 'Write "mm" or "in".')
    return text


def a_zone(key: str, value: object) -> ZoneInfo:
    """A time zone by its IANA name."""
    name = a_text(key, value)
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        refuse(key, value, 'Write an IANA time zone, such as "Europe/Lisbon" or "UTC".')


def _weekday(key: str, value: object) -> int:
    text = a_text(key, value).lower().rstrip(".")
    days = [day for day, name in enumerate(WEEKDAYS) if len(text) >= 2 and name.startswith(text)]
    if len(days) != 1:
        refuse(key, value, 'Write weekdays by name, such as ["Monday", "Thu"].')
    return days[0]


def weekdays(key: str, value: object) -> tuple[int, ...]:
    """Weekdays by name, or one of them; 0 is Monday."""
    given = [value] if isinstance(value, str) else value
    if not isinstance(given, list) or not given:
        refuse(key, value, 'Write a list of weekdays, such as ["Monday", "Thu"].')
    return tuple(sorted({_weekday(key, day) for day in given}))


def a_day(key: str, value: object) -> date:
    """A date, written as TOML has it or in quotes."""
    if isinstance(value, date) and not isinstance(value, datetime):
        return value
    try:
        return date.fromisoformat(a_text(key, value))
    except ValueError:
        refuse(key, value, "Write a date, such as 2031-05-02.")


def days(key: str, value: object) -> tuple[date, ...]:
    """A list of dates."""
    if not isinstance(value, list):
        refuse(key, value, "Write a list of dates, such as [2031-05-02, 2031-05-03].")
    return tuple(sorted({a_day(key, day) for day in value}))


def ids(key: str, value: object) -> tuple[str, ...]:
    """A list of ids, or one."""
    given = value if isinstance(value, list) else [value]
    if not given:
        refuse(key, value, "Write a list of the ids that the logs use.")
    return tuple(dict.fromkeys(an_id(key, each) for each in given))


def texts(key: str, value: object) -> tuple[str, ...]:
    """A list of texts, each once."""
    if not isinstance(value, list) or not value:
        refuse(key, value, 'Write a list of texts, such as ["dock staff", "mechanic"].')
    return tuple(dict.fromkeys(filter(None, (a_text(key, each) for each in value))))


def a_web_address(key: str, value: object) -> str:
    """Where the dashboard is found, without a slash behind."""
    text = a_text(key, value).rstrip("/")
    if text and not text.startswith(("http://", "https://")):
        refuse(key, value, 'Write it with its beginning, such as "https://anodes.example.org".')
    return text


def hours_of_day(key: str, value: object) -> tuple[time, time]:
    """From and to, by the clock of the fleet."""
    if not isinstance(value, list) or len(value) != 2:
        refuse(key, value, 'Write from and to, such as ["08:00", "16:30"].')
    opens, closes = (_time(key, each) for each in value)
    if closes <= opens:
        refuse(key, value, "Write the earlier time first, both of one day.")
    return opens, closes


def _time(key: str, value: object) -> time:
    if isinstance(value, time):
        return value
    try:
        return time.fromisoformat(a_text(key, value))
    except ValueError:
        refuse(key, value, 'Write times of day, such as ["08:00", "16:30"].')


def some(key: str, value: object) -> int:
    """A whole number from 1 on."""
    number = a_count(key, value)
    if number < 1:
        refuse(key, value, "Write 1 or more.")
    return number


def by_part(read: Reader) -> Reader:
    """Read a table with one line a part number."""

    def reader(key: str, value: object) -> Mapping[str, Any]:
        if not isinstance(value, dict):
            refuse(key, value, f"Write a table [{key}] with one line per part number.")
        return {part: read(f"{key}.{part}", given) for part, given in value.items()}

    return reader


def by_water(read: Reader) -> Reader:
    """Read one value for every water, or a table with a line for some of them."""

    def reader(key: str, value: object) -> Mapping[str, Any]:
        if not isinstance(value, dict):
            return dict.fromkeys(WATERS, read(key, value))
        for water in value:
            if water not in WATERS:
                refuse(f"{key}.{water}", value[water], "Write salt, brackish or fresh.")
        return {water: read(f"{key}.{water}", given) for water, given in value.items()}

    return reader


def one_of(
    table: str, readers: Mapping[str, Reader], needed: Mapping[str, str], *, single: bool = False
) -> Reader:
    """Read one table of a list, or a single table; `needed` says what to do where a key is missing.

    A single table with a key that it does not have is refused: a slip in a key would be a rule
    that nobody keeps.
    """

    def reader(key: str, raw: object) -> dict[str, Any]:
        if not isinstance(raw, dict):
            how = (
                f"Write a table [{table}]." if single else f"Write one [[{table}]] table per entry."
            )
            refuse(key if single else table, raw, how)
        for name in raw if single else ():
            if name not in readers:
                refuse(f"{key}.{name}", raw[name], f"It has: {', '.join(readers)}.")
        for name, say in needed.items():
            if name not in raw:
                refuse(key, raw, say)
        return {
            name: read(f"{key}.{name}", raw[name]) for name, read in readers.items() if name in raw
        }

    return reader


def tables(table: str, value: object) -> list[object]:
    """Return the tables of a list of tables."""
    if not isinstance(value, list) or not all(isinstance(raw, dict) for raw in value):
        refuse(table, value, f"Write one [[{table}]] table per entry.")
    return list(value)
