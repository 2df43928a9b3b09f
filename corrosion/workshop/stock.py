"""Parts on hand, by part and mooring: what was counted, and what came and went since."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from corrosion.records import Settings

COMMON = ""
"""Mooring of the pieces that every mooring can take from."""


def pieces_on_hand(settings: Settings, moves: pd.DataFrame) -> pd.DataFrame:
    """Count the parts on hand.

    Parameters
    ----------
    settings : Settings
        `stock`: pieces by part, in the common store or by mooring.
    moves : DataFrame
        The log `stock_moves`: part_number, pieces (below zero when they went), mooring_id.

    Returns
    -------
    DataFrame
        One row a part and mooring (`COMMON` for the common store): part_number, mooring_id,
        pieces, never below none. A part that is in neither was never counted and is not in it.
    """
    counted = [
        (part, place, float(pieces))
        for part, held in settings.stock.items()
        for place, pieces in (held.items() if isinstance(held, Mapping) else [(COMMON, held)])
    ]
    known = moves[moves["part_number"].notna() & moves["pieces"].notna()]
    gone = [
        (part, place if isinstance(place, str) else COMMON, float(pieces))
        for part, place, pieces in known[["part_number", "mooring_id", "pieces"]].itertuples(
            index=False
        )
    ]
    table = pd.DataFrame([*counted, *gone], columns=["part_number", "mooring_id", "pieces"])
    summed = table.groupby(["part_number", "mooring_id"])["pieces"].sum()
    pieces = np.floor(summed.to_numpy(float).clip(min=0.0)).astype(int)  # half a piece is no part
    return summed.index.to_frame(index=False).assign(pieces=pieces)
