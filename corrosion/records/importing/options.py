"""Options: what a person says about a file, and what has to be asked before it can be read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal
from zoneinfo import ZoneInfo


@dataclass(frozen=True)
class Options:
    """What a person says about a file; None: find out, or ask.

    Attributes
    ----------
    mapping : mapping of str to str
        Column of the log to the heading in the file; two headings joined by `+` are read one after
        the other (`Date+Time`); an empty heading leaves the column unknown.
    decimal_comma : bool or None
        True: `8,5` is eight and a half. False: so is `8.5`.
    day_first : bool or None
        True: `03/04/2031` is 3 April. False: 4 March.
    timezone : ZoneInfo or None
        Zone of times that carry none; the fleet's when None.
    clock_twice : {'earlier', 'later'} or None
        Which one is meant where the clock showed a time twice; None: such rows are set aside.
    unit : {'mm', 'in'} or None
        Unit of sizes whose heading or cell says none.
    sheet : str or None
        Sheet of a spreadsheet; the only one, or the first, when None.
    edited : {'correction', 'new', 'aside'} or None
        What rows are that bear the `entry_id` of a row that says something else.
    """

    mapping: Mapping[str, str] = field(default_factory=dict)
    decimal_comma: bool | None = None
    day_first: bool | None = None
    timezone: ZoneInfo | None = None
    clock_twice: Literal["earlier", "later"] | None = None
    unit: Literal["mm", "in"] | None = None
    sheet: str | None = None
    edited: Literal["correction", "new", "aside"] | None = None


@dataclass(frozen=True)
class Question:
    """Something that the file does not tell and that changes what it says.

    Attributes
    ----------
    about : str
        Field of `Options` that answers it.
    says : str
        The question, with an example from the file.
    answers : mapping of str to object
        What may be answered, in words, and the value that the field then takes.
    option : str
        The same on a command line.
    """

    about: str
    says: str
    answers: Mapping[str, object]
    option: str
