"""Hires that wait for a look: which, what the look is worth, and what follows from it."""

from __future__ import annotations

import pandas as pd

from corrosion.common import formatting
from corrosion.workshop.plan.hires.desk import Desk
from corrosion.workshop.plan.hires.releasing import stopped_until


def hires_that_wait(desk: Desk) -> dict[str, int]:
    """Return the next hire of each hull that waits for a look, by hull.

    Parameters
    ----------
    desk : Desk
    """
    book, first = desk.book, {}
    for hull_id, stop in desk.stops.items():
        if not stop.look_first:
            continue
        own = book.of_hull(place_of(desk, hull_id))
        ahead = own[(book.start_h[own] > book.now_h) & (book.start_h[own] < book.until_h)]
        if ahead.size:
            first[hull_id] = int(ahead[0])
    return first


def place_of(desk: Desk, hull_id: str) -> int:
    """Return the place of a hull in the book, -1 for none."""
    return int(desk.book.hull_ids.get_indexer(pd.Index([hull_id]))[0])


def worth_of_look(desk: Desk, hull_id: str, until_h: float) -> float:
    """Return what a look before the next hire saves on average, currency; its minutes not counted.

    Without it the hull's hires move or are called off until some hour; with it only where it fails.

    Parameters
    ----------
    desk : Desk
    hull_id : str, a hull that waits for a look
    until_h : float, when its visit ends, local hours since midnight of the horizon's first day; inf
        for no visit in sight
    """
    saved = stopped_until(desk.releases, place_of(desk, hull_id), until_h)
    return desk.stops[hull_id].passes * saved


def say_look_first(desk: Desk, hull_id: str, until_h: float, currency: str) -> str:
    """Say what to look at, what follows, and what the look is worth.

    Parameters
    ----------
    desk : Desk
    hull_id : str
    until_h : float, as for `worth_of_look`
    currency : str
    """
    stop = desk.stops[hull_id]
    named = formatting.listed(sorted(stop.positions)) or "its anodes"
    words = (
        f"look at {named} first: {stop.why}. Passes: it sails. Fails: it stays in, and this hire "
        "moves or is called off"
    )
    worth = worth_of_look(desk, hull_id, until_h)
    if not worth >= 1.0:
        return words
    return (
        f"{words}. The look is worth about {formatting.price(worth, currency)}, its minutes not "
        f"counted: {formatting.chance(stop.passes)} that it passes, and then no hire of {hull_id} "
        "has to move or be called off"
    )
