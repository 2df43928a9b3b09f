"""Looks at one anode in order: lives, what each look said, and brackets around the limit.

Notes
-----
* Engines are counted, not dated, in `wear`: every start and look of an engine-circuit anode
  carries the number of swaps before it; a fitting up to six hours before a swap sits in the new
  engine. Lives are joined to looks within one engine only.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import hours_since_epoch
from corrosion.exposure.life_starts import (
    ANODE,
    PLACE,
    SAME_VISIT_H,
    engine_number,
    engine_swaps,
    life_starts,
    middle_value,
)
from corrosion.records import Checked

IN_SERVICE = "in service"


@dataclass(frozen=True)
class Lives:
    """Anode lives and the looks at them.

    Attributes
    ----------
    lives : DataFrame, one row an anode life, index life number: hull_id, position, layout,
        circuit, alloy (as fitted; where that is not known, as listed), alloy_listed,
        fitted_at (UTC; unknown where the start was not logged), start_h (hours
        since 1970), started (one of STARTED), start_worn (share of the allowance), start_known
        (bool: the size at the start rests on a fitting), stop_h (NaN while in service),
        ended ('in service', 'replaced', 'removed': it left with its engine), new_size_mm,
        limit_size_mm, allowance_mm
    looks : DataFrame, one row a usable reading after the start, sorted by life and time: life,
        at_h, kind ('size', 'range', 'verdict'), worn, worn_low, worn_high (share of the
        allowance; by-eye ranges), spent (bool, verdict 'worn'), size_mm, uncleaned (bool: nobody
        says that it was cleaned first), log_row
    """

    lives: pd.DataFrame
    looks: pd.DataFrame


def build_lives(checked: Checked) -> Lives:
    """Order fittings and readings of every anode position into lives and looks.

    Parameters
    ----------
    checked : Checked

    Returns
    -------
    Lives
    """
    positions = _positions(checked)
    swaps = engine_swaps(checked)
    readings = _readings(checked, positions)
    readings = readings.assign(engine_no=engine_number(readings, "at_h", swaps, positions))
    starts = life_starts(checked, readings, positions, swaps)
    lives = _closed(starts, positions, swaps)
    looks = _looks(_assigned(readings, lives), lives)
    return Lives(lives, looks)


def _positions(checked: Checked) -> pd.DataFrame:
    """Return the anode positions of every hull, one row a hull and position."""
    table = checked.hulls[["hull_id", "layout"]].merge(checked.anode_positions, on="layout")
    table = table.drop_duplicates(ANODE)
    return table.assign(allowance_mm=table["new_size_mm"] - table["limit_size_mm"])


def _readings(checked: Checked, positions: pd.DataFrame) -> pd.DataFrame:
    table = checked.readings.merge(
        positions[[*ANODE, "new_size_mm", "allowance_mm"]], on=ANODE, how="inner"
    )
    table = table.assign(at_h=hours_since_epoch(table["read_at"]))
    for size, worn in _SIZES_AND_SHARES:
        table[worn] = (table["new_size_mm"] - table[size]) / table["allowance_mm"]
    table["removed"] = table["removed"].fillna(False).astype(bool)
    return table.sort_values([*ANODE, "at_h", "log_row"], kind="stable").reset_index(drop=True)


_SIZES_AND_SHARES = (
    ("size_mm", "worn"),
    ("size_high_mm", "worn_low"),
    ("size_low_mm", "worn_high"),
)


def _closed(starts: pd.DataFrame, positions: pd.DataFrame, swaps: pd.DataFrame) -> pd.DataFrame:
    """Close each life where the next one begins or its engine leaves, and describe its place."""
    following = starts.groupby(PLACE)["start_h"].shift(-1)
    left_h = _engine_left(starts, positions, swaps)
    ended = np.where(following.notna(), "replaced", np.where(left_h.notna(), "removed", IN_SERVICE))
    following = following.fillna(left_h)
    place = positions[
        [
            *ANODE,
            "layout",
            "circuit",
            "alloy",
            "gauge",
            "new_size_mm",
            "limit_size_mm",
            "allowance_mm",
        ]
    ].rename(columns={"alloy": "alloy_listed"})
    lives = starts.assign(stop_h=following, ended=ended).merge(place, on=ANODE, how="left")
    fitted = lives.pop("alloy_fitted")
    lives = lives.assign(alloy=fitted.where(fitted.notna(), lives["alloy_listed"]))
    lives.index.name = "life"
    return lives


def _engine_left(starts: pd.DataFrame, positions: pd.DataFrame, swaps: pd.DataFrame) -> pd.Series:
    """When the engine that each life began in was taken out, h; NaN while it is in."""
    numbered = swaps.assign(engine_no=swaps.groupby("hull_id").cumcount())
    circuits = starts[ANODE].merge(positions[[*ANODE, "circuit"]], on=ANODE, how="left")["circuit"]
    taken_out_h = starts[["hull_id", "engine_no"]].merge(
        numbered, on=["hull_id", "engine_no"], how="left"
    )["swap_h"]
    return pd.Series(taken_out_h.where(circuits == "engine").to_numpy(float), index=starts.index)


def _assigned(readings: pd.DataFrame, lives: pd.DataFrame) -> pd.DataFrame:
    """Give each reading the life that was in place when it was taken."""
    usable = readings[middle_value(readings).notna() | readings["verdict"].notna()]
    begun = lives.reset_index()[[*PLACE, "start_h", "life", "started"]].sort_values("start_h")
    table = pd.merge_asof(
        usable.sort_values("at_h"),
        begun,
        left_on="at_h",
        right_on="start_h",
        by=PLACE,
        direction="backward",
    )
    table = table.dropna(subset=["life"]).astype({"life": int})
    return _old_anode_of_same_visit(table, lives)


def _old_anode_of_same_visit(table: pd.DataFrame, lives: pd.DataFrame) -> pd.DataFrame:
    """Move a reading of the anode that came out, taken at the visit of the new one, back a life."""
    same_visit = (table["at_h"] - table["start_h"] <= SAME_VISIT_H) & (
        table["started"] == "fitting"
    )
    exact = table["at_h"] == table["start_h"]
    start_worn = lives["start_worn"].reindex(table["life"]).to_numpy(float)
    not_new = exact & ((middle_value(table) - start_worn) * table["allowance_mm"] > 0.5)
    move = same_visit & (table["removed"] | not_new)
    by_place = lives.groupby(ANODE).cumcount()
    has_earlier = by_place.reindex(table["life"]).to_numpy(int) > 0
    # lives are sorted by anode and start, so the life before is the row before
    life = np.where(move & has_earlier, table["life"] - 1, table["life"])
    moved: pd.DataFrame = table.assign(life=life).loc[~(move & ~has_earlier)]
    return moved


def _looks(table: pd.DataFrame, lives: pd.DataFrame) -> pd.DataFrame:
    kind = np.select(
        [table["worn"].notna(), middle_value(table).notna()], ["size", "range"], default="verdict"
    )
    start_h = lives["start_h"].reindex(table["life"]).to_numpy(float)
    started = lives["started"].reindex(table["life"]).to_numpy(object)
    starts_it = (table["at_h"].to_numpy(float) <= start_h) & (started != "fitting")
    looks: pd.DataFrame = pd.DataFrame(
        {
            "life": table["life"],
            "at_h": table["at_h"],
            "kind": kind,
            "worn": middle_value(table),
            "worn_low": table["worn_low"],
            "worn_high": table["worn_high"],
            "spent": (table["verdict"] == "worn").to_numpy(bool),
            "size_mm": table["size_mm"],
            "removed": table["removed"],
            "uncleaned": ~table["cleaned"].fillna(False).to_numpy(bool),
            "doubtful": table["doubtful"].to_numpy(bool),
            "log_row": table["log_row"],
        }
    ).loc[~starts_it]
    return looks.sort_values(["life", "at_h", "log_row"], kind="stable").reset_index(drop=True)


def brackets(lives: Lives, worn_at: float = 1.0) -> pd.DataFrame:
    """Bracket each life between its last look before the limit and its first look at it.

    Parameters
    ----------
    lives : Lives
    worn_at : float, the share of the allowance that counts as the end of life

    Returns
    -------
    DataFrame, one row a life with a known start: hull_id, position, low_h, high_h (hours since
    the start; high is inf where no look reached the limit), ended ('worn', 'pulled-early',
    'running')
    """
    looks = lives.looks
    spent = np.where(looks["kind"] == "verdict", looks["spent"], looks["worn"] >= worn_at)
    age = looks["at_h"] - lives.lives["start_h"].reindex(looks["life"]).to_numpy(float)
    first = age[spent].groupby(looks["life"][spent]).min()
    high = first.reindex(lives.lives.index)
    sound = ~spent & (age < looks["life"].map(high).fillna(np.inf))
    low = age[sound].groupby(looks["life"][sound]).max().reindex(lives.lives.index).fillna(0.0)
    early = np.where(lives.lives["ended"] == "in service", "running", "pulled-early")
    table = lives.lives[[*ANODE, "start_h"]].assign(
        low_h=low, high_h=high.fillna(np.inf), ended=np.where(high.notna(), "worn", early)
    )
    return table[lives.lives["started"] == "fitting"]
