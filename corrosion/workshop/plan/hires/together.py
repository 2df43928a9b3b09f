"""Half hours and hires of one day in one programme, where visits are in the way of hires.

A start that displaces the fewest hires one by one is not always the one after which all hires find
a hull: two may want the same sister, a chain of moves may free one, and a hull that is stopped
until its visit ends had better come out before its next hire than where its book is open.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from corrosion.common import Codes, Floats
from corrosion.workshop.plan.hires.book import HireBook
from corrosion.workshop.plan.hires.moving import CANCELLED, Closed, hire_choices, hire_rows
from corrosion.workshop.plan.hires.visits import StartChoices, Visit, visit_rows
from corrosion.workshop.plan.rows import Rows

TIME_LIMIT_S = 1.0
MOST_CHOICES = 6000
"""Beyond so many choices of a hull for a hire, starts are given without the hires of the day."""


def start_with_hires(
    visits: Sequence[Visit], choices: StartChoices, book: HireBook, hands: float,
    standing: Sequence[Closed],
) -> Floats | None:  # fmt: skip
    """Give the visits of one mooring and day the starts after which its hires cost the least.

    The hulls that are to be kept free are left to the programme of the hires that comes after.

    Parameters
    ----------
    visits : of one mooring and one day
    choices : StartChoices, of these visits
    book : HireBook
    hands : float, mechanics who can be there, inf: not counted
    standing : when other hulls are stopped on that day

    Returns
    -------
    ndarray, shape (number of visits,), starts, or None where the day has too many hires, or
        nothing was found in time
    """
    rows = visit_rows(visits, choices, hands)
    cost, count = [choices.late_cost], choices.start_h.size
    day = 24.0 * np.floor(visits[0].opens_h / 24.0)
    groups = {str(book.sister_group[each.hull]) for each in visits}
    for group in sorted(groups):
        hulls = np.flatnonzero(book.sister_group == group)
        touches = (book.start_h < day + 24.0) & (book.end_h > max(day, book.now_h))
        hires = np.flatnonzero(np.isin(book.hull, hulls) & touches)
        hire, hull, price = hire_choices(book, hulls, hires, standing)
        if count + hire.size > MOST_CHOICES:
            return None
        rows.add_below(hire_rows(book, hires, hire, hull), count)
        _keep_apart(rows, visits, choices, book, hires[hire], hull, count)
        cost.append(price)
        count += hire.size
    answer = book.answered.cheapest(np.concatenate(cost), rows, TIME_LIMIT_S)
    if answer is None:
        return None
    chosen = answer[0][answer[0] < choices.start_h.size]
    return choices.begins(chosen, len(visits))


def _keep_apart(
    rows: Rows, visits: Sequence[Visit], choices: StartChoices, book: HireBook, hire: Codes,
    hull: Codes, offset: int,
) -> None:  # fmt: skip
    """Say that a hull is not on hire while it is in the bay, or stopped until it comes out."""
    for number, visit in enumerate(visits):
        starts = np.flatnonzero(choices.visit == number)
        begins = choices.start_h[starts]
        since = np.full(begins.size, book.now_h) if visit.lifts else begins
        for at in np.flatnonzero((hull == visit.hull) & (hull != CANCELLED)):
            one = np.array([hire[at]])
            if book.start_h[one[0]] <= book.now_h:
                continue  # it runs already: no start in its way is among the choices
            clash = book.in_way(one, since[:, None], begins[:, None] + visit.work_h)[:, 0]
            if clash.any():
                own = [offset + int(at), *starts[clash].tolist()]
                rows.add(own, np.ones(len(own)), 0.0, 1.0)
