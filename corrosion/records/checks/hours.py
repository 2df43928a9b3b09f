"""Rules for hours: how long an outing lasted, what the engine ran."""

from __future__ import annotations

import pandas as pd

from corrosion.records.checks.evidence import DOUBTFUL, SET_ASIDE, Evidence, Flags, Rule
from corrosion.records.checks.lookback import hours_between

LONG_OUTING_H = 24.0
IMPOSSIBLE_OUTING_H = 72.0
HOURS_SLACK_SHARE, HOURS_SLACK_H = 0.05, 0.1
EXPECTED_SLACK_SHARE, EXPECTED_SLACK_H = 0.5, 0.5


def outing_over_three_days(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Lasted longer than any hire of a small craft."""
    return _lasted_h(rows) > IMPOSSIBLE_OUTING_H


def outing_over_a_day(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Lasted more than a day, but not more than three."""
    return _lasted_h(rows).between(LONG_OUTING_H, IMPOSSIBLE_OUTING_H, inclusive="right")


def hours_negative(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Engine hours below zero."""
    return rows["engine_hours"] < 0


def hours_over_outing(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """The engine ran longer than the outing lasted."""
    return rows["engine_hours"] > (1 + HOURS_SLACK_SHARE) * _lasted_h(rows) + HOURS_SLACK_H


def expected_over_hire(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Far more engine hours are expected than the hire lasts; a guess may be a little over."""
    return rows["engine_hours"] > (1 + EXPECTED_SLACK_SHARE) * _lasted_h(rows) + EXPECTED_SLACK_H


def minutes_impossible(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A flush that took less than no time, or more than half a day."""
    return (rows["minutes"] < 0) | (rows["minutes"] > 12 * 60)


def _lasted_h(rows: pd.DataFrame) -> pd.Series:
    if "started" in rows.columns:
        return hours_between(rows["ended"], rows["started"])
    return hours_between(rows["ends"], rows["starts"])


HOUR_RULES: tuple[Rule, ...] = (
    Rule(
        "outing-over-three-days",
        ("outings",),
        SET_ASIDE,
        "Correct start or end; probably the return was not logged on the day.",
        outing_over_three_days,
        ("started",),
    ),
    Rule(
        "outing-over-a-day",
        ("outings",),
        DOUBTFUL,
        "Check start and end; probably the return was logged late.",
        outing_over_a_day,
        ("started",),
    ),
    Rule(
        "engine-hours-negative",
        ("outings", "bookings"),
        SET_ASIDE,
        "Correct the engine hours; the times stay, the hours are filled from the hull's usual "
        "share until then.",
        hours_negative,
        ("engine_hours",),
        cells=("engine_hours",),
    ),
    Rule(
        "engine-hours-over-outing",
        ("outings",),
        SET_ASIDE,
        "The engine can't run longer than the outing: correct hours or times (a meter standing "
        "in the hours?); the times stay, the hours are filled from the hull's usual share.",
        hours_over_outing,
        ("engine_hours",),
        cells=("engine_hours",),
    ),
    Rule(
        "engine-hours-over-hire",
        ("bookings",),
        SET_ASIDE,
        "More engine hours are expected than the hire lasts: correct them; the hull's usual share "
        "is taken until then.",
        expected_over_hire,
        ("engine_hours",),
        cells=("engine_hours",),
    ),
    Rule(
        "flush-minutes-impossible",
        ("flushes",),
        SET_ASIDE,
        "Correct the minutes; the flush itself counts.",
        minutes_impossible,
        ("minutes",),
        cells=("minutes",),
    ),
)
