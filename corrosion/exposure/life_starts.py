"""Where the life of an anode begins: a fitting, a first look, a change that nobody wrote down."""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.common import Floats, hours_since_epoch
from corrosion.records import Checked

ANODE = ["hull_id", "position"]


SAME_VISIT_H = 6.0


PLACE = [*ANODE, "engine_no"]


def engine_swaps(checked: Checked) -> pd.DataFrame:
    """Return when another engine went into a hull, one row a swap: hull_id, swap_h; by time."""
    table = checked.engine_swaps
    table = table[table["swapped_at"].notna()]
    swaps = pd.DataFrame(
        {"hull_id": table["hull_id"], "swap_h": hours_since_epoch(table["swapped_at"])}
    )
    return swaps.sort_values("swap_h", kind="stable").reset_index(drop=True)


def engine_number(
    rows: pd.DataFrame, at: str, swaps: pd.DataFrame, positions: pd.DataFrame, slack_h: float = 0.0
) -> pd.Series:
    """Count the engines before that of each row; hull-circuit anodes know no engine.

    A swap up to `slack_h` after the row counts as before it: the anode went into the new engine.
    """
    number = pd.Series(0, index=rows.index)
    if swaps.empty or rows.empty:
        return number
    engine = positions.loc[positions["circuit"] == "engine", ANODE]
    own = pd.MultiIndex.from_frame(rows[ANODE]).isin(pd.MultiIndex.from_frame(engine))
    for hull_id, times in swaps.groupby("hull_id")["swap_h"]:
        mine = own & (rows["hull_id"] == hull_id)
        passed = np.searchsorted(times.to_numpy(float), rows.loc[mine, at] + slack_h, "right")
        number[mine] = passed
    return number


def life_starts(
    checked: Checked, readings: pd.DataFrame, positions: pd.DataFrame, swaps: pd.DataFrame
) -> pd.DataFrame:
    """Return every moment at which a new anode life began, one row each."""
    fitted = _fitted(checked, positions)
    # an anode fitted at the visit of the new engine sits in the new one
    fitted["engine_no"] = engine_number(fitted, "start_h", swaps, positions, SAME_VISIT_H)
    changed = _changed(readings)
    removed = _removed_without_fitting(readings, fitted)
    starts = pd.concat([t for t in (fitted, changed, removed) if len(t)] or [fitted])
    first = _first_looks(readings, starts)
    starts = pd.concat([t for t in (starts, first) if len(t)] or [starts])
    return starts.sort_values([*ANODE, "start_h"], kind="stable").reset_index(drop=True)


def _fitted(checked: Checked, positions: pd.DataFrame) -> pd.DataFrame:
    table = checked.fittings[[*ANODE, "fitted_at", "size_mm", "alloy", "entered_at"]].merge(
        positions[[*ANODE, "new_size_mm", "allowance_mm"]], on=ANODE
    )
    worn = (table["new_size_mm"] - table["size_mm"]) / table["allowance_mm"]
    return pd.DataFrame(
        {
            "hull_id": table["hull_id"],
            "position": table["position"],
            "fitted_at": table["fitted_at"],
            "start_h": hours_since_epoch(table["fitted_at"]),
            "known_h": known_from(table, "fitted_at"),
            "started": "fitting",
            "start_worn": worn.fillna(0.0).clip(-0.2, 1.0),
            "start_known": True,
            "alloy_fitted": table["alloy"].astype(object),
        }
    ).drop_duplicates([*ANODE, "start_h"])


def known_from(rows: pd.DataFrame, at: str) -> Floats:
    """Return from when on rows had both happened and been written down, hours since 1970."""
    # where nobody says when a row was written down, it was at once
    return np.fmax(hours_since_epoch(rows[at]), hours_since_epoch(rows["entered_at"]))


def _started_by_look(readings: pd.DataFrame, started: str) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "hull_id": readings["hull_id"],
            "position": readings["position"],
            "fitted_at": pd.Series(pd.NaT, index=readings.index, dtype="datetime64[us, UTC]"),
            "start_h": readings["at_h"],
            "known_h": readings["known_h"],
            "started": started,
            "start_worn": readings["worn"],
            "start_known": False,
            "engine_no": readings["engine_no"],
            "alloy_fitted": pd.Series(None, index=readings.index, dtype=object),
        }
    )


def _changed(readings: pd.DataFrame) -> pd.DataFrame:
    broken = readings[readings["breaks_life"] & middle_value(readings).notna()]
    return _started_by_look(broken.assign(worn=middle_value(broken)), "change")


def _removed_without_fitting(readings: pd.DataFrame, fitted: pd.DataFrame) -> pd.DataFrame:
    """Assume a new anode went in where one came out and nobody wrote down the next."""
    out = readings.loc[readings["removed"], [*ANODE, "at_h", "known_h", "read_at", "engine_no"]]
    if out.empty:
        return _started_by_look(readings.iloc[:0], "removal")
    right = fitted[[*ANODE, "start_h"]].sort_values("start_h")  # of whichever engine
    left = out.assign(from_h=out["at_h"] - SAME_VISIT_H).sort_values("from_h")
    next_fit = pd.merge_asof(
        left, right, left_on="from_h", right_on="start_h", by=ANODE, direction="forward"
    )
    later = next_fit["start_h"] > next_fit["at_h"] + SAME_VISIT_H
    alone = next_fit[next_fit["start_h"].isna() | later]
    return _started_by_look(alone.assign(worn=0.0, at_h=alone["at_h"] + 1 / 60), "removal").assign(
        fitted_at=alone["read_at"]
    )


def _first_looks(readings: pd.DataFrame, starts: pd.DataFrame) -> pd.DataFrame:
    """Start a life at the first sized look where no earlier start of that engine is on record."""
    earliest = starts.groupby(PLACE)["start_h"].min().rename("earliest")
    sized = readings[middle_value(readings).notna() & ~readings["removed"]]
    first = sized[~sized[["anode", "engine_no"]].duplicated()].merge(earliest, on=PLACE, how="left")
    first = first[~(first["earliest"] <= first["at_h"])]
    return _started_by_look(first.assign(worn=middle_value(first)), "first look")


def middle_value(readings: pd.DataFrame) -> pd.Series:
    """Return the worn share of each reading; of a range by eye its middle."""
    middle = (readings["worn_low"] + readings["worn_high"]) / 2
    return readings["worn"].fillna(middle)
