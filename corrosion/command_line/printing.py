"""Rows as text: a table to read in a terminal, CSV for a spreadsheet, JSON for a program."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Mapping, Sequence
from datetime import datetime, tzinfo
from itertools import zip_longest
from typing import Any

import numpy as np
import pandas as pd

from corrosion.command_line.answers import Answer
from corrosion.common import (
    as_csv,
    formula_safe,
    is_unknown,
    iso_time,
    plain_value,
    row_cells,
    to_json,
)

__all__ = ["as_csv", "as_table", "as_text", "chance_text", "formula_safe"]

NARROWEST_TEXT = 16  # characters a text column keeps when a table is squeezed into a terminal
GAP = "  "


def as_text(answer: Answer, form: str, width: int | None = None) -> str:
    """Write an answer as text.

    Parameters
    ----------
    answer : Answer
        Rows, one object, or a whole document, which stays as it is in every format.
    form : {'table', 'csv', 'json'}
        `table` shows the columns to read, rounded, in local time, unknown left empty. `csv` and
        `json` give every column in full, times in UTC; unknown is empty and `null`. One object
        (not rows) is JSON in the table format too.
    width : int, optional
        Characters a line may have; longer text is broken over lines. Unlimited when left out.

    Returns
    -------
    str
        The text, ending with a line break.
    """
    if isinstance(answer.rows, str):
        return answer.rows if answer.rows.endswith("\n") else f"{answer.rows}\n"
    if isinstance(answer.rows, Mapping):
        return as_csv(pd.DataFrame([answer.rows])) if form == "csv" else as_object(answer.rows)
    if form == "csv":
        return as_csv(answer.rows)
    if form == "json":
        return as_records(answer.rows)
    shown = [*answer.shown] or [*answer.rows.columns]
    return as_table(answer.rows[shown], answer.zone, width)


# --- for programs ---------------------------------------------------------------------------


def as_records(rows: pd.DataFrame) -> str:
    """Write rows as a JSON list, one row a line."""
    names = list(rows.columns)
    lines = [
        to_json(dict(zip(names, map(plain_value, row), strict=True))) for row in row_cells(rows)
    ]
    return "[\n" + ",\n".join(lines) + "\n]\n" if lines else "[]\n"


def as_object(answer: Mapping[str, object]) -> str:
    """Write one answer as a JSON object."""
    return to_json({name: plain_value(value) for name, value in answer.items()}, indent=2) + "\n"


# --- for people -----------------------------------------------------------------------------


def as_table(rows: pd.DataFrame, zone: tzinfo, width: int | None = None) -> str:
    """Lay rows out for reading: headings, a rule, one row a line (more where text is broken)."""
    names = [str(name) for name in rows.columns]
    columns = [column_texts(rows.iloc[:, at], zone) for at in range(len(names))]
    numeric = [pd.api.types.is_numeric_dtype(rows.iloc[:, at]) for at in range(len(names))]
    wide = [max(len(name), *map(len, texts), 0) for name, texts in zip(names, columns, strict=True)]
    if width:
        wide = squeezed(wide, numeric, names, width - len(GAP) * (len(names) - 1))
    lines = [laid_out(names, wide, numeric), GAP.join("-" * each for each in wide)]
    lines += [laid_out(row, wide, numeric) for row in zip(*columns, strict=True)]
    return "\n".join(lines) + "\n"


def squeezed(wide: list[int], numeric: list[bool], names: list[str], room: int) -> list[int]:
    """Take characters from the widest text column until a line fits, or none can give more."""
    wide = list(wide)
    least = [
        each if number else min(each, max(NARROWEST_TEXT, len(name)))
        for each, number, name in zip(wide, numeric, names, strict=True)
    ]
    while sum(wide) > room:
        spare = [each - few for each, few in zip(wide, least, strict=True)]
        if not any(spare):
            break
        widest = max(range(len(wide)), key=lambda at: (spare[at] > 0, wide[at]))
        wide[widest] -= 1
    return wide


def laid_out(row: Sequence[str], wide: list[int], numeric: list[bool]) -> str:
    """Lay one row out over as many lines as its longest cell needs."""
    broken = [
        textwrap.wrap(text, each, break_on_hyphens=False)
        for text, each in zip(row, wide, strict=True)
    ]
    lines = []
    for parts in zip_longest(*broken, fillvalue=""):
        placed = [
            part.rjust(each) if number else part.ljust(each)
            for part, each, number in zip(parts, wide, numeric, strict=True)
        ]
        lines.append(GAP.join(placed).rstrip())
    return "\n".join(lines)


def column_texts(column: pd.Series[Any], zone: tzinfo) -> list[str]:
    """Write a column's cells for reading; unknown is left empty."""
    if column.name in ("risk", "risk_now", "risk_after"):
        return [chance_text(value) for value in column]
    digits = decimals(column) if pd.api.types.is_float_dtype(column) else 0
    return [cell_text(value, digits, zone) for value in column]


def cell_text(value: Any, digits: int, zone: tzinfo) -> str:
    """Write one cell for reading: local time to the minute, yes or no, rounded numbers."""
    if is_unknown(value):
        return ""
    if isinstance(value, bool | np.bool_):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        moment = pd.Timestamp(value)
        return f"{moment.tz_convert(zone):%Y-%m-%d %H:%M}" if moment.tzinfo else iso_time(moment)
    if isinstance(value, float):
        return number_text(value, digits)
    # A name from a log may hold line breaks, or codes that steer a terminal.
    return "".join(mark if mark.isprintable() else " " for mark in str(value))


def decimals(column: pd.Series[Any]) -> int:
    """Give the decimals that leave a column's largest number three digits; three at most."""
    sizes = np.abs(column.to_numpy(dtype=float, na_value=np.nan))
    sizes = sizes[np.isfinite(sizes) & (sizes > 0)]
    return min(places(float(sizes.max()), 3), 3) if sizes.size else 0


def places(size: float, digits: int) -> int:
    """Give the decimals at which a number shows so many digits; six at most."""
    return int(min(max(digits - 1 - math.floor(math.log10(size)), 0), 6))


def number_text(value: float, digits: int) -> str:
    """Round a number as its column is rounded, but never to fewer than two digits."""
    if value:
        digits = max(digits, min(places(abs(value), 2), 6))
    return f"{value:.{digits}f}"


def chance_text(chance: Any) -> str:
    """Write a chance with two digits or three; never as nothing and never as certain."""
    if is_unknown(chance):
        return ""
    if chance < 0.001:
        return "<0.001"
    if chance > 0.999:
        return ">0.999"
    return f"{chance:.2f}" if 0.1 <= chance <= 0.9 else f"{chance:.3f}"
