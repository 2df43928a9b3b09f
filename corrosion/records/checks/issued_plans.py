"""Rules for plans that were issued: what the desk was told of hires is whole, and of a plan."""

from __future__ import annotations

import pandas as pd

from corrosion.records.checks.evidence import NOTE, Evidence, Flags, Rule


def of_no_plan(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A change of a hire told with a plan that is not in the log."""
    return ~rows["plan_id"].isin(evidence["plans"]["plan_id"])


def not_as_many_hires(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A plan that told of another number of hires than are kept; said at its first line."""
    kept = rows["plan_id"].map(evidence["plan_hires"]["plan_id"].value_counts()).fillna(0)
    counts = rows["hires_told"].notna() & (kept != rows["hires_told"])
    return counts & ~rows["plan_id"].duplicated()


ISSUED_RULES: tuple[Rule, ...] = (
    Rule(
        "hire-of-no-plan",
        ("plan_hires",),
        NOTE,
        "The plan that told of it is not in the log plans: take its files from a copy.",
        of_no_plan,
        ("plan_id",),
    ),
    Rule(
        "plan-hires-not-whole",
        ("plans",),
        NOTE,
        "Rows of plan_hires are missing or too many: take them from a copy, or issue anew.",
        not_as_many_hires,
        ("plan_id", "hires_told"),
    ),
)
