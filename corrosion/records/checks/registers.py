"""Rules for the registers: hulls, moorings and the places where anodes sit."""

from __future__ import annotations

import pandas as pd

from corrosion.records.checks.evidence import (
    DOUBTFUL,
    NOTE,
    ROW_KEYS,
    SET_ASIDE,
    Evidence,
    Flags,
    Rule,
    flags_of,
    moments_of,
)
from corrosion.records.logs import ALLOYS, CIRCUITS, WATERS

# common practice, no source: limits leave a third to a half of a part, anodes of small craft are
# shorter than a forearm, and manuals ask for a look between a week and two years apart
LITTLE_LEFT = 0.2
UNUSUALLY_LARGE_MM = 250.0
LEAST_ALLOWANCE_MM = 0.1
"""What a caliper tells apart (common practice, no source); less is no allowance to wear away."""
USUAL_DAYS = (5.0, 800.0)
USUAL_HOURS = (5.0, 2_000.0)


def key_missing(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """No name to file the row under."""
    keys = list(ROW_KEYS[evidence.log])
    return rows[keys].isna().any(axis=1)


def key_repeated(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """The same hull, mooring or position is in the register twice."""
    keys = list(ROW_KEYS[evidence.log])
    return rows.duplicated(keys) & rows[keys].notna().all(axis=1)


def size_not_positive(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A new size that is zero, negative or unknown, or a negative or unknown limit."""
    return ~(rows["new_size_mm"] > 0) | ~(rows["limit_size_mm"] >= 0)


def limit_far_below_new(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Hardly anything would be left of a new part: another unit, or a point that was lost."""
    little = rows["limit_size_mm"] < LITTLE_LEFT * rows["new_size_mm"]
    return little | (rows["new_size_mm"] > UNUSUALLY_LARGE_MM)


def interval_unusual(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Looks so far apart that no manual asks for them, or every other day."""
    days, hours = rows["inspect_days"], rows["inspect_hours"]
    return ~days.between(*USUAL_DAYS) & days.notna() | ~hours.between(*USUAL_HOURS) & hours.notna()


def limit_not_below_new(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Nothing that a caliper would show to wear away between new and the limit."""
    return rows["new_size_mm"] - rows["limit_size_mm"] < LEAST_ALLOWANCE_MM


def circuit_not_known(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Neither wetted by the cooling passages nor by the water around the hull."""
    return ~rows["circuit"].isin(CIRCUITS)


def alloy_not_known(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """An alloy that is none of the three."""
    return ~rows["alloy"].isin(ALLOYS)


def water_not_known(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A mooring whose water is none of the three."""
    return ~rows["water"].isin(WATERS)


def cost_negative(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A cost or a time that is below zero."""
    amounts = [c for c in rows.columns if c.endswith(("_cost", "_minutes", "inspect_hours"))]
    return (rows[amounts] < 0).any(axis=1)


def without_positions(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A hull whose layout has no place for an anode."""
    return ~rows["layout"].isin(evidence["anode_positions"]["layout"])


def without_berth(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A hull that is in service and lives nowhere."""
    retired = rows["retired"].notna() & (rows["retired"] <= evidence.on)
    return ~rows["hull_id"].isin(evidence["berths"]["hull_id"]) & ~retired


def berth_starts_late(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A hull whose first berth begins after its first outing."""
    first_berth = evidence["berths"].groupby("hull_id")["since"].min()
    first_outing = evidence["outings"].groupby("hull_id")["started"].min()
    ids = rows["hull_id"]
    late = moments_of(first_berth, ids) > moments_of(first_outing, ids)
    return flags_of(late, rows)


def retired_before_service(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Retired before it came into service."""
    return rows["retired"] < rows["in_service"]


REGISTER_RULES: tuple[Rule, ...] = (
    Rule(
        "name-missing",
        ("hulls", "moorings", "anode_positions"),
        SET_ASIDE,
        "Give the row its hull, mooring, or layout and position.",
        key_missing,
    ),
    Rule(
        "in-register-twice",
        ("hulls", "moorings", "anode_positions"),
        SET_ASIDE,
        "Keep one row; the other is not used until then.",
        key_repeated,
    ),
    Rule(
        "size-not-positive",
        ("anode_positions",),
        SET_ASIDE,
        "Enter the new and the limit size from the manual; until then this position and the "
        "readings on it are not used.",
        size_not_positive,
        ("new_size_mm", "limit_size_mm"),
    ),
    Rule(
        "limit-not-below-new",
        ("anode_positions",),
        SET_ASIDE,
        "Look both sizes up in the manual, they may be exchanged; until then this position and "
        "the readings on it are not used.",
        limit_not_below_new,
        ("new_size_mm", "limit_size_mm"),
    ),
    Rule(
        "limit-far-below-new",
        ("anode_positions",),
        DOUBTFUL,
        "Look both sizes up in the manual: another unit, or a point lost? Every forecast for this "
        "position hangs on them.",
        limit_far_below_new,
        ("new_size_mm", "limit_size_mm"),
    ),
    Rule(
        "interval-unusual",
        ("anode_positions",),
        DOUBTFUL,
        "Look the days and hours between looks up in the manual; they are used as they stand.",
        interval_unusual,
        ("inspect_days", "inspect_hours"),
    ),
    Rule(
        "circuit-unknown",
        ("anode_positions",),
        SET_ASIDE,
        "Write engine or hull; until then this position and the readings on it are not used.",
        circuit_not_known,
        ("circuit",),
    ),
    Rule(
        "alloy-unknown",
        ("anode_positions",),
        DOUBTFUL,
        "Write zinc, aluminium or magnesium.",
        alloy_not_known,
        ("alloy",),
    ),
    Rule(
        "water-unknown",
        ("moorings",),
        DOUBTFUL,
        "Write salt, brackish or fresh; hours there count in no water until then.",
        water_not_known,
        ("water",),
    ),
    Rule(
        "cost-negative",
        ("anode_positions",),
        DOUBTFUL,
        "Correct the cost or the minutes; a plan with it makes no sense.",
        cost_negative,
    ),
)

HULL_RULES: tuple[Rule, ...] = (
    Rule(
        "layout-without-positions",
        ("hulls",),
        DOUBTFUL,
        "Enter the layout's anode positions, or correct the hull's layout; the hull can't be "
        "judged until then.",
        without_positions,
        ("layout",),
    ),
    Rule(
        "retired-before-service",
        ("hulls",),
        DOUBTFUL,
        "Check both dates, they may be exchanged.",
        retired_before_service,
        ("in_service", "retired"),
    ),
    Rule(
        "berth-missing",
        ("hulls",),
        DOUBTFUL,
        "Write down where the hull lives; its water and its hours afloat are not known.",
        without_berth,
    ),
    Rule(
        "berth-starts-late",
        ("hulls",),
        NOTE,
        "Write down where the hull lived before; earlier hours are read as at its first berth.",
        berth_starts_late,
    ),
)
