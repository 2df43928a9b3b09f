"""Visits of a day and the half hours at which they may begin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.common import Codes, Floats
from corrosion.workshop.plan.hires.releasing import Releases, priced_starts, whole_steps
from corrosion.workshop.plan.rows import Rows

LATER_IS_WORSE = 1e-3
"""Currency an hour: of two starts that displace the same, the earlier."""


@dataclass(frozen=True)
class Visit:
    """One visit: hull (place in the book), bay, hours of work, and between which it may lie.

    `lifts`: the hull is stopped, and may sail again when this visit has ended.
    """

    hull: int
    bay: int
    work_h: float
    opens_h: float
    closes_h: float
    lifts: bool = False


@dataclass(frozen=True)
class StartChoices:
    """Half hours at which visits may begin, n of them.

    Attributes
    ----------
    visit : ndarray of int, shape (n,), number of the visit
    start_h : ndarray, shape (n,), local hours since midnight of the horizon's first day
    price : ndarray, shape (n,), of moving or cancelling the hires in the way one by one, currency
    late_cost : ndarray, shape (n,), what a later start costs, currency
    """

    visit: Codes
    start_h: Floats
    price: Floats
    late_cost: Floats

    def begins(self, chosen: Codes, visits: int) -> Floats:
        """Return the starts of so many visits, shape (visits,); NaN where none was chosen."""
        begins = np.full(visits, np.nan)
        begins[self.visit[chosen]] = self.start_h[chosen]
        return begins


def start_choices(visits: Sequence[Visit], releases: Releases) -> StartChoices:
    """List the half hours at which visits may begin.

    Parameters
    ----------
    visits : of one mooring and one day
    releases : Releases
    """
    visit, start, price, late = [], [], [], []
    for at, each in enumerate(visits):
        begins, displaced = priced_starts(
            releases, each.hull, each.opens_h, each.closes_h, each.work_h
        )
        can = np.isfinite(displaced)
        visit.append(np.full(int(can.sum()), at, dtype=np.intp))
        start.append(begins[can])
        price.append(displaced[can])
        late.append((LATER_IS_WORSE * (begins - begins[:1]))[can])
    return StartChoices(
        np.concatenate(visit), np.concatenate(start), np.concatenate(price), np.concatenate(late)
    )


def visit_rows(visits: Sequence[Visit], choices: StartChoices, hands: float) -> Rows:
    """Say that each visit begins once, a bay takes one at a time, and each needs a mechanic.

    Parameters
    ----------
    visits : of one mooring and one day
    choices : StartChoices
    hands : float, mechanics who can be there, inf: not counted
    """
    number, start = choices.visit, choices.start_h
    work = np.array([whole_steps(each.work_h) for each in visits])[number]
    bay = np.array([each.bay for each in visits])[number]
    rows = Rows()
    for at in range(len(visits)):
        rows.add_count(np.flatnonzero(number == at), 1.0, 1.0)
    for moment in np.unique(start):
        running = (start <= moment) & (start + work > moment)
        for own in np.unique(bay):
            rows.add_count(np.flatnonzero(running & (bay == own)), 0.0, 1.0)
        if np.isfinite(hands):
            rows.add_count(np.flatnonzero(running), 0.0, max(hands, 1.0))
    return rows
