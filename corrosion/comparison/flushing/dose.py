"""How soon after the return, and for how long: what the flush log holds, and what it can tell."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import tzinfo

import numpy as np
import pandas as pd

from corrosion.comparison.flushing.answer import Verdict
from corrosion.comparison.flushing.engine import refit
from corrosion.comparison.flushing.policy import last_of_day
from corrosion.exposure import Exposure, rewetted
from corrosion.records import SALTY

DELAYS_H = (0.0, 1.0, 4.0, 8.0, 24.0)
TELLS = 6.0
"""Likelihood ratio between two ways to count short flushes from which on the looks tell which
(a relative likelihood of 1 to 20; common practice)."""
FEWEST_SHORT = 50


@dataclass(frozen=True)
class Dose:
    """What the log holds of delays and minutes.

    Attributes
    ----------
    delays : DataFrame, one row a class: delay (text), flushes, hulls
    short_minutes : float or None, minutes at or below which the shorter half of the flushes lies
    short : int, flushes at most that long
    for_counting : float or None
        Likelihood ratio for short flushes counting in full, against not counting at all; above
        `TELLS` the looks say that they count, below its negative that they do not.
    """

    delays: pd.DataFrame
    short_minutes: float | None
    short: int
    for_counting: float | None
    tells: float = TELLS


def dose(verdict: Verdict, zone: tzinfo) -> Dose:
    """Say how late and how long flushes were, and whether short ones count.

    Parameters
    ----------
    verdict : Verdict with rates
    zone : tzinfo, the fleet's time zone

    Returns
    -------
    Dose
    """
    if verdict.believed is None:
        raise ValueError("a verdict without rates has no dose")
    rated = verdict.believed.middle
    exposure = rated.fit.exposure
    out = exposure.outings
    minutes = out["minutes"].where(out["water"].isin(SALTY)).to_numpy(float)
    known = minutes[~np.isnan(minutes)]
    delays = _delays(exposure, zone)
    if known.size < 2 * FEWEST_SHORT:
        return Dose(delays, None, 0, None)
    edge = float(np.median(known))
    short = minutes <= edge
    if min(short.sum(), (known > edge).sum()) < FEWEST_SHORT:
        return Dose(delays, edge, int(short.sum()), None)
    without = rewetted(exposure, out.assign(flushed_h=out["flushed_h"].where(~short)))
    other = refit(rated.fit, without)
    ratio = 2.0 * (rated.fit.results.llf - other.results.llf)
    return Dose(delays, edge, int(short.sum()), float(ratio))


def _delays(exposure: Exposure, zone: tzinfo) -> pd.DataFrame:
    """Count the flushes after last returns from salty water by how late they came."""
    out = exposure.outings[last_of_day(exposure.outings, zone)]
    out = out[out["water"].isin(SALTY) & out["flushed_h"].notna()]
    late = out["flushed_h"] - out["stop_h"]
    edges = [*DELAYS_H, np.inf]
    names = ["within 1 h", "1 to 4 h", "4 to 8 h", "8 to 24 h", "later"]
    kind = pd.cut(late, edges, labels=names, right=True, include_lowest=True)
    counted = out.groupby(kind, observed=False)["hull"].agg(["size", "nunique"])
    return pd.DataFrame(
        {
            "delay": names,
            "flushes": counted["size"].to_numpy(),
            "hulls": counted["nunique"].to_numpy(),
        }
    )
