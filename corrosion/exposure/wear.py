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

from corrosion.common import Codes, hours_since_epoch
from corrosion.exposure.life_starts import (
    ANODE,
    PLACE,
    SAME_VISIT_H,
    engine_number,
    engine_swaps,
    known_from,
    life_starts,
    middle_value,
)
from corrosion.records import Checked

IN_SERVICE = "in service"
KINDS = np.array(["size", "range", "verdict"], dtype=object)
TOLD = (
    *(*ANODE, "read_at", "size_mm", "size_low_mm", "size_high_mm", "verdict", "removed"),
    *("cleaned", "doubtful", "breaks_life", "log_row", "entered_at"),
)
"""What lives and looks take of a reading."""


@dataclass(frozen=True)
class Lives:
    """Anode lives and the looks at them.

    Attributes
    ----------
    lives : DataFrame, one row an anode life, index life number: hull_id, position, layout,
        circuit, alloy (as fitted; where that is not known, as listed), alloy_listed,
        fitted_at (UTC; unknown where the start was not logged), start_h (hours since 1970), known_h
        (from when on that start had come and was written down), started (one of STARTED),
        start_worn (share of the allowance), start_known (bool: the size at the start rests on a
        fitting), stop_h (NaN while in service), ended ('in service', 'replaced', 'removed': it left
        with its engine), new_size_mm, limit_size_mm, allowance_mm
    looks : DataFrame, one row a usable reading after the start, sorted by life and time: life,
        at_h, known_h (from when on it was both taken and written down), kind ('size', 'range',
        'verdict'), worn, worn_low, worn_high (share of the allowance; by-eye ranges), spent (bool,
        verdict 'worn'), size_mm, uncleaned (bool: nobody says that it was cleaned first), log_row
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
    return Lives(lives.drop(columns="anode"), looks)


def _positions(checked: Checked) -> pd.DataFrame:
    """Return the anode positions of every hull, one row a hull and position, numbered in order."""
    table = checked.hulls[["hull_id", "layout"]].merge(checked.anode_positions, on="layout")
    table = table.drop_duplicates(ANODE).sort_values(ANODE, kind="stable", ignore_index=True)
    allowance_mm = table["new_size_mm"] - table["limit_size_mm"]
    return table.assign(anode=np.arange(len(table)), allowance_mm=allowance_mm)


def _readings(checked: Checked, positions: pd.DataFrame) -> pd.DataFrame:
    table = checked.readings[list(TOLD)].merge(
        positions[[*ANODE, "anode", "new_size_mm", "allowance_mm"]], on=ANODE, how="inner"
    )
    at_h = hours_since_epoch(table["read_at"])
    table = table.assign(at_h=at_h, known_h=known_from(table, "read_at"))
    for size, worn in _SIZES_AND_SHARES:
        table[worn] = (table["new_size_mm"] - table[size]) / table["allowance_mm"]
    table["removed"] = table["removed"].fillna(False).astype(bool)
    order = np.lexsort([table[key].to_numpy() for key in ("log_row", "at_h", "anode")])
    return table.iloc[order].reset_index(drop=True)


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
            "anode",
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
    usable = _rows(readings, middle_value(readings).notna() | readings["verdict"].notna())
    life = _begun_before(lives, usable)
    known, life = _rows(usable, life >= 0), life[life >= 0]
    table = known.assign(
        life=life,
        start_h=lives["start_h"].to_numpy(float)[life],
        by_fitting=(lives["started"] == "fitting").to_numpy(bool)[life],
    )
    return _old_anode_of_same_visit(table, lives)


def _rows(table: pd.DataFrame, chosen: pd.Series | np.ndarray) -> pd.DataFrame:
    """Return chosen rows; the table itself where it is all of them, as it is in most fleets."""
    return table if chosen.all() else table[chosen]


def _begun_before(lives: pd.DataFrame, readings: pd.DataFrame) -> Codes:
    """Return the life in the same engine that had begun last when each reading was taken, or -1."""
    begun = lives[["anode", "engine_no", "start_h"]].rename(columns={"start_h": "at_h"})
    both = pd.concat([begun, readings[["anode", "engine_no", "at_h"]]])
    anode, engine, at_h = (both[column].to_numpy() for column in both)
    looks = np.arange(anode.size) >= len(lives)
    order = np.lexsort((looks, at_h, engine, anode))  # of one moment the start comes first
    last = np.maximum.accumulate(np.where(looks[order], -1, np.arange(order.size)))
    started = order[last.clip(min=0)]
    own = (last >= 0) & (anode[started] == anode[order]) & (engine[started] == engine[order])
    life = np.empty(order.size, dtype=np.intp)
    life[order] = np.where(own, started, -1)
    return life[len(lives) :]


def _old_anode_of_same_visit(table: pd.DataFrame, lives: pd.DataFrame) -> pd.DataFrame:
    """Move a reading of the anode that came out, taken at the visit of the new one, back a life."""
    same_visit = (table["at_h"] - table["start_h"] <= SAME_VISIT_H) & table["by_fitting"]
    exact = table["at_h"] == table["start_h"]
    start_worn = lives["start_worn"].reindex(table["life"]).to_numpy(float)
    not_new = exact & ((middle_value(table) - start_worn) * table["allowance_mm"] > 0.5)
    move = same_visit & (table["removed"] | not_new)
    by_place = lives.groupby(ANODE).cumcount()
    has_earlier = by_place.reindex(table["life"]).to_numpy(int) > 0
    # lives are sorted by anode and start, so the life before is the row before
    life = np.where(move & has_earlier, table["life"] - 1, table["life"])
    return _rows(table.assign(life=life), ~(move & ~has_earlier))


def _looks(table: pd.DataFrame, lives: pd.DataFrame) -> pd.DataFrame:
    middle = middle_value(table)
    kind = np.where(table["worn"].notna(), 0, np.where(middle.notna(), 1, 2))
    start_h = lives["start_h"].to_numpy(float)[table["life"]]
    fitted = (lives["started"] == "fitting").to_numpy(bool)[table["life"]]
    starts_it = (table["at_h"].to_numpy(float) <= start_h) & ~fitted
    looks = pd.DataFrame(
        {
            "life": table["life"],
            "at_h": table["at_h"],
            "known_h": table["known_h"],
            # made of texts by pandas, 300,000 of them take longer than all else here
            "kind": pd.Series(KINDS[kind], index=table.index, dtype=object),
            "worn": middle,
            "worn_low": table["worn_low"],
            "worn_high": table["worn_high"],
            "spent": (table["verdict"] == "worn").to_numpy(bool),
            "size_mm": table["size_mm"],
            "removed": table["removed"],
            "uncleaned": ~table["cleaned"].fillna(False).to_numpy(bool),
            "doubtful": table["doubtful"].to_numpy(bool),
            "log_row": table["log_row"],
        }
    )
    looks = _rows(looks, ~starts_it)
    # as readings stand by anode and time, so do they by life, but for one that was moved back
    if not (np.diff(looks["life"]) >= 0).all():
        looks = looks.sort_values(["life", "at_h", "log_row"], kind="stable")
    return looks.reset_index(drop=True)


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
