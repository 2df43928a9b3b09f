"""Rules for where and at what hour: a hull in another water than its berth's, out at night."""

from __future__ import annotations

import pandas as pd

from corrosion.records.checks.evidence import NOTE, Evidence, Flags, Rule, flags_of
from corrosion.records.checks.lookback import water_at

SELDOM = 0.2
NIGHT_FROM_H, NIGHT_TO_H = 1, 5
NIGHTLY = 0.02


def water_not_of_berth(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Ran in another water than that of its berth, which this hull seldom does: lent, or moved?"""
    berth = water_at(rows, evidence, "ended")
    other = rows["water"].notna() & berth.notna() & (rows["water"] != berth)
    seldom = other.groupby(rows["hull_no"]).transform("mean") < SELDOM
    return other & seldom


def out_at_night(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Cast off in the small hours, in a fleet that does not."""
    hour = rows["started"].dt.tz_convert(evidence.timezone).dt.hour
    night = hour.between(NIGHT_FROM_H, NIGHT_TO_H - 1)
    return flags_of(night & (night.mean() < NIGHTLY), rows)


PLACE_RULES: tuple[Rule, ...] = (
    Rule(
        "water-not-of-berth",
        ("outings",),
        NOTE,
        "It ran in another water than its berth's: lent to another mooring, or moved? Write the "
        "move down under berths.",
        water_not_of_berth,
        ("water",),
    ),
    Rule(
        "out-at-night",
        ("outings",),
        NOTE,
        "Cast off between one and five at night, which this fleet does not: local time for UTC, "
        "or morning for evening? Check the clock.",
        out_at_night,
        ("started",),
    ),
)
