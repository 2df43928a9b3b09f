"""At what half hour each visit begins, bay by bay and day by day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.common import Codes, Floats
from corrosion.workshop.plan.hires.book import HireBook
from corrosion.workshop.plan.hires.releasing import Releases, priced_starts, whole_steps
from corrosion.workshop.plan.rows import Rows, cheapest

LATER_IS_WORSE = 1e-3
"""Currency an hour: of two starts that displace the same, the earlier."""
TIME_LIMIT_S = 1.0


@dataclass(frozen=True)
class Visit:
    """One visit: hull (place in the book), bay, hours of work, and between which it may lie."""

    hull: int
    bay: int
    work_h: float
    opens_h: float
    closes_h: float


def start_times(visits: Sequence[Visit], releases: Releases, hands: float) -> Floats:
    """Give the visits of one mooring and day their starts.

    A bay takes one hull after the other; no more visits than there are mechanics at once. Where
    the day is too short for that by half hours, the bay's visits follow one another all the same,
    and the last may end after the bay closes.

    Parameters
    ----------
    visits : of one mooring and one day
    releases : Releases
    hands : float, mechanics who can be there, inf: not counted

    Returns
    -------
    ndarray, shape (number of visits,), local hours since midnight of the horizon's first day
    """
    number, start, cost = _choices(visits, releases)
    if number.size and np.unique(number).size == len(visits):
        solved = _solve(visits, number, start, cost, hands)
        if solved is not None:
            return solved
    return _one_after_the_other(visits, releases.book)


def _choices(visits: Sequence[Visit], releases: Releases) -> tuple[Codes, Floats, Floats]:
    number, start, cost = [], [], []
    for at, visit in enumerate(visits):
        begins, price = priced_starts(
            releases, visit.hull, visit.opens_h, visit.closes_h, visit.work_h
        )
        can = np.isfinite(price)
        number.append(np.full(int(can.sum()), at, dtype=np.intp))
        start.append(begins[can])
        cost.append((price + LATER_IS_WORSE * (begins - begins[:1]))[can])
    return np.concatenate(number), np.concatenate(start), np.concatenate(cost)


def _solve(
    visits: Sequence[Visit], number: Codes, start: Floats, cost: Floats, hands: float
) -> Floats | None:
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
    answer = cheapest(cost, rows, TIME_LIMIT_S)
    if answer is None:
        return None
    chosen, _ = answer
    begins = np.full(len(visits), np.nan)
    begins[number[chosen]] = start[chosen]
    return begins


def _one_after_the_other(visits: Sequence[Visit], book: HireBook) -> Floats:
    begins, reach = np.zeros(len(visits)), dict[int, float]()
    for at, visit in enumerate(visits):
        begins[at] = max(visit.opens_h, whole_steps(book.now_h), reach.get(visit.bay, 0.0))
        reach[visit.bay] = begins[at] + whole_steps(visit.work_h)
    return begins
