"""Rules for alloy against water, and for alloys mixed on one hull (sources differ; see manuals)."""

from __future__ import annotations

import pandas as pd

from corrosion.records.alloys_in_place import alloys_in_place
from corrosion.records.checks.evidence import (
    DOUBTFUL,
    NOTE,
    Evidence,
    Flags,
    LaidOut,
    Rule,
    flags_of,
)
from corrosion.records.checks.lookback import layout_of, water_at
from corrosion.records.checks.watching import once
from corrosion.records.logs import SALTY


def lay_out_alloys(evidence: Evidence) -> LaidOut:
    """Put beside each hull what it carries and where it lies.

    Adds to `hulls`: alloys (a set: of each anode in place the alloy last fitted, else the one
    listed), lies_in (the water of its berth now, unknown once it is retired).
    """
    hulls = evidence["hulls"]
    carried = once(evidence, "alloys carried", _alloys_carried)
    now = hulls.assign(now=pd.Series(evidence.on, index=hulls.index, dtype="datetime64[us, UTC]"))
    retired = hulls["retired"].notna() & (hulls["retired"] <= evidence.on)
    laid_out = hulls.assign(
        alloys=carried,
        lies_in=water_at(now, evidence, "now").mask(retired),
    )
    return "hulls", laid_out


def _alloys_carried(evidence: Evidence) -> pd.Series:
    """Return the set of alloys that each hull carries, a row a hull."""
    hulls = evidence["hulls"]
    anodes = alloys_in_place(hulls, evidence["anode_positions"], evidence["fittings"])
    carried = anodes.dropna(subset="alloy").groupby("hull_id")["alloy"].agg(frozenset)
    sets = [carried.get(hull_id, frozenset()) for hull_id in hulls["hull_id"]]
    return pd.Series(sets, index=hulls.index, dtype=object)


def magnesium_in_salt(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Carries magnesium and lies in salt or brackish water."""
    return _carries(rows, "magnesium") & rows["lies_in"].isin(SALTY)


def zinc_in_fresh(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Carries zinc and lies in fresh water."""
    return _carries(rows, "zinc") & (rows["lies_in"] == "fresh")


def alloys_mixed(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Carries more than one alloy at once."""
    return rows["alloys"].map(len) > 1


def alloy_not_as_listed(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """The alloy fitted is another one than the position is listed with."""
    keyed = rows.assign(layout=layout_of(rows, evidence))
    register = evidence["anode_positions"][["layout", "position", "alloy"]].astype(object)
    listed = keyed[["layout", "position"]].astype(object).merge(register, how="left")["alloy"]
    listed.index = rows.index
    return rows["alloy"].notna() & listed.notna() & (rows["alloy"] != listed)


def _carries(rows: pd.DataFrame, alloy: str) -> Flags:
    return flags_of([alloy in alloys for alloys in rows["alloys"]], rows)


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
