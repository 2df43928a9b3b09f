"""At what half hour each visit begins, bay by bay and day by day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from corrosion.common import Codes, Floats
from corrosion.workshop.plan.hires.book import HireBook
from corrosion.workshop.plan.hires.releasing import STEP_H, Releases
from corrosion.workshop.plan.quiet import nothing_printed

LATER_IS_WORSE = 1e-3
"""Currency an hour: of two starts that displace the same, the earlier."""


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


def _steps(hours: float) -> float:
    return float(np.ceil(hours / STEP_H - 1e-9) * STEP_H)


def _choices(visits: Sequence[Visit], releases: Releases) -> tuple[Codes, Floats, Floats]:
    book, turn = releases.book, releases.book.rules.turnround_h
    number, start, cost = [], [], []
    for at, visit in enumerate(visits):
        opens = max(visit.opens_h, _steps(book.now_h))
        own = book.of_hull(visit.hull)
        for begins in np.arange(opens, visit.closes_h - visit.work_h + 1e-9, STEP_H):
            in_way = (book.start_h[own] < begins + visit.work_h + turn) & (
                book.end_h[own] + turn > begins
            )
            price = float(releases.each[own][in_way].sum())
            if np.isfinite(price):
                number.append(at)
                start.append(float(begins))
                cost.append(price + LATER_IS_WORSE * (begins - opens))
    return np.array(number, np.intp), np.array(start, float), np.array(cost, float)


def _solve(
    visits: Sequence[Visit], number: Codes, start: Floats, cost: Floats, hands: float
) -> Floats | None:
    work = np.array([_steps(each.work_h) for each in visits])[number]
    bay = np.array([each.bay for each in visits])[number]
    rows: list[Codes] = []
    low, high = [], []
    for at in range(len(visits)):
        rows.append(np.flatnonzero(number == at))
        low.append(1.0)
        high.append(1.0)
    for moment in np.unique(start):
        running = (start <= moment) & (start + work > moment)
        for own in np.unique(bay):
            rows.append(np.flatnonzero(running & (bay == own)))
            low.append(0.0)
            high.append(1.0)
        if np.isfinite(hands):
            rows.append(np.flatnonzero(running))
            low.append(0.0)
            high.append(max(hands, 1.0))
    row = np.repeat(np.arange(len(rows)), [each.size for each in rows])
    matrix = coo_array((np.ones(row.size), (row, np.concatenate(rows))), (len(rows), number.size))
    with nothing_printed():
        solved = milp(
            cost, integrality=np.ones(cost.size, dtype=np.intp), bounds=Bounds(0, 1),
            constraints=LinearConstraint(matrix, low, high), options={"time_limit": 1.0},
        )  # fmt: skip
    if solved.x is None:
        return None
    chosen = np.flatnonzero(np.round(solved.x) == 1)
    begins = np.full(len(visits), np.nan)
    begins[number[chosen]] = start[chosen]
    return begins


def _one_after_the_other(visits: Sequence[Visit], book: HireBook) -> Floats:
    begins, reach = np.zeros(len(visits)), dict[int, float]()
    for at, visit in enumerate(visits):
        begins[at] = max(visit.opens_h, _steps(book.now_h), reach.get(visit.bay, 0.0))
        reach[visit.bay] = begins[at] + _steps(visit.work_h)
    return begins
