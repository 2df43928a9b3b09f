"""How far each hull's wear rose some weeks ago, by all looks before and since."""

from __future__ import annotations

from typing import Final

import numpy as np
import pandas as pd

from corrosion.common import Codes
from corrosion.life_model.peer_comparison.spans import (
    LEAST_USUAL,
    UNEVEN,
    FleetLooks,
    pooled,
    shrunk,
    span_between,
)

SINCE_DAYS: Final = (14, 21, 28, 35, 49)
"""Days ago that a rise may have begun: a berth is asked after each of them."""


def rises(fleet: FleetLooks, lives: Codes, on_h: float, hull_sd: float) -> pd.DataFrame:
    """Say how many times faster each hull wears since so many days ago than until then.

    Of each anode the wear from its last look before that day to its newest one is set beside what
    the hull's own pace until that look would have taken; the part before the day is taken at the
    usual pace, by the hours that the anode ran between its looks, spread evenly over the days. A
    hull's anodes are pooled by least squares. Close looks, which one by one say little, lose
    nothing here: it is the day that cuts, not the look.

    Parameters
    ----------
    fleet : FleetLooks
        With clocks that the middle anode and hull keep (`centred`).
    lives : ndarray of int, shape (k,)
        Anodes in service.
    on_h : float
        The moment of the report, hours since 1970.
    hull_sd : float
        Spread between hulls.

    Returns
    -------
    DataFrame
        One row a hull, day and part that looks tell of: `hull` (code), `days` (ago), `outside`
        (bool: by the anodes of the hull circuit alone), `rise` (1: as before), `sd`.
    """
    parts = [
        _since(fleet, lives, on_h - 24.0 * days, hull_sd, outside).assign(
            days=days, outside=outside
        )
        for days in SINCE_DAYS
        for outside in (False, True)
    ]
    return pd.concat(parts, ignore_index=True)[["hull", "days", "outside", "rise", "sd"]]


def _since(
    fleet: FleetLooks, lives: Codes, day_h: float, hull_sd: float, outside: bool
) -> pd.DataFrame:
    looks = fleet.looks
    every = np.arange(fleet.hull.size)
    until, after = looks[looks["at_h"] <= day_h], looks[looks["at_h"] > day_h]
    first = until.drop_duplicates("life").set_index("life").reindex(every)
    last = until.drop_duplicates("life", keep="last").set_index("life").reindex(every)
    next_ = after.drop_duplicates("life").set_index("life").reindex(lives)
    newest = after.drop_duplicates("life", keep="last").set_index("life").reindex(lives)
    of_part = fleet.outside if outside else np.ones(every.size, bool)
    past = span_between(first, last, last, fleet.process)
    before = shrunk(pooled(past, fleet.hull, fleet, only=of_part.astype(float)), hull_sd)
    hull, start = fleet.hull[lives], last.loc[lives]
    gained = (newest["worn"].to_numpy() - start["worn"].to_numpy()).astype(float)
    usual = (newest["clock"].to_numpy() - start["clock"].to_numpy()).astype(float)
    share = (day_h - start["at_h"].to_numpy()) / (
        next_["at_h"].to_numpy() - start["at_h"].to_numpy()
    )
    since = usual - share * (next_["clock"].to_numpy() - start["clock"].to_numpy())
    pace = before.mean[hull]
    error = newest["error"].to_numpy() + start["error"].to_numpy()
    due = pace * usual
    variance = UNEVEN * (error + fleet.process * np.maximum(due, gained)) + 1e-9
    variance = variance + (fleet.anode_sd * due) ** 2
    known = (since > LEAST_USUAL) & np.isfinite(gained) & of_part[lives]
    lever = np.where(known, pace * since, 0.0)
    weight = lever / np.where(known, variance, 1.0)
    size = fleet.berth.size
    precision = np.bincount(hull, lever * weight, minlength=size)
    told = np.flatnonzero(precision > 0)
    excess = np.bincount(hull, weight * np.where(known, gained - due, 0.0), minlength=size)[told]
    # the hull's own pace until then is known so far only, and counts over the whole span
    carried = np.bincount(hull, weight * np.where(known, usual, 0.0), minlength=size)[told]
    spread = 1 / precision[told] + before.variance[told] * (carried / precision[told]) ** 2
    return pd.DataFrame(
        {"hull": told, "rise": 1.0 + excess / precision[told], "sd": np.sqrt(spread)}
    )
