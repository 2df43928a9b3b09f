"""What the yard says of itself: bays, days off, mechanics, stock, lead times."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, time
from typing import Any

from corrosion.records.settings import values
from corrosion.records.settings.values import Reader

EVERY_DAY = (0, 1, 2, 3, 4, 5, 6)


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
    hours : tuple of time or None
        From and to, by the fleet's clock; a hull on hire at no time between can come out. None:
        the whole day.
    """

    mooring_id: str
    weekdays: tuple[int, ...] = EVERY_DAY
    hulls_per_day: int | None = None
    hours_per_day: float | None = None
    hours: tuple[time, time] | None = None


@dataclass(frozen=True)
class DaysOff:
    """Days on which no hull is pulled out.

    Attributes
    ----------
    first, last : date
        From and to, both included.
    mooring_id : str or None
        Where; None: everywhere.
    reason : str
        Why, for the plan to say.
    """

    first: date
    last: date
    mooring_id: str | None = None
    reason: str = ""


@dataclass(frozen=True)
class Mechanic:
    """Somebody who does the work, by role.

    Attributes
    ----------
    name : str
        The role or shift, never a person's name.
    moorings : tuple of str
        Where; everywhere when empty.
    weekdays : tuple of int
        Days of work, 0 is Monday.
    hours_per_day : float
        Working hours in a day, h, over all the moorings.
    days_off : tuple of date
        Days without work.
    """

    name: str
    moorings: tuple[str, ...] = ()
    weekdays: tuple[int, ...] = (0, 1, 2, 3, 4)
    hours_per_day: float = 8.0
    days_off: tuple[date, ...] = ()


@dataclass(frozen=True)
class Hires:
    """What may be done with a hire that is booked; None: not said, what is taken then is said.

    Attributes
    ----------
    may_move : bool or None
        Whether a hire may go to a sister of the same kind at the same mooring.
    move_cost : float or None
        What moving one costs (a word to the desk, a message), currency.
    cancel_factor : float or None
        A cancelled hire costs its value so many times; more at short notice.
    turnround_minutes : float or None
        Minutes between two hires of a hull.
    reserve : int, or mapping
        Hulls kept free at every time: everywhere alike, or by mooring, or by mooring and kind.
    """

    may_move: bool | None = None
    move_cost: float | None = None
    cancel_factor: float | None = None
    turnround_minutes: float | None = None
    reserve: int | Mapping[str, int | Mapping[str, int]] = 0

    def kept_free(self, mooring_id: str, kind: str) -> int:
        """Return how many hulls of a kind are kept free at a mooring."""
        if isinstance(self.reserve, int):
            return self.reserve
        own = self.reserve.get(mooring_id, 0)
        return own if isinstance(own, int) else own.get(kind, 0)


@dataclass(frozen=True)
class Express:
    """A part sent for by courier: days until it is there, and what that costs, currency."""

    days: float
    cost: float


def read_hires(raw: object) -> Hires:
    """Read what may be done with hires."""
    return Hires(**values.one_of("hires", HIRES_KEYS, {}, single=True)("hires", raw))


def read_express(raw: object) -> Mapping[str, Express]:
    """Read the parts that a courier brings."""
    needed = {"days": "Say after how many days it is there: days.", "cost": "Say its cost: cost."}
    read = values.one_of("express", EXPRESS_KEYS, needed, single=True)
    couriers: Mapping[str, Express] = values.by_part(lambda key, each: Express(**read(key, each)))(
        "express", raw
    )
    return couriers


def _reserve(key: str, value: object) -> int | Mapping[str, int | Mapping[str, int]]:
    if not isinstance(value, dict):
        return values.a_count(key, value)
    return {mooring_id: on_hand(f"{key}.{mooring_id}", each) for mooring_id, each in value.items()}


def read_bays(raw: object) -> tuple[Bay, ...]:
    """Read the bays."""
    read = values.one_of(
        "bays", BAY_KEYS, {"mooring_id": "Say which mooring it serves: mooring_id."}
    )
    return tuple(Bay(**read(f"bays.{n}", each)) for n, each in _counted("bays", raw))


def read_days_off(raw: object) -> tuple[DaysOff, ...]:
    """Read the days off; a day off without `to` is that day alone."""
    read = values.one_of("days_off", DAYS_OFF_KEYS, {"from": "Say from which day: from."})
    return tuple(_days_off(n, read(f"days_off.{n}", each)) for n, each in _counted("days_off", raw))


def _days_off(number: int, given: dict[str, Any]) -> DaysOff:
    first = given.pop("from")
    last = given.pop("to", first)
    if last < first:
        values.refuse(f"days_off.{number}.to", str(last), "Write the earlier day as from.")
    return DaysOff(first, last, **given)


def read_mechanics(raw: object) -> tuple[Mechanic, ...]:
    """Read the mechanics."""
    read = values.one_of("mechanics", MECHANIC_KEYS, {"name": "Say which role it is: name."})
    return tuple(Mechanic(**read(f"mechanics.{n}", each)) for n, each in _counted("mechanics", raw))


def _counted(table: str, raw: object) -> list[tuple[int, object]]:
    return list(enumerate(values.tables(table, raw), start=1))


def on_hand(key: str, value: object) -> int | Mapping[str, int]:
    """Read the pieces of one part: in the common store, or by mooring."""
    if isinstance(value, dict):
        return {place: values.a_count(f"{key}.{place}", each) for place, each in value.items()}
    return values.a_count(key, value)


BAY_KEYS: dict[str, Reader] = {
    "mooring_id": values.an_id,
    "weekdays": values.weekdays,
    "hulls_per_day": values.up_to(1_000, values.a_count),
    "hours_per_day": values.up_to(1_000, values.an_amount),
    "hours": values.hours_of_day,
}

DAYS_OFF_KEYS: dict[str, Reader] = {
    "from": values.a_day,
    "to": values.a_day,
    "mooring_id": values.an_id,
    "reason": values.a_text,
}

MECHANIC_KEYS: dict[str, Reader] = {
    "name": values.a_text,
    "moorings": values.ids,
    "weekdays": values.weekdays,
    "hours_per_day": values.up_to(1_000, values.an_amount),
    "days_off": values.days,
}

HIRES_KEYS: dict[str, Reader] = {
    "may_move": values.a_flag,
    "move_cost": values.an_amount,
    "cancel_factor": values.an_amount,
    "turnround_minutes": values.an_amount,
    "reserve": _reserve,
}

EXPRESS_KEYS: dict[str, Reader] = {"days": values.an_amount, "cost": values.an_amount}
