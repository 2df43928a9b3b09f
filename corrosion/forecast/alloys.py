"""Which alloy is against its water."""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.records import SALTY

HARD = "magnesium"
"""In salt or brackish water it is gone in weeks and may blister paint: a hard stop."""
CRUSTS = "zinc"
"""In fresh water it crusts over and stops protecting while it looks new."""


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
