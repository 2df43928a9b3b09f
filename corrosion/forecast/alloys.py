"""Which alloy sits in each anode's place, and which of them is against its water."""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.exposure import ANODE
from corrosion.records import SALTY, Checked

HARD = "magnesium"
"""In salt or brackish water it is gone in weeks and may blister paint: a hard stop."""
CRUSTS = "zinc"
"""In fresh water it crusts over and stops protecting while it looks new."""


def alloys_now(checked: Checked) -> pd.DataFrame:
    """Return the alloy of each anode in place: the one fitted last, else the one listed.

    Parameters
    ----------
    checked : Checked

    Returns
    -------
    DataFrame, one row a hull and position
        `hull_id`, `position`, `alloy`, `listed` (alloy of the position in the register).
    """
    last = checked.fittings.drop_duplicates(ANODE, keep="last")
    hulls = checked.hulls[["hull_id", "layout"]].drop_duplicates("hull_id")
    register = checked.anode_positions[["layout", "position", "alloy"]]
    listed = hulls.merge(register, on="layout").rename(columns={"alloy": "listed"})
    both = listed.merge(last[[*ANODE, "alloy"]], on=ANODE, how="left")
    both["alloy"] = both["alloy"].fillna(both["listed"])
    return both[[*ANODE, "alloy", "listed"]].drop_duplicates(ANODE)


def against_water(alloy: pd.Series, listed: pd.Series, water: pd.Series) -> np.ndarray:
    """Say which anodes have an alloy that must not be in their water, shape (k,) of bool.

    Magnesium in salt or brackish water always; zinc in fresh water where the register lists
    another alloy for the place, so that somebody fitted the wrong one. Zinc that the register
    lists for a hull in fresh water is a question to the register, not a stop.

    Parameters
    ----------
    alloy, listed, water : Series of text, row-aligned; unknown is never against anything
    """
    kind, register, lies_in = (each.to_numpy(object) for each in (alloy, listed, water))
    hard = (kind == HARD) & np.isin(lies_in, SALTY)
    known = pd.notna(register) & (register != CRUSTS)
    return np.asarray(hard | ((kind == CRUSTS) & (lies_in == "fresh") & known), dtype=bool)
