"""Outings and berths of the checked logs, each placed: which hull, which mooring, which water."""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.common import hours_since_epoch
from corrosion.exposure.exposure_totals import (
    SPAN,
    hull_key,
)

USUAL_ENGINE_SHARE = 0.85
"""Engine hours in an hour of outing where no outing of the fleet tells (common practice)."""


def waters_of(moorings: pd.DataFrame, mooring_ids: pd.Index) -> pd.Series:
    """Return the water of each mooring, unknown where the register does not say."""
    return (
        moorings.drop_duplicates("mooring_id").set_index("mooring_id")["water"].reindex(mooring_ids)
    )


def placed_berths(
    berths: pd.DataFrame, hulls: pd.Index, moorings: pd.Index, on_h: float
) -> pd.DataFrame:
    """Return the berths by codes of hull and mooring, each until the next one begins, in hours."""
    table = pd.DataFrame(
        {
            "hull": hulls.get_indexer(pd.Index(berths["hull_id"])),
            "mooring": moorings.get_indexer(pd.Index(berths["mooring_id"])),
            "start_h": hours_since_epoch(berths["since"]),
            "afloat": (berths["stays"] == "afloat").to_numpy(bool),
        }
    )
    table = table[(table["hull"] >= 0) & (table["mooring"] >= 0) & table["start_h"].notna()]
    table = table.sort_values(["hull", "start_h"], kind="stable").reset_index(drop=True)
    following = table.groupby("hull")["start_h"].shift(-1)
    table["stop_h"] = following.fillna(on_h).clip(lower=table["start_h"])
    return table


def placed_outings(
    outings: pd.DataFrame, hulls: pd.Index, usual_share: float | None = None
) -> pd.DataFrame:
    """Return the outings by codes of hull, in hours, engine hours filled in where unknown.

    Where the outings are not the whole fleet's, `usual_share` is what its `usual_engine_share` is.
    """
    table = pd.DataFrame(
        {
            "hull": hulls.get_indexer(pd.Index(outings["hull_id"])),
            "start_h": hours_since_epoch(outings["started"]),
            "stop_h": hours_since_epoch(outings["ended"]),
            "engine_h": outings["engine_hours"].to_numpy(float),
            "water": outings["water"].to_numpy(object),
        }
    )
    table = table[(table["hull"] >= 0) & (table["stop_h"] > table["start_h"])]
    order = np.argsort(
        hull_key(table["hull"].to_numpy(), table["start_h"].to_numpy()), kind="stable"
    )
    table = table.iloc[order].reset_index(drop=True)
    table["engine_h"] = _usual_where_unknown(table, usual_share)
    return table


def usual_engine_share(length_h: pd.Series, engine_h: pd.Series) -> float:
    """Return the fleet's middle share of engine hours in an outing, of outings that took time."""
    share = (engine_h / length_h)[length_h > 0]
    return float(share.median()) if share.notna().any() else USUAL_ENGINE_SHARE


def _usual_where_unknown(outings: pd.DataFrame, usual_share: float | None) -> pd.Series:
    """Fill unknown engine hours with the hull's own usual share of an outing's length."""
    length = outings["stop_h"] - outings["start_h"]
    share = outings["engine_h"] / length
    if not share.isna().any():
        return outings["engine_h"]
    fleet = usual_engine_share(length, outings["engine_h"]) if usual_share is None else usual_share
    own = share.groupby(outings["hull"]).transform("median").fillna(fleet)
    return outings["engine_h"].fillna(own * length)


def placed(outings: pd.DataFrame, berths: pd.DataFrame, waters: pd.Series) -> pd.DataFrame:
    """Give each outing its mooring (the berth at its start, else the hull's first) and water."""
    hull, start = outings["hull"].to_numpy(np.intp), outings["start_h"].to_numpy(float)
    key = hull_key(berths["hull"].to_numpy(np.intp), berths["start_h"].to_numpy(float))
    last = np.searchsorted(key, hull_key(hull, start), side="right") - 1
    first = np.searchsorted(key, hull_key(hull, np.full(hull.size, -SPAN / 4)))
    index = np.maximum(last, first).clip(0, max(len(berths) - 1, 0))
    if len(berths) == 0:
        return outings.iloc[:0].assign(mooring=np.zeros(0, np.intp))
    mooring = berths["mooring"].to_numpy(np.intp)[index]
    own = berths["hull"].to_numpy(np.intp)[index] == hull
    water = outings["water"].where(outings["water"].notna(), waters.to_numpy(object)[mooring])
    table = outings.assign(mooring=mooring, water=water)
    known: pd.DataFrame = table.loc[own & water.notna().to_numpy(bool)]
    return known.reset_index(drop=True)
