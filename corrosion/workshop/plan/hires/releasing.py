"""What it takes to free a hull for a visit: which hires are in the way, and what they cost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from corrosion.common import Floats
from corrosion.workshop.plan.cases import Flags
from corrosion.workshop.plan.hires.book import HireBook

STEP_H = 0.5
"""Visits begin on the half hour."""


@dataclass(frozen=True)
class Freed:
    """The cheapest start of a visit within some hours of a day.

    Attributes
    ----------
    start_h : float, local hours since midnight of the horizon's first day; NaN: the day has none
    cost : float, of moving or cancelling the hires in the way, currency; inf: no start at all
    """

    start_h: float
    cost: float


@dataclass(frozen=True)
class Releases:
    """What each hire would cost to be out of the way, shape (m,), and whether a sister is free."""

    book: HireBook
    each: Floats
    moves: Flags


def price_releases(book: HireBook) -> Releases:
    """Price every hire's move, or its cancelling where no sister is free for it.

    Sisters are counted one hire at a time; that several hires want the same sister is the
    programme's affair.

    Parameters
    ----------
    book : HireBook
    """
    moves = np.zeros(book.hull.size, dtype=bool)
    if book.terms.may_move:
        for kind in np.unique(book.sister_group.astype(str)):
            hulls = np.flatnonzero(book.sister_group == kind)
            takers = hulls[book.takes[hulls]]
            own = np.flatnonzero(np.isin(book.hull, hulls))
            if not takers.size or not own.size:
                continue
            busy = np.zeros((own.size, takers.size), dtype=bool)
            for at, taker in enumerate(takers):
                theirs = book.of_hull(int(taker))
                clash = book.in_way(theirs, book.start_h[own][:, None], book.end_h[own][:, None])
                busy[:, at] = clash.any(axis=1) | (book.hull[own] == taker)
            free = (~busy).sum(axis=1)
            moves[own] = (free > book.reserve[hulls[0]]) & ~book.fixed[own]
    running = book.start_h <= book.now_h
    each = np.where(moves, book.terms.move_cost, book.cancel)
    return Releases(book, np.where(running, np.inf, each), moves)


def whole_steps(hours: float) -> float:
    """Round hours up to whole steps."""
    return float(np.ceil(hours / STEP_H - 1e-9) * STEP_H)


def priced_starts(
    releases: Releases, hull: int, opens_h: float, closes_h: float, work_h: float
) -> tuple[Floats, Floats]:
    """List the starts of a visit with what each displaces.

    Parameters
    ----------
    releases : Releases
    hull : int, place of the hull in the book
    opens_h, closes_h : float, hours between which the bay works, local hours since midnight of the
        horizon's first day
    work_h : float, h

    Returns
    -------
    tuple of ndarray, shape (s,)
        Starts from now on (local hours as above), and the cost of moving or cancelling the hires
        in the way of each, currency.
    """
    book = releases.book
    first = max(opens_h, whole_steps(book.now_h))
    starts = np.arange(first, closes_h - work_h + 1e-9, STEP_H)
    own = book.of_hull(hull)
    in_way = book.in_way(own, starts[:, None], starts[:, None] + work_h)
    return starts, np.where(in_way, releases.each[own][None, :], 0.0).sum(axis=1)


def free_a_window(
    releases: Releases, hull: int, opens_h: float, closes_h: float, work_h: float
) -> Freed:
    """Find the start of a visit that displaces the least; arguments as for `priced_starts`.

    Returns
    -------
    Freed
        Of starts that cost the same, the earliest.
    """
    starts, cost = priced_starts(releases, hull, opens_h, closes_h, work_h)
    if not starts.size:
        return Freed(np.nan, np.inf)
    best = int(cost.argmin())
    return Freed(float(starts[best]), float(cost[best]))


def stopped_until(releases: Releases, hull: int, until_h: float) -> float:
    """Return what a hull that must not sail costs in hires until some hour, currency."""
    book = releases.book
    own = book.of_hull(hull)
    begins = (book.start_h[own] > book.now_h) & (book.start_h[own] < min(until_h, book.until_h))
    return float(releases.each[own][begins].sum())
