"""Rules for a size beside the other looks at the same anode: out of line, grown, gone too fast."""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.common import MONTH_H
from corrosion.records.checks.evidence import (
    DOUBTFUL,
    SET_ASIDE,
    Evidence,
    Flags,
    LaidOut,
    Rule,
    is_true,
    larger_of,
    number_for,
)
from corrosion.records.checks.lookback import hours_between
from corrosion.records.checks.looks import wear_since, wear_until

OUT_OF_LINE_MM, OUT_OF_LINE_SD = 0.6, 5.5
GROWN_MM, GROWN_SD, GROWN_BESIDE_WEAR_SD = 0.5, 2.8, 6.4
STAYED_SD = 3.5
FRESH_CRUST_MM = 0.5
BY_EYE_SHARE = 0.1
WORN_BEFORE_CHANGE = 0.2
# 100 A/m2 by Faraday's law takes about 13 mm a month from zinc; the others in the proportion in
# which the same current takes them (calculated: 1.58, 1.28 and 4.6 mm a year at 1 A/m2)
FASTEST_MM_A_MONTH = {"zinc": 13.0, "aluminium": 10.5, "magnesium": 38.0}
SHOWS = ("size_mm", "before_mm", "after_mm")
SEEN = (
    *("anode", "size_mm", "size_low_mm", "size_high_mm", "verdict"),
    *("allowance_mm", "limit_size_mm", "noise_mm"),
)
GROWN_SHOWS = ("size_mm", "size_low_mm", "size_high_mm", "before_mm")


def dipped(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Far below the look before and the look after, which fit each other."""
    allowed = _out_of_line_mm(rows)
    dropped = rows["before_mm"] - wear_since(rows) * 2 - rows["size_mm"] > allowed
    came_back = rows["after_mm"] - rows["size_mm"] > allowed
    return dropped & came_back & _neighbours_agree(rows)


def half_of_expected(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Half of what every neighbour lets expect, where a diameter is measured."""
    half = _is_near(rows, rows["expected_mm"] / 2)
    return half & (rows["gauge"] == "diameter") & _neighbours_disagree(rows)


def depth_of_wear(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """What is gone instead of what is left, as every neighbour lets expect."""
    depth = _is_near(rows, rows["new_size_mm"] - rows["expected_mm"])
    below = rows["size_mm"] < rows["limit_size_mm"] - rows["allowance_mm"] / 2
    return depth & below & _neighbours_disagree(rows) & ~half_of_expected(rows, evidence)


def peaked(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Far above the look before and the look after, which came back down."""
    allowed = _out_of_line_mm(rows)
    rose = rows["size_mm"] - rows["before_mm"] > allowed
    fell = rows["size_mm"] - rows["after_mm"] - 2 * wear_until(rows) > allowed
    return rose & fell & rows["looked_before"]


def find_changes(evidence: Evidence) -> LaidOut:
    """Say of each reading whether the anode grew, and whether to a new one's size.

    Adds to `readings`: grown (beyond the reading error, by caliper or by eye), changed (grown to
    a size that a new anode could have by now).
    """
    looks = evidence["readings"]
    new_by_eye, by_eye = _could_be_new_by_eye(looks), _grown_by_eye(looks)
    by_caliper = _grown(looks)
    seen = by_eye & new_by_eye
    seen_at = looks["read_at"].where(seen).groupby(looks["anode"], sort=False).ffill()
    # a change seen by eye is not a second one when the caliper comes to it
    changed = seen | (by_caliper & _could_be_new(looks) & ~(seen_at > looks["before_at"]))
    grown = by_caliper | (by_eye & ~new_by_eye)
    return "readings", looks.assign(grown=grown, changed=changed)


def change_not_recorded(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Grown beyond the reading error, to a size that a new anode could have by now."""
    return rows["changed"]


def grew(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Grown beyond the reading error, though not to the size of a new anode."""
    changed_at = rows["read_at"].where(rows["changed"]).groupby(rows["anode"], sort=False).ffill()
    return rows["grown"] & ~rows["changed"] & ~(changed_at > rows["before_at"])


def worn_then_ok(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Called ok when the look before at the same anode called it worn."""
    looks = rows[rows["verdict"].notna()]
    before = looks.groupby("anode", sort=False)["verdict"].shift()
    recovered = (looks["verdict"] == "ok") & (before == "worn")
    return recovered.reindex(rows.index, fill_value=False)


def too_fast(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Lost more since the look before than any current could have taken."""
    months = hours_between(rows["read_at"], rows["before_at"]) / MONTH_H
    # a diameter loses on both sides
    sides = np.where(rows["gauge"] == "diameter", 2.0, 1.0)
    most = FASTEST_MM_A_MONTH["magnesium"]
    fastest = number_for(rows["alloy_listed"], FASTEST_MM_A_MONTH, most)
    lost = rows["before_mm"] - rows["size_mm"] - GROWN_BESIDE_WEAR_SD * rows["noise_mm"]
    return lost > fastest * sides * months


def _out_of_line_mm(rows: pd.DataFrame) -> pd.Series:
    return (OUT_OF_LINE_SD * rows["noise_mm"]).clip(lower=OUT_OF_LINE_MM)


def _neighbours_agree(rows: pd.DataFrame) -> Flags:
    """The look after is no larger than the one before, within the reading error."""
    return rows["after_mm"] <= rows["before_mm"] + GROWN_SD * rows["noise_mm"]


def _neighbours_disagree(rows: pd.DataFrame) -> Flags:
    """No neighbour is near: usual wear, doubled, explains neither side."""
    allowed = _out_of_line_mm(rows)
    before = rows["before_mm"] - 2 * wear_since(rows) - rows["size_mm"] > allowed
    after = rows["after_mm"] - rows["size_mm"] > allowed
    looked = rows["before_mm"].notna() | rows["after_mm"].notna()
    return looked & (before | rows["before_mm"].isna()) & (after | rows["after_mm"].isna())


def _is_near(rows: pd.DataFrame, size_mm: pd.Series) -> Flags:
    return (rows["size_mm"] - size_mm).abs() <= (3 * rows["noise_mm"]).clip(lower=0.3)


def _grown(rows: pd.DataFrame) -> Flags:
    """Larger than before by more than two reading errors, and than usual wear by more still."""
    growth = rows["size_mm"] - rows["before_mm"]
    visible = growth > (GROWN_SD * rows["noise_mm"]).clip(lower=GROWN_MM)
    beside_wear = growth + 0.7 * wear_since(rows) - _crust_mm(rows)
    sure = beside_wear > GROWN_BESIDE_WEAR_SD * rows["noise_mm"]
    changed = _stayed(rows) & _could_be_new(rows)
    return visible & (sure | changed) & rows["looked_before"] & ~rows["doubtful"]


def _stayed(rows: pd.DataFrame) -> Flags:
    """Both this look and the next are well above both looks before: no single slip does that."""
    after_mm = rows["after_mm"] + wear_until(rows)
    lower = rows["size_mm"].where(rows["size_mm"] < after_mm, after_mm) - _crust_mm(rows)
    higher = larger_of(rows, "before_mm", "earlier_mm")
    both = rows["earlier_mm"].notna()
    return both & (lower - higher > STAYED_SD * rows["noise_mm"])


def _grown_by_eye(rows: pd.DataFrame) -> Flags:
    """The least it can be now is above the most it could be at the look before.

    For looks by eye, and for a size after a look by eye or after the verdict worn; two caliper
    sizes are compared by `_grown`.
    """
    looks = rows.loc[_bounds_known(rows), list(SEEN)]
    slack = BY_EYE_SHARE * looks["allowance_mm"]
    beyond = 2 * looks["noise_mm"]
    low = (looks["size_mm"] - beyond).fillna(looks["size_low_mm"])
    worn = (looks["limit_size_mm"] + slack).where(looks["verdict"] == "worn")
    high = (looks["size_mm"] + beyond).fillna(looks["size_high_mm"]).fillna(worn)
    before = high.groupby(looks["anode"], sort=False).shift()
    caliper = looks["size_mm"].notna()
    both_caliper = caliper & is_true(caliper.groupby(looks["anode"], sort=False).shift())
    grown = (low - before > slack) & ~both_caliper
    return grown.reindex(rows.index, fill_value=False)


def _bounds_known(rows: pd.DataFrame) -> Flags:
    """Looks that say at least how large the anode can be, and are not doubted."""
    bounded = rows["size_mm"].notna() | rows["size_high_mm"].notna() | (rows["verdict"] == "worn")
    return bounded & ~rows["doubtful"]


def _could_be_new_by_eye(rows: pd.DataFrame) -> Flags:
    """The most it can be now is near a new size."""
    most = rows["size_mm"].fillna(rows["size_high_mm"])
    slack = 4 * BY_EYE_SHARE * rows["allowance_mm"] + 1.5 * wear_since(rows)
    return most >= rows["new_size_mm"] - slack


def _crust_mm(rows: pd.DataFrame) -> pd.Series:
    """In fresh water there is hardly any wear to set growth against: crust may come and go."""
    return pd.Series(np.where(rows["water"] == "fresh", FRESH_CRUST_MM, 0.0), index=rows.index)


def _could_be_new(rows: pd.DataFrame) -> Flags:
    """As large as an anode fitted since the look before could be, when the old one was worn."""
    slack = (3 * rows["noise_mm"]).clip(lower=0.4) + 1.5 * wear_since(rows)
    worn = (rows["new_size_mm"] - rows["before_mm"]) / rows["allowance_mm"]
    return (rows["size_mm"] >= rows["new_size_mm"] - slack) & (worn >= WORN_BEFORE_CHANGE)


OUT_OF_LINE_RULES: tuple[Rule, ...] = (
    Rule(
        "radius-for-diameter",
        ("readings",),
        DOUBTFUL,
        "Half of what its neighbours let expect: radius for diameter? Measure again.",
        half_of_expected,
        SHOWS,
    ),
    Rule(
        "depth-for-remaining",
        ("readings",),
        DOUBTFUL,
        "It looks like the depth that is gone, not the size that is left: measure again.",
        depth_of_wear,
        SHOWS,
    ),
    Rule(
        "out-of-line",
        ("readings",),
        SET_ASIDE,
        "Far below the looks before and after: wrong position, wrong engine, or a slip? Check it.",
        dipped,
        SHOWS,
        cells=("size_mm",),
    ),
)

PEAK_RULES: tuple[Rule, ...] = (
    Rule(
        "peak",
        ("readings",),
        DOUBTFUL,
        "Far above the looks before and after: crust, or another position? Check it.",
        peaked,
        SHOWS,
    ),
)

GROWTH_RULES: tuple[Rule, ...] = (
    Rule(
        "change-not-recorded",
        ("readings",),
        DOUBTFUL,
        "The anode grew back to a new one's size: if it was changed, enter the fitting; until "
        "then a new life is counted from here.",
        change_not_recorded,
        GROWN_SHOWS,
        breaks_life=True,
    ),
    Rule(
        "worn-then-ok",
        ("readings",),
        DOUBTFUL,
        "Worn at the last look, ok now: if it was changed, enter the fitting; until then a new "
        "life is counted from here.",
        worn_then_ok,
        breaks_life=True,
    ),
    Rule(
        "grew",
        ("readings",),
        DOUBTFUL,
        "Metal does not grow: crust, another position, another person's caliper, or a change that "
        "was not entered? Clean it and measure again.",
        grew,
        GROWN_SHOWS,
    ),
    Rule(
        "too-fast",
        ("readings",),
        DOUBTFUL,
        "No wear is that fast: measure again; if it is true, have the berth tested by a qualified "
        "marine electrician.",
        too_fast,
        SHOWS[:2],
    ),
)
