"""Who is flushed when: a rule for flushing, put to the returns as they happened."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import tzinfo

import numpy as np
import pandas as pd

from corrosion.common import Floats
from corrosion.records import SALTY


@dataclass(frozen=True)
class Policy:
    """A rule for flushing, on top of the flushes that were done.

    Attributes
    ----------
    within_h : float
        Hours from the return to its flush.
    every_return : bool
        Flush after every return; otherwise after the last one of each local day alone.
    waters : tuple of str
        Flush hulls that ran in these waters.
    mooring_ids : tuple of str
        Flush at these moorings only; empty: at all.
    """

    within_h: float = 1.0
    every_return: bool = False
    waters: tuple[str, ...] = SALTY
    mooring_ids: tuple[str, ...] = ()


DAILY = Policy()
"""One flush within an hour of each day's last return, in salt and brackish water."""


def local_day(at_h: Floats, zone: tzinfo) -> pd.DatetimeIndex:
    """Return the local calendar day of moments in hours since 1970, shape (n,)."""
    moments = pd.to_datetime(np.round(at_h * 3600.0), unit="s", utc=True)
    return pd.DatetimeIndex(moments.tz_convert(zone).tz_localize(None).normalize())


def last_of_day(outings: pd.DataFrame, zone: tzinfo) -> np.ndarray:
    """Tell which returns were the hull's last on their local day.

    Parameters
    ----------
    outings : DataFrame sorted by hull and start, with hull, stop_h
    zone : tzinfo, the fleet's time zone

    Returns
    -------
    ndarray of bool, shape (outings,)
    """
    day = local_day(outings["stop_h"].to_numpy(float), zone).asi8
    hull = outings["hull"].to_numpy()
    last = np.ones(len(outings), dtype=bool)
    last[:-1] = (day[1:] != day[:-1]) | (hull[1:] != hull[:-1])
    return last


def asked_to_flush(
    outings: pd.DataFrame, policy: Policy, mooring_ids: pd.Index, zone: tzinfo
) -> np.ndarray:
    """Tell after which returns the policy asks for a flush, flushed then or not.

    Parameters
    ----------
    outings : DataFrame of `corrosion.exposure.hours_by_state.Exposure`
    policy : Policy
    mooring_ids : Index, the moorings behind the codes
    zone : tzinfo

    Returns
    -------
    ndarray of bool, shape (outings,)
    """
    due = outings["water"].isin(policy.waters).to_numpy(bool)
    if policy.mooring_ids:
        covered = mooring_ids.get_indexer(pd.Index(list(policy.mooring_ids)))
        due = due & outings["mooring"].isin(covered).to_numpy(bool)
    return due if policy.every_return else due & last_of_day(outings, zone)


def under(
    outings: pd.DataFrame, policy: Policy, mooring_ids: pd.Index, zone: tzinfo
) -> pd.DataFrame:
    """Return the outings as the policy would have had them rinsed, flushes that were done kept.

    A flush falls out where the hull is off again before it is due.
    """
    to_flush = asked_to_flush(outings, policy, mooring_ids, zone)
    due = outings["stop_h"] + policy.within_h
    possible = to_flush & ~(due >= outings["next_h"])
    sooner = np.fmin(outings["flushed_h"], due)
    return outings.assign(flushed_h=np.where(possible, sooner, outings["flushed_h"]))
