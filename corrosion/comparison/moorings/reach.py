"""How far anodes were watched at each mooring, beside how long they are said to last there."""

from __future__ import annotations

import pandas as pd

from corrosion.comparison.moorings.comparison import Comparison
from corrosion.comparison.moorings.lives import MooringLives

COLUMNS = ("mooring_id", "anodes", "worn", "seen_h", "carried_on")


def reach_of_looks(comparison: Comparison, lives: MooringLives | None) -> pd.DataFrame:
    """Return whether the life said of each mooring was seen, or is carried on from the wear.

    Parameters
    ----------
    comparison : Comparison
    lives : MooringLives of the circuit that the comparison's lives are of, in engine hours; None
        where there are none

    Returns
    -------
    DataFrame, one row a compared mooring with lives: mooring_id; anodes (watched from new); worn
    (seen at their limit); seen_h (engine hours of the one that was watched longest); carried_on
    (bool: none was seen worn, and the life said is longer than any was watched)
    """
    if lives is None or lives.table.empty:
        return pd.DataFrame(columns=list(COLUMNS)).astype({"seen_h": float, "carried_on": bool})
    table = lives.table
    groups = table.assign(worn=table["ended"] == "worn").groupby("mooring_id")
    seen = groups.agg(anodes=("worn", "size"), worn=("worn", "sum"), seen_h=("low", "max"))
    seen = seen.join(comparison.table.set_index("mooring_id")["life_h"])
    seen["carried_on"] = (seen["worn"] == 0) & (seen["life_h"] > seen["seen_h"])
    return seen.reset_index()[list(COLUMNS)]
