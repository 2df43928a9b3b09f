"""Raw wear at each mooring: what the looks say a day, with nothing held equal."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import HOURS_A_DAY, Codes, Floats
from corrosion.exposure import Exposure, Lives
from corrosion.records import CIRCUITS


@dataclass(frozen=True)
class Raw:
    """Raw wear of each mooring.

    Attributes
    ----------
    a_day : ndarray, shape (moorings,), share of the allowance a day, both circuits added; NaN
        where no anode was looked at twice
    influence : ndarray, shape (hulls, moorings), how far each hull moves the log of it: the sum of
        their squares is its variance, hulls taken as drawn at random
    """

    a_day: Floats
    influence: Floats


def stretches_between_looks(lives: Lives, exposure: Exposure) -> pd.DataFrame:
    """Return what each anode lost between one look and the next, and where its hull lay.

    Parameters
    ----------
    lives : Lives
    exposure : Exposure

    Returns
    -------
    DataFrame, one row a look that has a value and another, or the start of the life, before it:
    life, hull, mooring (codes; of the berth at the middle of the stretch), circuit, days, gained
    (share of the allowance)
    """
    looks = lives.looks.loc[lives.looks["worn"].notna(), ["life", "at_h", "worn"]]
    starts = lives.lives[["start_h", "start_worn"]].rename(
        columns={"start_h": "at_h", "start_worn": "worn"}
    )
    table = pd.concat([starts.rename_axis("life").reset_index(), looks], ignore_index=True)
    table = table.sort_values(["life", "at_h"], kind="stable")
    before = table.groupby("life")[["at_h", "worn"]].shift()
    days = (table["at_h"] - before["at_h"]) / HOURS_A_DAY
    table = table.assign(
        days=days,
        gained=table["worn"] - before["worn"],
        middle=(table["at_h"] + before["at_h"]) / 2,
    )
    table = table[days > 0].join(lives.lives[["hull_id", "circuit"]], on="life")
    table["hull"] = exposure.hull_ids.get_indexer(pd.Index(table["hull_id"]))
    table["mooring"] = mooring_at(exposure, table["hull"], table["middle"])
    return table.loc[
        table["mooring"] >= 0, ["life", "hull", "mooring", "circuit", "days", "gained"]
    ]


def mooring_at(exposure: Exposure, hull: pd.Series, at_h: pd.Series) -> Codes:
    """Return the mooring code of each hull at a moment, shape (n,); -1 before its first berth."""
    wanted = pd.DataFrame({"hull": hull.to_numpy(np.intp), "at_h": at_h.to_numpy(float)})
    wanted = wanted.rename_axis("row").reset_index().sort_values("at_h", kind="stable")
    berths = exposure.berths[["hull", "mooring", "start_h"]].astype({"hull": np.intp})
    berths_then = pd.merge_asof(
        wanted, berths.sort_values("start_h"), left_on="at_h", right_on="start_h", by="hull"
    )
    return np.asarray(berths_then.sort_values("row")["mooring"].fillna(-1), dtype=np.intp)


def raw_wear(lives: Lives, exposure: Exposure) -> Raw:
    """Return the wear a day that the looks at each mooring show.

    Parameters
    ----------
    lives : Lives
    exposure : Exposure

    Returns
    -------
    Raw
    """
    table = stretches_between_looks(lives, exposure)
    shape = (len(exposure.hull_ids), len(exposure.mooring_ids))
    a_day, moved, seen = np.zeros(shape[1]), np.zeros(shape), np.zeros(shape[1], dtype=bool)
    for circuit in CIRCUITS:
        part = table[table["circuit"] == circuit]
        gained, days = (_sums(part, column, shape) for column in ("gained", "days"))
        known = days.sum(axis=0) > 0
        total = np.where(known, days.sum(axis=0), np.nan)
        rate = np.nan_to_num(gained.sum(axis=0) / total)
        a_day += rate
        moved += np.nan_to_num((gained - rate * days) / total)
        seen |= known
    positive = seen & (a_day > 0)
    a_day = np.where(positive, a_day, np.nan)
    return Raw(a_day, _small_sample(moved / a_day, table, shape))


def _sums(part: pd.DataFrame, column: str, shape: tuple[int, int]) -> Floats:
    table = np.zeros(shape)
    np.add.at(
        table, (part["hull"].to_numpy(np.intp), part["mooring"].to_numpy(np.intp)), part[column]
    )
    return table


def _small_sample(influence: Floats, table: pd.DataFrame, shape: tuple[int, int]) -> Floats:
    """Raise the influence for what the mean of n hulls hides; NaN where there is one hull."""
    hulls = np.zeros(shape[1])
    pairs = table[["hull", "mooring"]].drop_duplicates()["mooring"].value_counts()
    hulls[pairs.index.to_numpy(np.intp)] = pairs.to_numpy(float)
    raised = np.sqrt(hulls / np.where(hulls > 1, hulls - 1, np.nan))
    return np.asarray(influence * raised)
