"""How far each hull's wear rose some weeks ago, by all looks before and since."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd

from corrosion.common import Codes, Floats
from corrosion.life_model.peer_comparison.spans import (
    LEAST_USUAL,
    UNEVEN,
    FleetLooks,
    Pace,
    pace_of,
    past_of,
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
    parts = [_since(fleet, lives, on_h - 24.0 * days, hull_sd, days) for days in SINCE_DAYS]
    return pd.concat(parts, ignore_index=True)


def _since(
    fleet: FleetLooks, lives: Codes, day_h: float, hull_sd: float, days: int
) -> pd.DataFrame:
    """Return the rises since a day, by all anodes and by those outside."""
    until = fleet.until(day_h)
    begin, cut, end = fleet.bounds[lives], until[lives], fleet.bounds[lives + 1]
    start = fleet.at(cut - 1, begin < cut)
    next_, newest = fleet.at(cut, cut < end), fleet.at(end - 1, cut < end)
    gained, usual = (newest[name].to_numpy() - start[name].to_numpy() for name in ("worn", "clock"))
    share = (day_h - start["at_h"]) / (next_["at_h"] - start["at_h"])
    since = usual - (share * (next_["clock"] - start["clock"])).to_numpy()
    seen = _Seen(gained, usual, since, (newest["error"] + start["error"]).to_numpy())
    past, parts = past_of(fleet, until), []
    for outside, part in ((False, np.ones(fleet.hull.size)), (True, fleet.outside.astype(float))):
        before = pace_of(past, fleet, part, hull_sd)
        told = _by_hull(seen, before, part[lives] > 0, fleet, fleet.hull[lives])
        parts.append(told.assign(days=days, outside=outside))
    return pd.concat(parts)[["hull", "days", "outside", "rise", "sd"]]


@dataclass(frozen=True)
class _Seen:
    """Wear of anodes over a day and the usual wear beside it, shape (k,); NaN where none is seen.

    `usual` is that of the whole span, `since` of its part after the day; `error` is the variance
    of its two readings.
    """

    gained: Floats
    usual: Floats
    since: Floats
    error: Floats


def _by_hull(
    seen: _Seen, before: Pace, counts: np.ndarray, fleet: FleetLooks, hull: Codes
) -> pd.DataFrame:
    """Pool the anodes that count by least squares: `hull`, `rise`, `sd`."""
    pace = before.mean[hull]
    due = pace * seen.usual
    variance = UNEVEN * (seen.error + fleet.process * np.maximum(due, seen.gained)) + 1e-9
    variance = variance + (fleet.anode_sd * due) ** 2
    known = (seen.since > LEAST_USUAL) & np.isfinite(seen.gained) & counts
    lever = np.where(known, pace * seen.since, 0.0)
    weight = lever / np.where(known, variance, 1.0)
    size = fleet.berth.size
    precision = np.bincount(hull, lever * weight, minlength=size)
    told = np.flatnonzero(precision > 0)
    excess = np.bincount(hull, weight * np.where(known, seen.gained - due, 0.0), minlength=size)
    # the hull's own pace until then is known so far only, and counts over the whole span
    carried = np.bincount(hull, weight * np.where(known, seen.usual, 0.0), minlength=size)
    rise, over = excess[told] / precision[told], carried[told] / precision[told]
    spread = 1 / precision[told] + before.variance[told] * over**2
    return pd.DataFrame({"hull": told, "rise": 1.0 + rise, "sd": np.sqrt(spread)})
