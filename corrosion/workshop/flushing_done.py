"""What the flushes on record took: how many, how long, and at the fleet's wage how much.

Notes
-----
* It stands beside the costs of anode work and is in none of their sums: a flush is done for the
  castings as much as for the anodes, and what it spares is asked on the flushing page.
* A flush without minutes is taken at the fleet's own `flush_minutes`; a row that says "no" or
  "could-not" took no time. What nobody wrote down is in no number.
"""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from corrosion.forecast import Appraisal


@dataclass(frozen=True)
class FlushingDone:
    """The flushes of a stretch of time.

    Attributes
    ----------
    flushes : int, flushes done that are on record
    hours : float, what they took, h
    amount : float, at the fleet's wage, in its currency; NaN where the wage is not known
    taken_minutes : int, how many of them had no minutes and were taken at `flush_minutes`
    """

    flushes: int
    hours: float
    amount: float
    taken_minutes: int


def add_up_flushing(appraisal: Appraisal, first: pd.Timestamp, last: pd.Timestamp) -> FlushingDone:
    """Add up the flushes that were done from `first` to `last`.

    Parameters
    ----------
    appraisal : Appraisal
    first, last : Timestamp, the stretch, both ends in it

    Returns
    -------
    FlushingDone
    """
    settings, flushes = appraisal.logbook.settings, appraisal.checked.flushes
    done = flushes[(flushes["done"] == "yes") & flushes["flushed_at"].between(first, last)]
    minutes = done["minutes"].astype(float)
    hours = float(minutes.fillna(settings.flush_minutes).sum()) / 60.0
    wage = float("nan") if settings.wage_per_hour is None else settings.wage_per_hour
    return FlushingDone(len(done), hours, hours * wage, int(minutes.isna().sum()))
