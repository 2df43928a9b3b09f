"""What to order, how many, and by when: stock against the distribution of what it will take."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from corrosion.common import Floats
from corrosion.workshop.parts.counts import Counted

COVER_DAYS = 91.0
"""An order is to last so long after it arrives."""


@dataclass(frozen=True)
class Order:
    """An order, or why there is none.

    Attributes
    ----------
    by : date or None
        Last day to order on so that the chance to have enough stays at the service level; the
        day of the report when that day is past; None: stock lasts beyond the weeks looked at.
    pieces : int
        Enough, with that chance, for `COVER_DAYS` after the order arrives.
    lasts_until : date or None
        Day until which the stock lasts with that chance.
    short_before : float
        Chance that stock runs out before an order placed now would arrive.
    """

    by: date | None
    pieces: int
    lasts_until: date | None
    short_before: float


def order_parts(
    counted: Counted, on_hand: int, today: date, lead_days: float, level: float
) -> Order:
    """Say what to order of one part.

    Parameters
    ----------
    counted : Counted
        How many it will take by the end of each week.
    on_hand : int
        Pieces, all stores together.
    today : date
    lead_days : float
        From order to delivery, d.
    level : float
        Chance with which parts are to be there.

    Returns
    -------
    Order
    """
    suffices = _chance_to_suffice(counted, on_hand)
    days = np.arange(suffices.size)
    short_before = 1.0 - float(np.interp(lead_days, days, suffices))
    runs_out = np.flatnonzero(suffices < level)
    if not runs_out.size:
        return Order(None, 0, None, short_before)
    last = int(runs_out[0]) - 1
    covered = int(np.ceil((max(last, lead_days) + COVER_DAYS) / 7.0))
    week = min(covered, counted.given.shape[0])
    by = today + timedelta(days=max(int(np.floor(last - lead_days)), 0))
    pieces = max(counted.quantile(week, level) - on_hand, 1)
    return Order(by, pieces, today + timedelta(days=max(last, 0)), short_before)


def _chance_to_suffice(counted: Counted, on_hand: int) -> Floats:
    """Chance that the pieces on hand are enough until each day ahead, shape (d,)."""
    by_week = counted.chance[:, : on_hand + 1].sum(axis=1)
    ends = 7.0 * np.arange(by_week.size + 1)
    every_day = np.arange(ends[-1] + 1)
    suffices = np.concatenate([[1.0], np.minimum(by_week, 1.0)])
    return np.asarray(np.interp(every_day, ends, suffices))
