"""What a rule found, told to the person who keeps the logs."""

from __future__ import annotations

import pandas as pd

from corrosion.records.checks.evidence import EVENT_TIME, ROW_KEYS, Evidence, Objection
from corrosion.records.logbook import Finding, clock_text


def finding_of(objection: Objection, evidence: Evidence) -> Finding:
    """Say what a rule found in a log: how many rows, the first in words, and what to do."""
    rule, rows = objection.rule, objection.rows
    first = _in_words(objection, evidence)
    return Finding(objection.log, rule.name, rule.severity, len(rows), first, rule.what_to_do)


def _in_words(objection: Objection, evidence: Evidence) -> str:
    """Tell the earliest row: what it is about, when, and the values that were objected to."""
    log, rows = objection.log, objection.rows
    time = EVENT_TIME.get(log)
    row = rows.iloc[_earliest(rows[time]) if time else 0]
    about = " ".join(_told(row[key], evidence) for key in ROW_KEYS[log] if _names(key))
    when = [_told(row[time], evidence)] if time else []
    shown = [
        f"{column} {_told(row[column], evidence)}"
        for column in objection.rule.shows
        if column in row.index and column != time and pd.notna(row[column])
    ]
    return ", ".join([about, *when, *shown])


def _earliest(moments: pd.Series) -> int:
    return int(moments.argmin()) if moments.notna().any() else 0


def _names(key: str) -> bool:
    return key in {"hull_id", "mooring_id", "layout", "position"}


def _told(value: object, evidence: Evidence) -> str:
    if isinstance(value, pd.Timestamp):
        return clock_text(value, evidence.timezone)
    if value is None or value is pd.NaT or value is pd.NA or value != value:
        return "unknown"
    return f"{value:.6g}" if isinstance(value, float) else str(value)
