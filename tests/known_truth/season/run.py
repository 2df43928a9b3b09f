"""One policy worked through one season, and what came of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from tests.known_truth.season.rules import is_booked, mooring_of, placed, wanted
from tests.known_truth.season.worlds import OPEN, World
from tests.known_truth.season.yard import PullOut, Yard, inspection_days, open_yard

Policy = Callable[[Yard, int], list[PullOut]]
"""Given the yard and the day (since the fleet's start) of a Monday, the week's pull-outs."""


@dataclass(frozen=True)
class Outcome:
    """What a season brought.

    Attributes
    ----------
    pull_outs : int, hulls taken out
    past_days : float, anode-days past the limit
    replaced : int, new anodes fitted
    thrown_away : float, life left in the anodes taken out, in whole anodes
    late : int, anodes that went past their limit
    refused : int, pull-outs asked for that broke a capacity or a booking, and were not made
    """

    pull_outs: int
    past_days: float
    replaced: int
    thrown_away: float
    late: int
    refused: int


def by_rule(rule: str, threshold: float) -> Policy:
    """Return the policy of a rule of thumb at its threshold."""
    return partial(_rule_week, rule=rule, threshold=threshold)


def _rule_week(yard: Yard, monday: int, rule: str, threshold: float) -> list[PullOut]:
    return placed(yard.world, monday, wanted(yard, monday * 24.0, rule, threshold))


def nobody(yard: Yard, monday: int) -> list[PullOut]:
    """Pull nothing out."""
    return []


def work_through(world: World, policy: Policy) -> Outcome:
    """Go through the season Monday by Monday.

    Parameters
    ----------
    world : World
    policy : callable, asked each Monday at 00:00 for the week's pull-outs

    Returns
    -------
    Outcome
    """
    yard, looks = open_yard(world), inspection_days(world)
    for week in range(world.weeks):
        monday = int(world.first_h / 24) + 7 * week
        pulls = let_through(yard, policy(yard, monday), monday)
        for day in range(monday, monday + 7):
            _day(yard, day, [each for each in pulls if each.day == day], looks)
    yard.close()
    return _outcome(yard)


def _day(yard: Yard, day: int, pulls: list[PullOut], looks: dict[str, object]) -> None:
    out = {each.hull_id for each in pulls}
    for each in pulls:
        yard.pull(each)
    for hull_id, days in looks.items():
        if day in days and hull_id not in out:  # type: ignore[operator]
            yard.inspect(hull_id, day)


def let_through(yard: Yard, pulls: list[PullOut], monday: int) -> list[PullOut]:
    """Let through what keeps to the common rules; count the rest as refused."""
    world, taken, allowed = yard.world, {}, []
    for each in sorted(pulls, key=lambda pull_out: pull_out.day):
        bay = (mooring_of(world, each.hull_id, each.day), each.day)
        fits = each.day - monday in OPEN and taken.get(bay, 0) < world.hulls_per_day
        if fits and (each.freed or not is_booked(world, each.hull_id, each.day)):
            taken[bay] = taken.get(bay, 0) + 1
            allowed.append(each)
        else:
            yard.refused += 1
    return allowed


def _outcome(yard: Yard) -> Outcome:
    replaced = [each for each in yard.removed if each.replaced]
    return Outcome(
        pull_outs=len(yard.pull_outs),
        past_days=sum(each.past_days for each in yard.removed),
        replaced=len(replaced),
        thrown_away=sum(max(1.0 - each.worn, 0.0) for each in replaced),
        late=sum(each.past_days > 0 for each in yard.removed),
        refused=yard.refused,
    )
