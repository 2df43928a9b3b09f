"""Numbers as people type them: decimal comma or point, millimetres or inches, a unit behind."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final

from corrosion.common import formatting

_MARKS: Final = {"mm": "mm", "in": "in", "inch": "in", "inches": "in", '"': "in", "″": "in"}
_NUMBER: Final = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)")
_FRACTION: Final = re.compile(r"(?:(\d+)[ -])?(\d+)/(\d+)")


@dataclass(frozen=True)
class Typed:
    """What was typed and how it was read.

    Attributes
    ----------
    value : float or None
        In the unit of the log; None: nothing was typed, or it cannot be read.
    as_typed : str
        The text as it was typed, with the unit it was read in behind.
    wrong : str
        What to do about it; empty when it can be read.
    """

    value: float | None
    as_typed: str
    wrong: str = ""


def number(
    text: str, name: str, unit: str = "", least: float = -math.inf, most: float = math.inf
) -> Typed:
    """Read a number with a decimal comma or a decimal point.

    Parameters
    ----------
    text : str
        What was typed; blank is unknown.
    name : str
        What the field is called, for the sentence that refuses it.
    unit : str
        The unit of the field; it may be typed behind the number.
    least, most : float
        What no value of this kind goes below or above, in `unit`.

    Returns
    -------
    Typed
    """
    typed_text = _squeezed(text)
    if not typed_text:
        return Typed(None, "")
    bare = typed_text.removesuffix(unit).rstrip() if unit else typed_text
    if not _NUMBER.fullmatch(bare):
        return Typed(
            None, typed_text, f"{name}: {typed_text!r} is no number. Write it such as 7,2 or 7.2."
        )
    value = float(bare.replace(",", "."))
    if not least <= value <= most:
        return Typed(
            None, typed_text, f"{name}: {typed_text} is not between {least:g} and {most:g} {unit}."
        )
    return Typed(value, f"{bare} {unit}".strip())


def size(text: str, name: str, unit: str) -> Typed:
    """Read a size as the caliper shows it and convert it once.

    Parameters
    ----------
    text : str
        What was typed: ``7,2``, ``0.285 in``, ``9/32``; a unit behind the number wins over `unit`.
    name : str
        What the field is called.
    unit : {'mm', 'in'}
        What the caliper shows.

    Returns
    -------
    Typed
        `value` in mm; `as_typed` carries the number and the unit it was read in.
    """
    typed_text = _squeezed(text)
    bare, unit = _without_mark(typed_text, unit)
    fraction = _FRACTION.fullmatch(bare)
    if fraction and unit == "in" and int(fraction[3]):
        inches = int(fraction[1] or 0) + int(fraction[2]) / int(fraction[3])
        return Typed(round(inches * formatting.MM_PER_INCH, 4), f"{bare} in")
    read = number(bare, name)
    if read.value is None:
        return Typed(None, typed_text, read.wrong)
    if read.value < 0:
        return Typed(None, typed_text, f"{name}: a size cannot be below zero.")
    return Typed(in_mm(read.value, unit), f"{bare} {unit}")


def in_mm(value: float, unit: str) -> float:
    """Convert a caliper's number to mm, to a tenth of a micrometre."""
    return round(value * formatting.MM_PER_INCH, 4) if unit == "in" else value


def _squeezed(text: str) -> str:
    return " ".join(text.split())


def _without_mark(text: str, unit: str) -> tuple[str, str]:
    """Take a unit off the end of what was typed; it says more than the switch beside the field."""
    for mark, means in sorted(_MARKS.items(), key=lambda pair: -len(pair[0])):
        if text.lower().endswith(mark):
            return text[: -len(mark)].rstrip(), means
    return text, unit
