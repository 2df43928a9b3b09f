"""The column dictionary: every log of a fleet, every column, its unit and its meaning, as data."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import pandas as pd

from corrosion.records.logs.kinds import (
    ALLOYS,
    CIRCUITS,
    ENTRY,
    SALTY,
    TOUCHED,
    WATERS,
    Column,
    Kind,
    Log,
)
from corrosion.records.logs.limits import LIMITS, limits_of
from corrosion.records.logs.record import RECORD
from corrosion.records.logs.yard import YARD

__all__ = [
    "ALLOYS",
    "CIRCUITS",
    "ENTRY",
    "LIMITS",
    "LOGS",
    "SALTY",
    "TOUCHED",
    "WATERS",
    "YARD_LOGS",
    "Column",
    "Kind",
    "Log",
    "column_dictionary",
    "limits_of",
]

LOGS: Mapping[str, Log] = MappingProxyType({log.name: log for log in (*RECORD, *YARD)})

# logs of the yard are kept by fleets that plan with them; without one, nothing is unknown
YARD_LOGS = frozenset(log.name for log in YARD)


def column_dictionary() -> pd.DataFrame:
    """Return the dictionary as a table, one row per column of a log; the columns of an entry last.

    Returns
    -------
    DataFrame, shape (columns, 9)
        `log` (``any`` for the columns that every log may carry), `column`, `required` (bool: a log
        without it is refused), `holds` (unit, words or kind, for people), `meaning`, then `kind`,
        `unit`, `words` (joined by commas) and `event_time` (bool: this column orders the log).
    """
    own = [
        (log, column) for log in LOGS.values() for column in log if column.name not in _ENTRY_NAMES
    ]
    rows = [_described(log.name, column, column.name == log.event_time) for log, column in own]
    return pd.DataFrame([*rows, *(_described("any", column, False) for column in ENTRY)])


_ENTRY_NAMES = frozenset(column.name for column in ENTRY)
_KINDS = {"id": "text", "moment": "time", "flag": "true / false"}


def _described(log: str, column: Column, event_time: bool) -> dict[str, object]:
    words = " / ".join(column.words)
    missing = f" ({column.if_missing} when missing)" if column.if_missing else ""
    return {
        "log": log,
        "column": column.name,
        "required": column.required,
        "holds": column.unit or words or _KINDS.get(column.kind, column.kind),
        "meaning": column.meaning + missing,
        "kind": column.kind,
        "unit": column.unit,
        "words": ", ".join(column.words),
        "event_time": event_time,
    }
