"""Rules for when: rows that end before they start, speak of the future, or lie outside service."""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.records.checks.evidence import (
    DOUBTFUL,
    EVENT_TIME,
    NOTE,
    SET_ASIDE,
    Evidence,
    Flags,
    Rule,
    flags_of,
    moments_of,
)
from corrosion.records.checks.lookback import hours_between

ENTRY_SLACK_DAYS = 1.0
CLOCK_SLACK_DAYS = 0.25 / 24
SWAP_APART_DAYS = 20.0
SWAP_FITS_DAYS = 3.0
SERVICE_SLACK = pd.Timedelta(days=1)


def time_missing(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """No moment, or a start or end that is unknown."""
    return rows[_time_columns(evidence)].isna().any(axis=1)


def ended_before_start(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """An outing or a hire that lasted no time or less."""
    first, last = _time_columns(evidence)
    return rows[last] <= rows[first]


def before_service(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """More than a day before the hull came into service."""
    came = _register_date(rows, evidence, "in_service")
    return _event_time(rows, evidence) < came - SERVICE_SLACK


def after_retired(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """More than a day after the hull was retired."""
    went = _register_date(rows, evidence, "retired")
    # a date means its whole day
    return _event_time(rows, evidence) > went + 2 * SERVICE_SLACK


def ahead_of_entry(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Speaks of a moment more than a day after it was written down."""
    return _days_ahead(rows, evidence) > ENTRY_SLACK_DAYS


def clock_ahead_of_entry(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Speaks of a moment a little after it was written down, as a clock of another zone does."""
    ahead = _days_ahead(rows, evidence)
    return (ahead > CLOCK_SLACK_DAYS) & (ahead <= ENTRY_SLACK_DAYS)


def day_and_month_swapped(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Far from its entry as it stands, close before its entry with day and month exchanged."""
    if "entered_at" not in rows.columns:
        return flags_of(np.zeros(len(rows)), rows)
    ahead = _days_ahead(rows, evidence)
    suspect = (ahead.abs() > SWAP_APART_DAYS) & _entered_soon(ahead)
    if not suspect.any():
        return suspect
    swapped = _swap_day_and_month(_event_time(rows, evidence)[suspect])
    lag = hours_between(rows["entered_at"][suspect], swapped) / 24.0
    fits = lag.between(-ENTRY_SLACK_DAYS, SWAP_FITS_DAYS)
    return fits.reindex(rows.index, fill_value=False)


def _entered_soon(ahead: pd.Series) -> bool:
    """Rows of this log are mostly written down within days; else a late entry says nothing."""
    known = ahead.dropna().abs()
    return len(known) > 0 and float(known.median()) <= SWAP_FITS_DAYS


def _swap_day_and_month(moments: pd.Series) -> pd.Series:
    """Exchange day and month; a day above twelve has no such reading and becomes unknown."""
    possible = (moments.dt.day <= 12) & (moments.dt.day != moments.dt.month)
    texts = moments.dt.strftime("%Y-%d-%m %H:%M:%S").where(possible)
    swapped: pd.Series = pd.to_datetime(texts, format="%Y-%m-%d %H:%M:%S", utc=True)
    return swapped


def _days_ahead(rows: pd.DataFrame, evidence: Evidence) -> pd.Series:
    """Days from entry to event, positive where the event is later."""
    if "entered_at" not in rows.columns:
        return pd.Series(np.nan, index=rows.index)
    return hours_between(_event_time(rows, evidence), rows["entered_at"]) / 24.0


def _time_columns(evidence: Evidence) -> list[str]:
    spans = {"outings": ["started", "ended"], "bookings": ["starts", "ends"]}
    return spans.get(evidence.log, [EVENT_TIME[evidence.log]])


def _event_time(rows: pd.DataFrame, evidence: Evidence) -> pd.Series:
    return rows[EVENT_TIME[evidence.log]]


def _register_date(rows: pd.DataFrame, evidence: Evidence, column: str) -> pd.Series:
    hulls = evidence["hulls"].drop_duplicates("hull_id").set_index("hull_no")
    return moments_of(hulls[column], rows["hull_no"])


HULL_EVENTS = ("outings", "flushes", "fittings", "readings")
EVENTS = (*HULL_EVENTS, "water_samples")

TIME_RULES: tuple[Rule, ...] = (
    Rule(
        "time-missing",
        (*EVENTS, "berths", "bookings", "meters", "engine_swaps"),
        SET_ASIDE,
        "Write down when it was; the row can't be placed without it.",
        time_missing,
    ),
    Rule(
        "ended-before-start",
        ("outings", "bookings"),
        SET_ASIDE,
        "Correct start or end, they may be exchanged or past midnight.",
        ended_before_start,
        ("started", "starts", "ended", "ends"),
    ),
    Rule(
        "ahead-of-entry",
        EVENTS,
        SET_ASIDE,
        "It speaks of a time after it was written down: correct the date.",
        ahead_of_entry,
        ("entered_at",),
    ),
    Rule(
        "clock-ahead-of-entry",
        EVENTS,
        NOTE,
        "It speaks of a time up to a day after it was written down: local time written as UTC, or "
        "a clock that is wrong? Correct the time.",
        clock_ahead_of_entry,
        ("entered_at",),
    ),
    Rule(
        "day-month-swapped",
        EVENTS,
        DOUBTFUL,
        "Day and month may be exchanged, the date fits its entry the other way round: correct it.",
        day_and_month_swapped,
        ("entered_at",),
    ),
    Rule(
        "before-service",
        HULL_EVENTS,
        DOUBTFUL,
        "The hull was not yet in service: check the hull, the date, or its in_service date.",
        before_service,
    ),
    Rule(
        "after-retired",
        HULL_EVENTS,
        DOUBTFUL,
        "The hull was retired by then: check the hull, the date, or its retired date.",
        after_retired,
    ),
)
