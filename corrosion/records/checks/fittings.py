"""Rules for anodes taken out and put in: a removal without a fitting, a look at the same minute."""

from __future__ import annotations

import pandas as pd

from corrosion.records.checks.evidence import (
    DOUBTFUL,
    NOTE,
    Evidence,
    Flags,
    Rule,
    flags_of,
    is_true,
    moments_of,
)
from corrosion.records.checks.lookback import hours_between, place_after, place_before, values_at
from corrosion.records.checks.watching import once

SPOT = ["spot_no"]
REMOVED_AGAIN_H = 7 * 24.0
LEFT_EMPTY_H = 14 * 24.0
# the new anode may be written down before the old one's last look
WRITTEN_AROUND = pd.Timedelta(hours=6)


def removed_twice(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Taken out again within a week, with no fitting in between."""
    again = once(evidence, "after a removal", _after_removal) & is_true(rows["removed"])
    gap_h = hours_between(rows["read_at"], rows.groupby(SPOT, sort=False)["read_at"].shift())
    return again & (gap_h <= REMOVED_AGAIN_H)


def fitting_not_recorded(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """The first look after a removal, with no fitting in between."""
    return once(evidence, "after a removal", _after_removal) & ~removed_twice(rows, evidence)


def left_empty(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Taken out, nothing fitted and not looked at since, and the hull went out for weeks."""
    last_out = moments_of(once(evidence, "last back", _last_back), rows["hull_no"])
    used_h = hours_between(last_out, rows["read_at"])
    last_look = ~rows.duplicated(SPOT, keep="last")
    bare = is_true(rows["removed"]) & last_look & ~_fitted_after(rows, evidence)
    return bare & (used_h >= LEFT_EMPTY_H)


def read_as_fitted(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Read at the very moment of a fitting, and not as the removal of the old anode."""
    return (rows["read_at"] == once(evidence, "fitted by", _fitted_by)) & ~is_true(rows["removed"])


def _fitted_after(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    early = rows.assign(read_at=rows["read_at"] - WRITTEN_AROUND)
    place = place_after(early, evidence["fittings"], SPOT, "read_at", "fitted_at")
    return flags_of(place >= 0, rows)


def _last_back(evidence: Evidence) -> pd.Series:
    """Return when each hull came back last, by its number."""
    return evidence["outings"].groupby("hull_no")["ended"].max()


def _after_removal(evidence: Evidence) -> Flags:
    """The look before took the anode out, and no fitting lies between the two."""
    rows = evidence["readings"]
    before = rows.groupby(SPOT, sort=False)
    taken_out = is_true(before["removed"].shift())
    removed_at = before["read_at"].shift() - WRITTEN_AROUND
    return taken_out & ~(once(evidence, "fitted by", _fitted_by) >= removed_at)


def _fitted_by(evidence: Evidence) -> pd.Series:
    """When the anode in place at each reading went in, as far as fittings say."""
    rows, fittings = evidence["readings"], evidence["fittings"]
    place = place_before(rows, fittings, SPOT, "read_at", "fitted_at")
    fitted = values_at(fittings["fitted_at"], place)
    fitted.index = rows.index
    return fitted


FITTING_RULES: tuple[Rule, ...] = (
    Rule(
        "removed-twice",
        ("readings",),
        DOUBTFUL,
        "Taken out twice within a week with no fitting between: void one, or enter the fitting.",
        removed_twice,
        ("size_mm",),
    ),
    Rule(
        "fitting-not-recorded",
        ("readings",),
        NOTE,
        "The anode was taken out and no new one entered, yet it was looked at again: enter the "
        "fitting; a new anode is taken to have gone in then.",
        fitting_not_recorded,
        ("size_mm",),
    ),
    Rule(
        "left-empty",
        ("readings",),
        NOTE,
        "Taken out, nothing fitted since, and the hull is in use: enter the fitting, or fit one.",
        left_empty,
    ),
    Rule(
        "read-as-fitted",
        ("readings",),
        NOTE,
        "Read at the very minute of a fitting: well below a new size it counts for the old anode, "
        "else for the new one. Mark it as removed if it was the old one.",
        read_as_fitted,
        ("size_mm",),
    ),
)
