"""Rules of thumb, and the Monday on which the yard makes a week of what they ask for.

A rule gives each place a number that grows as its anode ages: days in service, engine hours, or
the worn share that its last reading showed. It asks for a pull-out where that reaches the rule's
own threshold; a calendar or an hour meter does not keep a yard from pulling out what a reading
showed at its limit. At the same pull-out, neighbours on the hull that have come to `NEAR` of the
threshold are done too, as a sensible yard does. The common booking rules then find the day.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tests.known_truth.season.worlds import OPEN, World
from tests.known_truth.season.yard import PullOut, Yard
from tests.known_truth.simulator.physics import Floats
from tests.known_truth.simulator.use import berth_at

NEAR = 0.8
Ages = Callable[[Yard, float], Floats]


@dataclass(frozen=True)
class Wanted:
    """A hull that a rule wants out, with the positions to replace; larger `press` goes first."""

    hull_id: str
    replace: tuple[str, ...]
    press: float


def days_in_service(yard: Yard, now_h: float) -> Floats:
    """Days since each anode was fitted."""
    return np.array([(now_h - anode.fitted_h) / 24.0 for anode in yard.anodes])


def engine_hours(yard: Yard, now_h: float) -> Floats:
    """Engine hours that each hull has run since the anode was fitted."""
    fleet = yard.world.fleet
    run = {
        hull.hull_id: (use.end_h, np.cumsum(use.engine_h))
        for hull, use in zip(fleet.hulls, fleet.uses, strict=True)
    }
    return np.array(
        [
            _hours(run[place.hull.hull_id], anode.fitted_h, now_h)
            for place, anode in zip(yard.places, yard.anodes, strict=True)
        ]
    )


def _hours(run: tuple[Floats, Floats], from_h: float, to_h: float) -> float:
    ended, total = run
    upto = np.searchsorted(ended, [from_h, to_h])
    total = np.concatenate([[0.0], total])
    return float(total[upto[1]] - total[upto[0]])


def share_read(yard: Yard, now_h: float) -> Floats:
    """Worn share that the last reading of each anode showed; nothing read counts as new."""
    return np.nan_to_num(np.array(yard.last_share), nan=0.0)


RULES: dict[str, Ages] = {
    "calendar": days_in_service,
    "hours": engine_hours,
    "reading": share_read,
}
CUSTOMARY = {"calendar": 90.0, "hours": 100.0, "reading": 0.5}
"""Every season's quarter, every hundred hours, at half: common practice, no source."""


def wanted(yard: Yard, now_h: float, rule: str, threshold: float) -> list[Wanted]:
    """List the hulls that a rule wants out, the most pressing first."""
    press = RULES[rule](yard, now_h) / threshold
    if rule != "reading":
        press = np.maximum(press, share_read(yard, now_h))
    wishes = []
    for hull_id, places in yard.by_hull.items():
        most = float(press[places].max())
        if most >= 1.0:
            near = [yard.places[at].position.position for at in places if press[at] >= NEAR]
            wishes.append(Wanted(hull_id, tuple(near), most))
    return sorted(wishes, key=lambda each: (-each.press, each.hull_id))


def placed(world: World, week_day: int, wishes: list[Wanted]) -> list[PullOut]:
    """Give each hull wanted the first open, free day of the week on which nobody has booked it.

    Parameters
    ----------
    world : World
    week_day : int, days since the fleet's start of the week's Monday
    asked : list of Wanted, in order; who finds no day waits for the next Monday

    Returns
    -------
    list of PullOut
    """
    taken: dict[tuple[int, int], int] = {}
    made = []
    for each in wishes:
        for day in [week_day + number for number in OPEN]:
            bay = (mooring_of(world, each.hull_id, day), day)
            if taken.get(bay, 0) < world.hulls_per_day and not is_booked(world, each.hull_id, day):
                taken[bay] = taken.get(bay, 0) + 1
                made.append(PullOut(day, each.hull_id, each.replace))
                break
    return sorted(made, key=lambda pull_out: (pull_out.day, pull_out.hull_id))


def mooring_of(world: World, hull_id: str, day: int) -> int:
    """Return the number of the mooring where the hull lies in the morning of a day."""
    hull = next(each for each in world.fleet.hulls if each.hull_id == hull_id)
    return hull.berths[int(berth_at(hull, np.array([day * 24.0 + 7.0]))[0])].mooring


def is_booked(world: World, hull_id: str, day: int) -> bool:
    """Tell whether a hire that stands in the book on the Monday touches the hull's day."""
    fleet = world.fleet
    at = next(n for n, each in enumerate(fleet.hulls) if each.hull_id == hull_id)
    use, monday_h = fleet.uses[at], 24.0 * (day - (day - int(world.first_h / 24)) % 7)
    known = use.booking_taken_h <= monday_h
    touches = (use.booking_start_h < 24.0 * (day + 1)) & (use.booking_end_h > 24.0 * day)
    return bool((known & touches).any())
