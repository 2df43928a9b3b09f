"""Rules for a size by itself: no size, a size that no part has, the wrong unit, a lost point."""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.records.checks.evidence import (
    DOUBTFUL,
    NOTE,
    SET_ASIDE,
    Evidence,
    Flags,
    LaidOut,
    Rule,
    is_true,
    larger_of,
    number_for,
)
from corrosion.records.checks.lookback import layout_of

INCH_MM = 25.4
FACTORS = (INCH_MM, 1 / INCH_MM, 10.0, 0.1, 100.0, 0.01)
FAR_ABOVE_NEW = 1.3
SMALL_SHARE = 0.12
ABOVE_NEW_MM = 0.6
# crust by water, mm (common practice, no source: 0.3 to 1.5, most in fresh water)
CRUST_MM = {"fresh": 1.5, "brackish": 0.3, "salt": 0.3}
RANGE_CELLS = ("size_low_mm", "size_high_mm")
SIZE_CELLS = ("size_mm", *RANGE_CELLS)
SHOWS = (*SIZE_CELLS, "new_size_mm", "limit_size_mm")


def find_slips(evidence: Evidence) -> LaidOut:
    """Put beside each reading the factor by which it may have slipped (`slip`; 1: by none)."""
    looks = evidence["readings"]
    return "readings", looks.assign(slip=_best_factor(looks))


def nothing_read(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """No size, no range, no verdict, nothing measured, nothing taken out."""
    values = ["size_mm", *RANGE_CELLS, "verdict", "potential_mv", "bond_ohm"]
    return rows[values].isna().all(axis=1) & ~is_true(rows["removed"])


def size_negative(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A size below zero."""
    return rows["size_mm"] < 0


def size_zero(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A size of exactly zero: gone, or not measured?"""
    return rows["size_mm"] == 0


def range_upside_down(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """The least by eye is above the most."""
    return rows["size_low_mm"] > rows["size_high_mm"]


def range_impossible(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A range that lies below zero or far above a new part."""
    ceiling = FAR_ABOVE_NEW * rows["new_size_mm"]
    outside = (rows["size_high_mm"] < 0) | (rows["size_low_mm"] > ceiling)
    return outside & (rows["slip"] == 1.0)


def inch_for_mm(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Far too small as it stands, right when read in inches."""
    return rows["slip"] == INCH_MM


def converted_twice(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Far too large as it stands, right when divided by 25.4."""
    return rows["slip"] == 1 / INCH_MM


def decimal_point_lost(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Right when the decimal point is moved by one or two places."""
    return rows["slip"].isin((10.0, 0.1, 100.0, 0.01))


def far_above_new(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """More than 1.3 times a new part, and no unit explains it."""
    far = rows["size_mm"] > FAR_ABOVE_NEW * _new_mm(rows)
    return far & (rows["slip"] == 1.0)


def above_new(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Above a new part by more than reading error and crust allow."""
    crust_mm, new_mm = number_for(rows["water"], CRUST_MM, CRUST_MM["fresh"]), _new_mm(rows)
    allowed_mm = new_mm + ABOVE_NEW_MM + 3 * rows["noise_mm"] + crust_mm
    far = rows["size_mm"] > FAR_ABOVE_NEW * new_mm
    return (rows["size_mm"] > allowed_mm) & ~far


def verdict_against_size(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Called ok at or below the limit, or worn while hardly used."""
    worn = (rows["new_size_mm"] - rows["size_mm"]) / rows["allowance_mm"]
    return ((rows["verdict"] == "ok") & (worn >= 1)) | ((rows["verdict"] == "worn") & (worn < 0.5))


def fitted_size_impossible(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A new anode that is far from the size of its part."""
    return _is_another_size(rows["size_mm"], _listed(rows, evidence)["new_size_mm"])


def fitted_near_limit(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A new anode that is at or below its limit already."""
    listed = _listed(rows, evidence)
    worn_out = rows["size_mm"] <= listed["limit_size_mm"]
    return worn_out & ~_is_another_size(rows["size_mm"], listed["new_size_mm"])


def _is_another_size(size_mm: pd.Series, new_mm: pd.Series) -> Flags:
    return (size_mm > FAR_ABOVE_NEW * new_mm) | (size_mm < new_mm / 4)


def _new_mm(rows: pd.DataFrame) -> pd.Series:
    """Size of a new part: as listed, or as fitted where that was larger."""
    return larger_of(rows, "new_size_mm", "start_mm")


def _best_factor(rows: pd.DataFrame) -> pd.Series:
    """Factor that brings an implausible size closest to what its neighbours let expect.

    1 where the size could be true as it stands, or where no factor helps.
    """
    size_mm = rows["size_mm"].fillna((rows["size_low_mm"] + rows["size_high_mm"]) / 2)
    share = size_mm / _new_mm(rows)
    suspects = rows[(share > FAR_ABOVE_NEW) | ((share > 0) & (share < SMALL_SHARE))]
    if suspects.empty:
        return pd.Series(1.0, index=rows.index)
    size_mm = size_mm[suspects.index]
    least = suspects["size_mm"].fillna(suspects["size_low_mm"])
    middle = (suspects["new_size_mm"] + suspects["limit_size_mm"]) / 2
    expected = suspects["expected_mm"].fillna(middle).clip(lower=0.05)
    distances = {1.0: _distance(size_mm, expected)}
    for factor in FACTORS:
        could_be = _plausible(suspects, size_mm * factor) & _plausible(suspects, least * factor)
        distances[factor] = _distance(size_mm * factor, expected).where(could_be, np.inf)
    best = pd.DataFrame(distances).idxmin(axis=1)
    return best.reindex(rows.index, fill_value=1.0)


def _distance(size: pd.Series, expected: pd.Series) -> pd.Series:
    return pd.Series(np.log(size / expected), index=size.index).abs()


def _plausible(rows: pd.DataFrame, size: pd.Series) -> Flags:
    """Between one allowance below the limit and a little above new."""
    low = (rows["limit_size_mm"] - rows["allowance_mm"]).clip(lower=0.35 * rows["limit_size_mm"])
    return size.between(low, 1.02 * _new_mm(rows) + ABOVE_NEW_MM)


def _listed(rows: pd.DataFrame, evidence: Evidence) -> pd.DataFrame:
    """Sizes that the register lists for each row's position: new_size_mm, limit_size_mm."""
    keyed = rows.assign(layout=layout_of(rows, evidence))[["layout", "position"]].astype(object)
    sizes = ["new_size_mm", "limit_size_mm"]
    register = evidence["anode_positions"][["layout", "position", *sizes]]
    register = register.astype({"layout": object, "position": object})
    return keyed.merge(register, how="left")[sizes].set_index(rows.index)


SIZE_BY_ITSELF_RULES: tuple[Rule, ...] = (
    Rule(
        "fitted-size-impossible",
        ("fittings",),
        SET_ASIDE,
        "Correct the size (in inches?); the position's new size is used until then.",
        fitted_size_impossible,
        ("size_mm",),
        cells=("size_mm",),
    ),
    Rule(
        "fitted-near-limit",
        ("fittings",),
        DOUBTFUL,
        "A new anode at or below its limit: check the part and the size.",
        fitted_near_limit,
        ("size_mm",),
    ),
    Rule(
        "range-upside-down",
        ("readings",),
        SET_ASIDE,
        "The least is above the most: correct the range by eye.",
        range_upside_down,
        RANGE_CELLS,
        cells=RANGE_CELLS,
    ),
    Rule(
        "size-negative",
        ("readings",),
        SET_ASIDE,
        "Correct the size; it can't be below zero.",
        size_negative,
        ("size_mm",),
        cells=("size_mm",),
    ),
    Rule(
        "nothing-read",
        ("readings",),
        SET_ASIDE,
        "Write the size, a range by eye, or a verdict; an empty look tells nothing.",
        nothing_read,
    ),
)

SIZE_RULES: tuple[Rule, ...] = (
    Rule(
        "inch-for-mm",
        ("readings",),
        SET_ASIDE,
        "Read in inches it would fit: measure again or correct it to millimetres in the log book.",
        inch_for_mm,
        SHOWS,
        cells=SIZE_CELLS,
    ),
    Rule(
        "converted-twice",
        ("readings",),
        SET_ASIDE,
        "Divided by 25.4 it would fit: it was in millimetres already? Correct it in the log book.",
        converted_twice,
        SHOWS,
        cells=SIZE_CELLS,
    ),
    Rule(
        "decimal-point-lost",
        ("readings",),
        SET_ASIDE,
        "With its decimal point moved it would fit: measure again or correct it in the log book.",
        decimal_point_lost,
        SHOWS,
        cells=SIZE_CELLS,
    ),
    Rule(
        "far-above-new",
        ("readings",),
        SET_ASIDE,
        "More than 1.3 times a new part: wrong position, wrong unit, or a slip? Measure again.",
        far_above_new,
        SHOWS,
        cells=("size_mm",),
    ),
    Rule(
        "range-impossible",
        ("readings",),
        SET_ASIDE,
        "The range by eye lies outside any size of this part: correct it (inches?).",
        range_impossible,
        (*RANGE_CELLS, "new_size_mm"),
        cells=RANGE_CELLS,
    ),
    Rule(
        "above-new",
        ("readings",),
        DOUBTFUL,
        "Larger than a new part: crust, or another part? Clean it and measure again.",
        above_new,
        SHOWS,
    ),
    Rule(
        "size-zero",
        ("readings",),
        DOUBTFUL,
        "Zero means gone; if it was not measured, leave the size empty.",
        size_zero,
        SHOWS,
    ),
    Rule(
        "verdict-against-size",
        ("readings",),
        NOTE,
        "Verdict and size disagree; the size counts. Check both.",
        verdict_against_size,
        ("verdict", *SHOWS),
    ),
)
