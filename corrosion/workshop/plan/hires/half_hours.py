"""At what half hour each visit begins, bay by bay and day by day."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from corrosion.common import Floats
from corrosion.workshop.plan.hires.book import HireBook
from corrosion.workshop.plan.hires.moving import Closed
from corrosion.workshop.plan.hires.releasing import Releases, whole_steps
from corrosion.workshop.plan.hires.together import TIME_LIMIT_S, start_with_hires
from corrosion.workshop.plan.hires.visits import StartChoices, Visit, start_choices, visit_rows
from corrosion.workshop.plan.rows import Answered


def start_times(
    visits: Sequence[Visit], releases: Releases, hands: float, standing: Sequence[Closed] = ()
) -> Floats:
    """Give the visits of one mooring and day their starts.

    A bay takes one hull after the other; no more visits than there are mechanics at once. Where
    visits are in the way of hires, the starts are found together with the hulls that take them.
    Where the day is too short for that by half hours, the bay's visits follow one another all the
    same, and the last may end after the bay closes.

    Parameters
    ----------
    visits : of one mooring and one day
    releases : Releases
    hands : float, mechanics who can be there, inf: not counted
    standing : when other hulls are stopped on that day

    Returns
    -------
    ndarray, shape (number of visits,), local hours since midnight of the horizon's first day
    """
    choices = start_choices(visits, releases)
    if not choices.visit.size or np.unique(choices.visit).size < len(visits):
        return _one_after_the_other(visits, releases.book)
    alone = _alone(visits, choices, hands, releases.book.answered)
    if alone is None:
        return _one_after_the_other(visits, releases.book)
    starts, price = alone
    if price < 1.0 and not any(each.lifts for each in visits):
        return starts  # nothing is in the way of a hire: no other start is better
    joint = start_with_hires(visits, choices, releases.book, hands, standing)
    return starts if joint is None else joint


def _alone(
    visits: Sequence[Visit], choices: StartChoices, hands: float, answered: Answered
) -> tuple[Floats, float] | None:
    """Return the starts that displace the least, hire by hire, and what that costs, currency."""
    rows = visit_rows(visits, choices, hands)
    answer = answered.cheapest(choices.price + choices.late_cost, rows, TIME_LIMIT_S)
    if answer is None:
        return None
    chosen, _ = answer
    return choices.begins(chosen, len(visits)), float(choices.price[chosen].sum())


def _one_after_the_other(visits: Sequence[Visit], book: HireBook) -> Floats:
    begins, reach = np.zeros(len(visits)), dict[int, float]()
    for at, visit in enumerate(visits):
        begins[at] = max(visit.opens_h, whole_steps(book.now_h), reach.get(visit.bay, 0.0))
        reach[visit.bay] = begins[at] + whole_steps(visit.work_h)
    return begins
