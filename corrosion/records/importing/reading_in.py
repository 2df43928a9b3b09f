"""Reading in: the cells of a file as rows of a log, and for each row that can't be one, why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import numpy as np
import pandas as pd

from corrosion.records.importing.headings import unit_in
from corrosion.records.importing.moments_in import Clock, moment_of
from corrosion.records.importing.numbers import (
    converted,
    hours_on_a_clock,
    number_in,
    unit_named,
    value_of,
)
from corrosion.records.importing.raw import Cell, Raw
from corrosion.records.importing.words_in import flag_of, word_of
from corrosion.records.logbook.entering import needed_cells
from corrosion.records.logs import Column, Log

# headings of our own files, and of those that were set aside, that say nothing of the row itself
NOT_CARRIED = frozenset(("reason", "log_row", "log_file", "standing", "name_of_row"))


@dataclass(frozen=True)
class Manner:
    """How a file is read, once every question is answered.

    Attributes
    ----------
    mapping : mapping of str to str
        Column to heading, or to two joined by `+`.
    decimal_comma : bool
        True: `8,5` is eight and a half.
    clock : Clock
        How times are read.
    unit : str or None
        Unit of lengths whose cell says none.
    """

    mapping: Mapping[str, str]
    decimal_comma: bool
    clock: Clock
    unit: str | None = None


@dataclass(frozen=True)
class ReadIn:
    """A file's rows as rows of a log, n rows.

    Attributes
    ----------
    frame : DataFrame, n rows
        Columns of the log that the file has, then the file's own further columns as text, then
        what was written where a value was converted (`size_mm_given`).
    reasons : list of str, length n
        Why a row can't be taken; empty where it can.
    """

    frame: pd.DataFrame
    reasons: list[str]


def cells_below(raw: Raw, heading: str) -> list[Cell | None]:
    """Cells below a heading; of two joined by `+`, one after the other."""
    if heading in raw.headings:
        return raw.column(heading)
    parts = [raw.column(part) for part in heading.split("+", 1)]
    return [_joined(cells) for cells in zip(*parts, strict=True)]


def _joined(cells: Sequence[Cell | None]) -> Cell | None:
    """A day and a clock time as one text; a spreadsheet's day ends in a midnight of its own."""
    day, clock = (*cells, None)[:2]
    if day is None or clock is None:
        return None if day is None else day
    return Cell(f"{day.text.removesuffix('T00:00:00')} {clock.text}", day.typed and clock.typed)


def read_in(raw: Raw, log: Log, manner: Manner) -> ReadIn:
    """Read a file's cells as rows of a log.

    Parameters
    ----------
    raw : Raw
        The file.
    log : Log
        The log.
    manner : Manner
        How it is read.

    Returns
    -------
    ReadIn
        Nothing is guessed: a cell that does not fit its column is a reason to set its row aside.
    """
    reasons: list[list[str]] = [[] for _ in raw.rows]
    for at, why in raw.odd.items():
        reasons[at].append(why)
    columns: dict[str, list[Any]] = {}
    for column in log:
        heading = manner.mapping.get(column.name)
        if heading:
            columns |= _column(column, heading, cells_below(raw, heading), manner, reasons)
    _past_midnight(columns, manner.mapping)
    for name in needed_cells(log):
        for at, value in enumerate(columns.get(name, [])):
            if value is None and not reasons[at] and not _strikes(columns, at):
                reasons[at].append(f"{_named(manner.mapping[name])} is missing")
    known = {name: _typed(log, name, values) for name, values in columns.items()}
    return ReadIn(
        pd.DataFrame(known | _further(raw, log, manner, {*known})),
        ["; ".join(dict.fromkeys(each)) for each in reasons],
    )


SPANS = (("started", "ended"), ("starts", "ends"), ("opens", "closes"))


def _past_midnight(columns: Mapping[str, list[Any]], mapping: Mapping[str, str]) -> None:
    """Of one day with two clock times, the second is of the day after where it is the earlier."""
    for first, last in SPANS:
        day, two = (mapping.get(name, "").partition("+")[::2] for name in (first, last))
        if not (day[1] and two[1]) or day[0] != two[0]:
            continue
        for at, (begun, over) in enumerate(zip(columns[first], columns[last], strict=True)):
            if begun is not None and over is not None and over < begun:
                columns[last][at] = over + timedelta(days=1)


def _strikes(columns: Mapping[str, list[Any]], at: int) -> bool:
    """A row that strikes out another needs no more than its name."""
    return all(columns[name][at] for name in ("void", "corrects") if name in columns) and (
        {"void", "corrects"} <= {*columns}
    )


def _column(
    column: Column,
    heading: str,
    cells: list[Cell | None],
    manner: Manner,
    reasons: list[list[str]],
) -> dict[str, list[Any]]:
    """One column as values, and as it was written where values were converted."""
    values: list[Any] = [None] * len(cells)
    given: list[str | None] = [None] * len(cells)
    for at, cell in enumerate(cells):
        if cell is None:
            continue
        value, why = _value(column, heading, cell, manner)
        values[at] = value
        if why:
            reasons[at].append(f"{_named(heading)} {why} ({_short(cell.text)})")
        elif column.kind == "number" and ":" in cell.text:
            given[at] = cell.text
        elif column.kind == "number" and _other_unit(column, heading, cell, manner):
            given[at] = f"{cell.text} {_unit(column, heading, cell, manner)}"
    return {column.name: values} | ({f"{column.name}_given": given} if any(given) else {})


def _named(heading: str) -> str:
    """A heading as the file has it, so that whoever mends the file finds the cell."""
    return heading.replace("+", " and ")


def _short(text: str) -> str:
    return text if len(text) <= 40 else f"{text[:37]}..."


def _value(column: Column, heading: str, cell: Cell, manner: Manner) -> tuple[Any, str]:
    if column.kind in ("moment", "date"):
        return moment_of(cell.text, manner.clock)
    if column.kind == "number":
        return _number(column, heading, cell, manner)
    if column.kind == "flag":
        flag = flag_of(cell.text)
        return flag, "" if flag is not None else "says neither yes nor no"
    if column.kind == "word":
        word = word_of(cell.text, column)
        return word, "" if word else f"is none of {', '.join(column.words)}"
    return cell.text, ""


def _number(column: Column, heading: str, cell: Cell, manner: Manner) -> tuple[float | None, str]:
    lasted = hours_on_a_clock(cell.text) if column.unit in ("h", "min") else None
    if lasted is not None:
        return converted(lasted, "h", column.unit), ""
    number = number_in(cell)
    value = None if number is None else value_of(number, manner.decimal_comma and not cell.typed)
    if number is None or value is None or not np.isfinite(value):
        return None, "is not a number"
    unit = _unit(column, heading, cell, manner)
    if unit is None:
        return None, f"is in {number.unit}, which is no unit known here"
    value = converted(value, unit, column.unit)
    return value, "" if value is not None else f"is in {unit}, which can't become {column.unit}"


def _unit(column: Column, heading: str, cell: Cell, manner: Manner) -> str | None:
    """The unit of a cell: what it says itself, what was said, what its heading says, the log's."""
    number = number_in(cell)
    if number is not None and number.unit:
        return column.unit if number.unit == column.unit else unit_named(number.unit)
    chosen = manner.unit if column.unit == "mm" else None
    return chosen or unit_in(heading, column.name) or column.unit


def _other_unit(column: Column, heading: str, cell: Cell, manner: Manner) -> bool:
    return _unit(column, heading, cell, manner) != column.unit


def _typed(log: Log, name: str, values: list[Any]) -> pd.Series[Any]:
    kind = next((column.kind for column in log if column.name == name), "text")
    if kind in ("moment", "date"):
        return pd.Series(pd.DatetimeIndex(values, dtype="datetime64[us, UTC]"))
    if kind == "number":
        return pd.Series(values, dtype=float)
    if kind == "flag":
        return pd.Series(pd.array(values, dtype="boolean"))
    return pd.Series(values, dtype=object)


def _further(raw: Raw, log: Log, manner: Manner, known: set[str]) -> dict[str, pd.Series[Any]]:
    """The file's own columns, as text; a day and a clock that were joined are in the time."""
    used = {part for heading in manner.mapping.values() for part in (heading, *heading.split("+"))}
    return {
        heading: pd.Series([c.text if c else None for c in raw.column(heading)], dtype=object)
        for heading in raw.headings
        if heading not in used | known | NOT_CARRIED and heading not in log.names
    }
