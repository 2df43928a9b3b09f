"""The alloy of each anode in place: what was fitted last, else what the register lists."""

from __future__ import annotations

import pandas as pd

_PLACE = ["hull_id", "position"]


def alloys_in_place(
    hulls: pd.DataFrame, positions: pd.DataFrame, fittings: pd.DataFrame
) -> pd.DataFrame:
    """Return the alloy of each anode in place.

    Parameters
    ----------
    hulls : DataFrame: hull_id, layout
    positions : DataFrame: layout, position, alloy
    fittings : DataFrame, oldest first: hull_id, position, alloy

    Returns
    -------
    DataFrame, one row a hull and position that the register lists
        `hull_id`, `position`, `alloy` (unknown where neither says), `listed`.
    """
    register = positions[["layout", "position", "alloy"]].astype(object)
    listed = hulls[["hull_id", "layout"]].astype(object).merge(register, on="layout")
    last = fittings.drop_duplicates(_PLACE, keep="last")[[*_PLACE, "alloy"]].astype(object)
    both = listed.rename(columns={"alloy": "listed"}).merge(last, on=_PLACE, how="left")
    both["alloy"] = both["alloy"].where(both["alloy"].notna(), both["listed"])
    return both[[*_PLACE, "alloy", "listed"]].drop_duplicates(_PLACE)
