"""CSV: a table as text that every spreadsheet takes, numbers in full, nothing that it would run."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

import numpy as np
import pandas as pd

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def as_csv(rows: pd.DataFrame) -> str:
    """Write rows as CSV, numbers in full, no cell that a spreadsheet takes for a formula."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(map(formula_safe, rows.columns))
    writer.writerows([csv_cell(value) for value in row] for row in row_cells(rows))
    return text.getvalue()


def to_json(value: object, indent: int | None = None) -> str:
    """Write JSON that every reader takes: no NaN in it."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False, indent=indent)


def row_cells(rows: pd.DataFrame) -> Iterable[tuple[Any, ...]]:
    """Go through the rows, each a tuple of its cells."""
    return rows.itertuples(index=False, name=None)


def plain_value(value: Any) -> Any:
    """Turn a cell into what JSON knows: text, number, true, false, null; times as ISO in UTC."""
    if isinstance(value, Mapping):
        return {str(name): plain_value(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple | np.ndarray):
        return [plain_value(inner) for inner in value]
    if is_unknown(value):
        return None
    if isinstance(value, np.generic):
        return value.item()
    if isinstance(value, datetime):
        return iso_time(pd.Timestamp(value))
    return value.isoformat() if isinstance(value, date) else value


def is_unknown(value: Any) -> bool:
    """Say whether a cell is not known; an endless number is not known either."""
    return bool(pd.isna(value)) or (isinstance(value, float) and math.isinf(value))


def iso_time(moment: pd.Timestamp) -> str:
    """Write a time in UTC; one without a zone is a date."""
    if moment.tzinfo is None:
        return moment.date().isoformat()
    return moment.tz_convert("UTC").isoformat().replace("+00:00", "Z")


def csv_cell(value: Any) -> Any:
    """Turn a cell into what a CSV file holds."""
    plain = plain_value(value)
    if isinstance(plain, bool):
        return "true" if plain else "false"
    if isinstance(plain, list | dict):
        return to_json(plain)
    return formula_safe(plain) if isinstance(plain, str) else plain


def formula_safe(text: str) -> str:
    """Put an apostrophe before text that a spreadsheet would run."""
    return f"'{text}" if text.lstrip(" ").startswith(FORMULA_STARTS) else text
