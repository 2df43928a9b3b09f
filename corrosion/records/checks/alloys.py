"""Rules for alloy against water, and for alloys mixed on one hull (sources differ; see manuals)."""

from __future__ import annotations

import pandas as pd

from corrosion.records.alloys_in_place import alloys_in_place
from corrosion.records.checks.evidence import DOUBTFUL, NOTE, Evidence, Flags, Rule, flags_of
from corrosion.records.checks.lookback import layout_of, water_at
from corrosion.records.logs import SALTY


def magnesium_in_salt(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Carries magnesium and lies in salt or brackish water."""
    return _carries(rows, evidence, "magnesium") & _lies_in(rows, evidence, *SALTY)


def zinc_in_fresh(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Carries zinc and lies in fresh water."""
    return _carries(rows, evidence, "zinc") & _lies_in(rows, evidence, "fresh")


def alloys_mixed(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Carries more than one alloy at once."""
    kinds = _alloys_now(evidence).groupby("hull_id")["alloy"].nunique()
    return flags_of(rows["hull_id"].map(kinds) > 1, rows)


def alloy_not_as_listed(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """The alloy fitted is another one than the position is listed with."""
    keyed = rows.assign(layout=layout_of(rows, evidence))
    register = evidence["anode_positions"][["layout", "position", "alloy"]].astype(object)
    listed = keyed[["layout", "position"]].astype(object).merge(register, how="left")["alloy"]
    listed.index = rows.index
    return rows["alloy"].notna() & listed.notna() & (rows["alloy"] != listed)


def _alloys_now(evidence: Evidence) -> pd.DataFrame:
    """One row per hull and position: the alloy last fitted, else the one listed."""
    logs = (evidence[name] for name in ("hulls", "anode_positions", "fittings"))
    return alloys_in_place(*logs)


def _carries(rows: pd.DataFrame, evidence: Evidence, alloy: str) -> Flags:
    anodes = _alloys_now(evidence)
    return rows["hull_id"].isin(anodes.loc[anodes["alloy"] == alloy, "hull_id"])


def _lies_in(rows: pd.DataFrame, evidence: Evidence, *waters: str) -> Flags:
    now = rows.assign(now=pd.Series(evidence.on, index=rows.index, dtype="datetime64[us, UTC]"))
    retired = rows["retired"].notna() & (rows["retired"] <= evidence.on)
    return water_at(now, evidence, "now").isin(waters) & ~retired


ALLOY_RULES: tuple[Rule, ...] = (
    Rule(
        "magnesium-in-salt",
        ("hulls",),
        DOUBTFUL,
        "Stop: magnesium is gone within weeks in salt or brackish water and can blister paint. "
        "Take the hull out of that water or change the anodes as its manual says.",
        magnesium_in_salt,
        ("layout",),
    ),
    Rule(
        "zinc-in-fresh",
        ("hulls",),
        NOTE,
        "Zinc crusts in fresh water and stops protecting while it looks new: clean it at every "
        "look, and see the manual for the alloy in this water.",
        zinc_in_fresh,
        ("layout",),
    ),
    Rule(
        "alloys-mixed",
        ("hulls",),
        NOTE,
        "Different alloys on one hull work against each other: see the manual, fit one alloy.",
        alloys_mixed,
        ("layout",),
    ),
    Rule(
        "alloy-not-as-listed",
        ("fittings",),
        NOTE,
        "Another alloy than the position is listed with: check the part.",
        alloy_not_as_listed,
        ("alloy",),
    ),
)
