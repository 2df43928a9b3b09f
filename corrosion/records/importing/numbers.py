"""Numbers: texts of a file as numbers, the mark of the decimals decided over the whole file."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from corrosion.records.importing.headings import UNITS
from corrosion.records.importing.raw import Cell

_DIGITS = r"([0-9][0-9., '’\u00a0\u202f]*|[.,][0-9]+)"
_NUMBER = re.compile(rf"^([+\-−]?)\s*{_DIGITS}(e[+-]?\d+)?\s*(\D*)$", re.I)
_SPACES = re.compile(r"[ '’\u00a0\u202f]")

# factor and offset from what is written to the unit of the column; exact by definition
# (25.4 mm an inch: international yard and pound, 1959), and counting
_TO_UNIT: Mapping[tuple[str, str], tuple[float, float]] = {
    ("in", "mm"): (25.4, 0.0),
    ("cm", "mm"): (10.0, 0.0),
    ("min", "h"): (1 / 60, 0.0),
    ("h", "min"): (60.0, 0.0),
    ("V", "mV"): (1000.0, 0.0),
    ("kohm", "ohm"): (1000.0, 0.0),
    ("°F", "°C"): (5 / 9, -160 / 9),
    ("µS/cm", "mS/cm"): (0.001, 0.0),
    ("S/m", "mS/cm"): (10.0, 0.0),
}


@dataclass(frozen=True)
class Number:
    """A number as written: sign and digits with their marks, an exponent, a unit or nothing."""

    sign: str
    digits: str
    exponent: str
    unit: str


def number_in(cell: Cell) -> Number | None:
    """The parts of a number; None where a cell is none."""
    match = _NUMBER.match(cell.text)
    if match is None:
        return None
    sign = "-" if match[1] in ("-", "−") else ""
    digits = _SPACES.sub("", match[2])
    return Number(sign, digits, match[3] or "", match[4].strip().rstrip("."))


def hours_on_a_clock(text: str) -> float | None:
    """How long something lasted, written as hours and minutes (`1:45`), h; None where it is not."""
    match = re.fullmatch(r"(\d{1,3}):([0-5]\d)(?::([0-5]\d)(?:\.0+)?)?", text)
    if match is None:
        return None
    return round(int(match[1]) + int(match[2]) / 60 + int(match[3] or 0) / 3600, 9)


def value_of(number: Number, decimal_comma: bool) -> float | None:
    """The value, the other mark grouping thousands; None where it can't be so."""
    mark, group = (",", ".") if decimal_comma else (".", ",")
    whole, _, rest = number.digits.partition(mark)
    if mark in rest or group in rest:
        return None
    if group in whole and not re.fullmatch(rf"[1-9]\d{{0,2}}(\{group}\d{{3}})+", whole):
        return None
    try:
        return float(f"{number.sign}{whole.replace(group, '') or 0}.{rest or 0}{number.exponent}")
    except (ValueError, OverflowError):
        return None


def decides(cells: Iterable[Cell | None]) -> bool | str | None:
    """Whether a file's decimals are marked by a comma.

    Parameters
    ----------
    cells : iterable of Cell or None
        Of all columns of numbers; those of which the file knows that they are numbers say nothing.

    Returns
    -------
    bool or str
        True: by a comma. False: by a point, or nothing tells and nothing hangs on it. A cell's
        text: it means two different numbers, and no other cell tells which.
    """
    wrong = {True: 0, False: 0}
    two_ways = ""
    for cell in cells:
        number = number_in(cell) if cell and not cell.typed else None
        if number is None or not cell:
            continue
        values = {comma: value_of(number, comma) for comma in (True, False)}
        for comma, value in values.items():
            wrong[comma] += value is None
        if None not in values.values() and values[True] != values[False]:
            two_ways = two_ways or cell.text
    if wrong[True] == wrong[False]:
        return two_ways or False
    return wrong[True] < wrong[False]


def converted(value: float, given: str, wanted: str) -> float | None:
    """A value in the unit of its column; None where no one unit leads to the other."""
    if given == wanted:
        return value
    step = _TO_UNIT.get((given, wanted))
    return None if step is None else round(value * step[0] + step[1], 9)


def unit_named(text: str) -> str | None:
    """A unit as people write it after a number; None where it is none."""
    short = text.strip().casefold().replace("°", "").replace("/", " ").replace("μ", "u")
    return UNITS.get(short.replace("µ", "u")) if short else None
