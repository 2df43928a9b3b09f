"""Kinds of entry: for each, how what was typed becomes the rows of a draft."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Final

import pandas as pd

from corrosion.common import ClockReading
from corrosion.data_entry.drafts import AS_TYPED, Draft, Row
from corrosion.data_entry.known import Desk
from corrosion.data_entry.typed import Typed, number, size

Filled = Mapping[str, object]

SLACK = pd.Timedelta(minutes=10)
METER_MOST_H = 99_999.9
MOST_ENGINE_H = 24.0 * 31
"""Of one outing or one hire; longer ones are several."""
MOST_MINUTES = 12 * 60
"""More than half a day is no flush: the check `flush-minutes-impossible` sets it aside."""
MOST_OHM = 1e7
"""What a hand-held meter shows at most (common practice, no source)."""
MOST_MM = 1000.0
"""No anode of a small craft is longer (common practice, no source)."""
MOST_LETTERS = 500


@dataclass(frozen=True)
class Kind:
    """A kind of entry: its name in addresses, what people call it, the log, the builder."""

    name: str
    called: str
    log: str
    build: Callable[[Filled, Desk], Draft]


def draft(kind: str, filled: Filled, desk: Desk) -> Draft:
    """Turn a filled form into rows, or into sentences about what must be mended.

    Parameters
    ----------
    kind : str
        A name in `KINDS`.
    filled : mapping
        What the form holds: texts as they were typed, words, flags, readings of the clock. A field
        that is left out, or None, is unknown.
    desk : Desk
        What the form started from.

    Returns
    -------
    Draft
        With `wrong` where something must be mended first; its rows are then not to be written.
    """
    return KINDS[kind].build(filled, desk)


def _reading(filled: Filled, desk: Desk) -> Draft:
    form = _Form(filled, desk)
    cells = form.about("hull_id", "position") | {"read_at": form.moment("at", "When")}
    cells |= _SEEN[str(filled.get("way") or "caliper")](form)
    cells |= {name: True for name in ("removed", "cleaned") if filled.get(name)}
    cells["bond_ohm"] = form.number("bond_ohm", "Contact resistance", "ohm", 0, MOST_OHM)
    cells["potential_mv"] = form.number("potential_mv", "Potential", "mV", -2500, 2500)
    cells["touched_metal"] = form.text("touched_metal")
    cells["note"] = form.text("note")
    made = form.draft("readings", cells)
    return _and_fitting(made, form) if filled.get("fitted") else made


def _by_caliper(form: _Form) -> dict[str, object]:
    seen = form.size("size", "Size")
    measured = any(form.text(name) for name in ("bond_ohm", "potential_mv"))
    if seen is None and not form.wrong and not form.filled.get("removed") and not measured:
        form.wrong.append("Size: write what the caliper shows, or choose another way of looking.")
    return {"size_mm": seen}


def _by_eye(form: _Form) -> dict[str, object]:
    low, high = form.size("low", "At least"), form.size("high", "At most")
    if (low is None or high is None) and not form.wrong:
        form.wrong.append("By eye: write the least and the most that it can be.")
    elif low is not None and high is not None and low > high:
        form.wrong.append("By eye: the least is above the most.")
    return {"size_low_mm": low, "size_high_mm": high}


def _by_look(form: _Form) -> dict[str, object]:
    verdict = form.text("verdict")
    if verdict is None:
        form.wrong.append("Verdict: choose ok or worn.")
    return {"verdict": verdict}


def _and_fitting(made: Draft, form: _Form) -> Draft:
    """The old anode came out and a new one went in, in one go."""
    cells = form.about("hull_id", "position") | {"fitted_at": made.main.cells.get("read_at")}
    cells["size_mm"] = form.size("new_size", "Size of the new anode")
    cells["alloy"] = form.text("alloy")
    fitting = form.draft("fittings", cells | {"batch": form.text("batch")})
    both = made.with_main(removed=True).and_row(fitting.main)
    return replace(both, wrong=tuple(dict.fromkeys((*made.wrong, *fitting.wrong))))


def _outing(filled: Filled, desk: Desk) -> Draft:
    form = _Form(filled, desk)
    cells = form.about("hull_id")
    started = form.moment("started", "Cast off")
    ended = form.moment("ended", "Back")
    if started is not None and ended is not None and ended <= started:
        form.wrong.append("Back must be later than cast off; past midnight, choose the next day.")
    hours = form.number("engine_hours", "Engine hours", "h", 0, MOST_ENGINE_H)
    meter = form.number("meter_hours", "Hour meter", "h", 0, METER_MOST_H)
    if hours is None and meter is not None:
        hours = _by_meter(desk, str(cells.get("hull_id")), meter)
    if hours is None and meter is None and not form.wrong:
        form.wrong.append("Write the engine hours of the outing, or what the hour meter shows.")
    cells |= {"started": started, "ended": ended, "engine_hours": hours, "meter_hours": meter}
    return form.draft("outings", cells | {"water": form.text("water")})


def _by_meter(desk: Desk, hull_id: str, meter_h: float) -> float | None:
    """Hours that the meter moved since the last outing; unknown where it ran back or is new."""
    before = desk.meter(hull_id)
    return None if before is None or meter_h < before else round(meter_h - before, 2)


def _flush(filled: Filled, desk: Desk) -> Draft:
    form = _Form(filled, desk)
    cells = form.about("hull_id") | {"flushed_at": form.moment("at", "When")}
    cells["done"] = form.text("done") or "yes"
    cells["minutes"] = form.number("minutes", "Minutes", "min", 0, MOST_MINUTES)
    return form.draft("flushes", cells | {"method": form.text("method")})


def _berth(filled: Filled, desk: Desk) -> Draft:
    form = _Form(filled, desk)
    cells = form.about("hull_id", "mooring_id") | {"since": form.moment("at", "Since")}
    return form.draft("berths", cells | {"stays": form.text("stays") or "afloat"})


def _sample(filled: Filled, desk: Desk) -> Draft:
    form = _Form(filled, desk)
    cells = form.about("mooring_id") | {"sampled_at": form.moment("at", "When")}
    cells["salinity_g_per_kg"] = form.number("salinity", "Salinity", "g/kg", 0, 400)
    cells["conductivity_ms_per_cm"] = form.number("conductivity", "Conductivity", "mS/cm", 0, 1e6)
    cells["temperature_c"] = form.number("temperature", "Temperature", "°C", -50, 250)
    measured = ("salinity_g_per_kg", "conductivity_ms_per_cm", "temperature_c")
    if not form.wrong and all(cells[name] is None for name in measured):
        form.wrong.append("Write at least one of salinity, conductivity and temperature.")
    if cells["conductivity_ms_per_cm"] is not None:
        cells["conductivity_at_25c"] = {"yes": True, "no": False}.get(form.text("at_25c") or "")
    return form.draft("water_samples", cells)


def _booking(filled: Filled, desk: Desk) -> Draft:
    form = _Form(filled, desk)
    cells = form.about("hull_id")
    starts = form.moment("starts", "Hire begins", ahead=True)
    ends = form.moment("ends", "Hire ends", ahead=True)
    if starts is not None and ends is not None and ends <= starts:
        form.wrong.append("The hire must end later than it begins.")
    cells |= {"starts": starts, "ends": ends}
    cells["engine_hours"] = form.number(
        "engine_hours", "Engine hours expected", "h", 0, MOST_ENGINE_H
    )
    cells["hire_value"] = form.number("hire_value", "Hire value", "", 0, 1e7)
    return form.draft("bookings", cells)


def _meter(filled: Filled, desk: Desk) -> Draft:
    form = _Form(filled, desk)
    cells = form.about("hull_id") | {"changed_at": form.moment("at", "When")}
    cells["event"] = form.text("event")
    if cells["event"] is None:
        form.wrong.append("Choose what happened to the hour meter.")
    for name, called in (("meter_before_hours", "before"), ("meter_after_hours", "afterwards")):
        cells[name] = form.number(name, f"Meter {called}", "h", 0, METER_MOST_H)
    return form.draft("meters", cells | {"note": form.text("note")})


def _engine(filled: Filled, desk: Desk) -> Draft:
    form = _Form(filled, desk)
    cells = form.about("hull_id") | {"swapped_at": form.moment("at", "When")}
    return form.draft("engine_swaps", cells | {n: form.text(n) for n in ("engine", "note")})


class _Form:
    """Reads the fields of one filled form; what cannot be read is collected in `wrong`."""

    def __init__(self, filled: Filled, desk: Desk) -> None:
        self.filled, self.desk = filled, desk
        self.wrong: list[str] = []
        self.typed: list[str] = []
        self.twice: dict[pd.Timestamp, pd.Timestamp] = {}

    def about(self, *names: str) -> dict[str, object]:
        """What the entry is about; each must be chosen."""
        cells: dict[str, object] = {name: self.text(name) for name in names}
        missing = [name.removesuffix("_id") for name, cell in cells.items() if cell is None]
        self.wrong += [f"Choose the {name}." for name in missing]
        return cells

    def text(self, name: str) -> str | None:
        """A text or a word; blank is unknown."""
        typed_text = str(self.filled.get(name) or "").strip()
        if len(typed_text) > MOST_LETTERS:
            self.wrong.append(f"{name}: {len(typed_text)} letters; write at most {MOST_LETTERS}.")
        return typed_text or None

    def number(self, name: str, called: str, unit: str, least: float, most: float) -> float | None:
        """A number in the unit of the log."""
        return self._kept(called, number(self.text(name) or "", called, unit, least, most))

    def size(self, name: str, called: str) -> float | None:
        """A size, mm; the text as it was typed is kept beside it."""
        unit = str(self.filled.get("unit") or self.desk.logbook.settings.length_unit)
        read = self._kept(called, size(self.text(name) or "", called, unit), keep=True)
        if read is not None and read > MOST_MM:
            self.wrong.append(f"{called}: {read:g} mm is longer than any anode. Is a point lost?")
        return read

    def moment(self, name: str, called: str, *, ahead: bool = False) -> pd.Timestamp | None:
        """A moment that has come; with `ahead` it may be still to come."""
        given = self.filled.get(name)
        if not isinstance(given, ClockReading):
            self.wrong.append(f"{called}: choose day and time.")
            return None
        if given.skipped:
            self.wrong.append(
                f"{called}: the clocks were put forward that day and never showed this time."
            )
        if not ahead and given.moment > self.desk.now + SLACK:
            self.wrong.append(f"{called}: that is still to come; write it down when it has.")
        if given.second is not None:
            self.twice[given.moment] = given.second
        return given.moment

    def draft(self, log: str, cells: Mapping[str, object]) -> Draft:
        """The draft of one row."""
        row = Row(log, {}).but(**{**cells, AS_TYPED: "; ".join(self.typed) or None})
        twice = {n: self.twice[c] for n, c in row.cells.items() if isinstance(c, pd.Timestamp)
                 and c in self.twice}  # fmt: skip
        return Draft((row,), tuple(dict.fromkeys(self.wrong)), twice=twice)

    def _kept(self, called: str, read: Typed, *, keep: bool = False) -> float | None:
        if read.wrong:
            self.wrong.append(read.wrong)
        elif keep and read.value is not None:
            self.typed.append(f"{called} {read.as_typed}")
        return read.value


_SEEN: Final[Mapping[str, Callable[[_Form], dict[str, object]]]] = {
    "caliper": _by_caliper,
    "eye": _by_eye,
    "look": _by_look,
}

KINDS: Final[Mapping[str, Kind]] = {
    kind.name: kind
    for kind in (
        Kind("reading", "Reading", "readings", _reading),
        Kind("outing", "Outing", "outings", _outing),
        Kind("flush", "Flush", "flushes", _flush),
        Kind("berth", "Berth", "berths", _berth),
        Kind("water", "Water", "water_samples", _sample),
        Kind("hire", "Hire", "bookings", _booking),
        Kind("meter", "Hour meter", "meters", _meter),
        Kind("engine", "Engine", "engine_swaps", _engine),
    )
}
"""The kinds of entry, in the order in which they are offered."""
