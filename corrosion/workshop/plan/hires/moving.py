"""Which hire goes to which hull, once it is known when each hull is not free.

Exact for the visits given: every hire within two weeks is given to one hull of its kind, or is
cancelled; nothing overlaps on a hull, and as many hulls of a kind as are kept free stay free.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.common import Codes, Floats
from corrosion.workshop.plan.hires.book import HireBook
from corrosion.workshop.plan.rows import Rows

CANCELLED = -1
STAY_BONUS = 1e-3
"""Currency: of two plans that cost the same, the one with fewer hires touched."""
TIME_LIMIT_S = 2.0


@dataclass(frozen=True)
class Closed:
    """Hours in which a hull is not free for hire: a visit, or a stop.

    Attributes
    ----------
    hull : int, place in the book
    start_h, end_h : float, local hours since midnight of the horizon's first day
    visit : bool, a visit takes a turn-round before and after; a stop does not
    """

    hull: int
    start_h: float
    end_h: float
    visit: bool


@dataclass(frozen=True)
class Moved:
    """What became of the hires: `to`, shape (m,), place of the hull, or CANCELLED.

    `proven` says that nothing cheaper exists for these visits; `gap` is a share of the cost.
    """

    to: Codes
    proven: bool
    gap: float


def move_hires(book: HireBook, closed: Sequence[Closed]) -> Moved:
    """Give every hire that begins within two weeks to one hull, or cancel it.

    Parameters
    ----------
    book : HireBook
    closed : when hulls are not free

    Returns
    -------
    Moved
    """
    to, proven, gap = book.hull.copy(), True, 0.0
    for kind in np.unique(book.sister_group.astype(str)):
        hulls = np.flatnonzero(book.sister_group == kind)
        own = [each for each in closed if each.hull in set(hulls.tolist())]
        if not own:
            continue
        hires = np.flatnonzero(
            np.isin(book.hull, hulls) & (book.start_h < book.until_h) & (book.end_h > book.now_h)
        )
        for part, shut in _apart(book, hires, own):
            if not _touched(book, part, shut):
                continue
            given, sure, off = _one_part(book, hulls, part, shut)
            to[part], proven, gap = given, proven and sure, max(gap, off)
    return Moved(to, proven, gap)


def _apart(
    book: HireBook, hires: Codes, closed: Sequence[Closed]
) -> Iterator[tuple[Codes, list[Closed]]]:
    """Split where no hire crosses: what happens before decides nothing after."""
    turn, reach = book.terms.turnround_h, -np.inf
    order = hires[np.argsort(book.start_h[hires], kind="stable")]
    part: list[int] = []
    for hire in order:
        if part and book.start_h[hire] >= reach + turn:
            yield _with_closed(book, part, closed)
            part = []
        part.append(int(hire))
        reach = max(reach, float(book.end_h[hire]))
    if part:
        yield _with_closed(book, part, closed)


def _with_closed(
    book: HireBook, part: list[int], closed: Sequence[Closed]
) -> tuple[Codes, list[Closed]]:
    hires = np.array(part, dtype=np.intp)
    first, last = book.start_h[hires].min(), book.end_h[hires].max()
    turn = book.terms.turnround_h
    return hires, [e for e in closed if e.start_h < last + turn and e.end_h + turn > first]


def _touched(book: HireBook, hires: Codes, closed: Sequence[Closed]) -> bool:
    return any(
        book.hull[hire] == each.hull and _clash(book, int(hire), each)
        for each in closed
        for hire in hires
    )


def _clash(book: HireBook, hire: int, closed: Closed) -> bool:
    alone = np.array([hire])
    return bool(book.in_way(alone, closed.start_h, closed.end_h, turn=closed.visit)[0])


def _one_part(
    book: HireBook, hulls: Codes, hires: Codes, closed: Sequence[Closed]
) -> tuple[Codes, bool, float]:
    """Solve one kind over hours that nothing crosses: places of the hulls, proven, gap."""
    hire, hull, cost = hire_choices(book, hulls, hires, closed)
    rows = hire_rows(book, hires, hire, hull)
    start, end = book.start_h[hires], book.end_h[hires]
    can_stay = np.isin(np.arange(hires.size), hire[hull == book.hull[hires][hire]])
    for moment in np.unique(start):
        out = {c.hull for c in closed if c.start_h <= moment < c.end_h}
        at_sea = np.flatnonzero((start <= moment) & (end > moment))
        free = hulls.size - len(out)
        # where the desk has given the reserve away already, no hire is called back for it
        if at_sea.size <= hulls.size - int(book.reserve[hulls[0]]):
            free -= int(book.reserve[hulls[0]])
        stays = int(can_stay[at_sea].sum())  # the reserve calls off no hire that can stay
        given = np.flatnonzero(np.isin(hire, at_sea) & (hull != CANCELLED))
        rows.add_count(given, 0.0, float(max(free, stays)))
    answer = book.answered.cheapest(cost, rows, TIME_LIMIT_S)
    if answer is None:
        return _stay_or_cancel(book, hires, closed), False, 1.0
    chosen, off = answer
    given = np.full(hires.size, CANCELLED, dtype=np.intp)
    given[hire[chosen]] = hull[chosen]
    return given, off < 1e-4, off


def hire_rows(book: HireBook, hires: Codes, hire: Codes, hull: Codes) -> Rows:
    """Say that each hire goes to one hull, or is cancelled, and that none overlap on a hull.

    Parameters
    ----------
    book : HireBook
    hires : ndarray of int, shape (h,), hires of the book
    hire, hull : ndarray of int, shape (n,), what may become of them, as `hire_choices`
    """
    rows, turn = Rows(), book.terms.turnround_h
    for number in range(hires.size):
        rows.add_count(np.flatnonzero(hire == number), 1.0, 1.0)
    start, end = book.start_h[hires], book.end_h[hires]
    for moment in np.unique(start):
        running = np.flatnonzero((start <= moment) & (end + turn > moment))
        at_once = np.isin(hire, running) & (hull != CANCELLED)
        for each in np.unique(hull[at_once]):
            rows.add_count(np.flatnonzero(at_once & (hull == each)), 0.0, 1.0)
    return rows


def hire_choices(
    book: HireBook, hulls: Codes, hires: Codes, closed: Sequence[Closed]
) -> tuple[Codes, Codes, Floats]:
    """List what may become of each hire: number of the hire, hull (or cancelled), cost.

    Parameters
    ----------
    book : HireBook
    hulls : ndarray of int, hulls that stand in for each other
    hires : ndarray of int, hires of the book
    closed : when hulls are not free

    Returns
    -------
    tuple of ndarray, shape (n,): place in `hires`, hull or CANCELLED, currency
    """
    hire, hull, cost = [], [], []
    for number, at in enumerate(hires):
        shut = {each.hull for each in closed if _clash(book, int(at), each)}
        own, runs = int(book.hull[at]), book.start_h[at] <= book.now_h
        hours = float(book.engine_h[at])
        if own not in shut or runs:
            hire.append(number)
            hull.append(own)
            cost.append(hours * float(book.hour_cost[own]) - STAY_BONUS)
        if runs:
            continue
        if book.terms.may_move and not book.fixed[at]:
            for other in hulls[book.takes[hulls]]:
                if other != own and int(other) not in shut:
                    hire.append(number)
                    hull.append(int(other))
                    cost.append(book.terms.move_cost + hours * float(book.hour_cost[other]))
        hire.append(number)
        hull.append(CANCELLED)
        cost.append(float(book.cancel[at]))
    return np.array(hire, np.intp), np.array(hull, np.intp), np.array(cost, float)


def _stay_or_cancel(book: HireBook, hires: Codes, closed: Sequence[Closed]) -> Codes:
    """Cancel what cannot stay: the plan to fall back upon."""
    shut = [
        any(each.hull == book.hull[at] and _clash(book, int(at), each) for each in closed)
        and book.start_h[at] > book.now_h
        for at in hires
    ]
    return np.where(shut, CANCELLED, book.hull[hires]).astype(np.intp)
