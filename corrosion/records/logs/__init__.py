"""The column dictionary: every log of a fleet, every column, its unit and its meaning, as data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from types import MappingProxyType

import pandas as pd

from corrosion.records.logs.kinds import ALLOYS, CIRCUITS, ENTRY, WATERS, Column, Kind, Log
from corrosion.records.logs.record import RECORD
from corrosion.records.logs.yard import YARD

__all__ = [
    "ALLOYS",
    "CIRCUITS",
    "ENTRY",
    "LOGS",
    "WATERS",
    "YARD_LOGS",
    "Column",
    "Kind",
    "Log",
    "column_dictionary",
]

LOGS: Mapping[str, Log] = MappingProxyType({log.name: log for log in (*RECORD, *YARD)})

# logs of the yard are kept by fleets that plan with them; without one, nothing is unknown
YARD_LOGS = frozenset(log.name for log in YARD)


def column_dictionary() -> pd.DataFrame:
    """The dictionary as a table, one row per column of a log.

    Returns
    -------
    DataFrame, shape (columns, 9)
        `log`, then the fields of `Column` (`words` joined by commas), then `event_time` (bool:
        this column orders the log).
    """
    names = [field.name for field in fields(Column)]
    rows = [
        {"log": log.name}
        | {name: getattr(column, name) for name in names}
        | {"words": ", ".join(column.words), "event_time": column.name == log.event_time}
        for log in LOGS.values()
        for column in log
    ]
    return pd.DataFrame(rows)
