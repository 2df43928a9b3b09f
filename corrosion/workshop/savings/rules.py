"""Rules that say when a hull comes out: three rules of thumb, and the plan's own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from corrosion.common import Floats
from corrosion.life_model import straightened
from corrosion.workshop.decisions import age_replacement
from corrosion.workshop.savings.draws import LONGEST_LIFE_WEEKS, WEEK_DAYS, Flags, Season

HALF = 0.5
NEAR = 0.8
"""At a pull-out, a rule of thumb also does the neighbours that have come so far to its mark."""
DUE_WEEKS = 4
"""At a pull-out, the plan's rule also does the neighbours due within so many weeks."""
PLAN, CALENDAR, HOURS, AT_HALF = "the plan's rule", "calendar", "hours", "replace at half"


@dataclass(frozen=True)
class Seen:
    """What the yard knows on a Monday, each of shape (n, k).

    Attributes
    ----------
    age_days, age_h : days and engine hours since the anode was fitted
    read : worn share at the last reading; NaN without one since it was fitted
    belief_next, belief_next_sd : worn share as the forecast has it for a week from now
    belief_due, belief_due_sd : the same `DUE_WEEKS` from now
    """

    age_days: Floats
    age_h: Floats
    read: Floats
    belief_next: Floats
    belief_next_sd: Floats
    belief_due: Floats
    belief_due_sd: Floats


@dataclass(frozen=True)
class Rule:
    """A rule: how pressing each anode is, 1 where it asks for a pull-out, and who goes along.

    Attributes
    ----------
    name : str
    presses : callable, `Seen` to ndarray, shape (n, k)
    joins : callable, `Seen` to bool ndarray, shape (n, k): done when the hull is out anyway
    marks : ndarray, shape (k,), the rule's mark for each anode, in its own unit; empty without
    """

    name: str
    presses: Callable[[Seen], Floats]
    joins: Callable[[Seen], Flags]
    marks: Floats


def rules_of_thumb(season: Season, late_cost: Floats, planned_cost: Floats) -> list[Rule]:
    """Return the three rules of thumb, each at its best for this fleet.

    Calendar and hours: each position at the age at which replacing costs least by what the
    forecast says of lives (age replacement, the same age for the whole fleet). All three also
    take out what a reading shows at its limit.

    Parameters
    ----------
    season : Season
    late_cost, planned_cost : ndarray, shape (k,), costs of a late and of a timely replacement

    Returns
    -------
    list of Rule
    """
    days, hours = _best_ages(season, late_cost, planned_cost)
    half = float(straightened(np.array([HALF]), season.growth)[0])
    return [
        _by_mark(CALENDAR, lambda seen: seen.age_days, days),
        _by_mark(HOURS, lambda seen: seen.age_h, hours),
        _by_mark(AT_HALF, lambda seen: seen.read, np.full(days.size, half)),
    ]


def _by_mark(name: str, age: Callable[[Seen], Floats], marks: Floats) -> Rule:
    def presses(seen: Seen) -> Floats:
        worn_out = np.nan_to_num(seen.read, nan=0.0)
        return np.asarray(np.fmax(age(seen) / marks, worn_out))

    def joins(seen: Seen) -> Flags:
        return np.asarray(presses(seen) >= NEAR)

    return Rule(name, presses, joins, marks)


def plan_rule(season: Season, tolerated_risk: float) -> Rule:
    """Return the rule that the plan keeps to: out before the hull's risk is more than tolerated.

    Parameters
    ----------
    season : Season
    tolerated_risk : float, the fleet's own

    Returns
    -------
    Rule
    """

    def presses(seen: Seen) -> Floats:
        chance = np.minimum(_chance(seen.belief_next, seen.belief_next_sd), 1 - 1e-12)
        sound = np.add.reduceat(np.log1p(-chance), season.starts, axis=1)
        return np.asarray(-np.expm1(sound)[:, season.hull] / tolerated_risk)

    def joins(seen: Seen) -> Flags:
        return np.asarray(_chance(seen.belief_due, seen.belief_due_sd) >= tolerated_risk)

    return Rule(PLAN, presses, joins, np.zeros(0))


def _chance(mean: Floats, sd: Floats) -> Floats:
    return np.asarray(ndtr((mean - 1.0) / sd))


def _best_ages(season: Season, late_cost: Floats, planned_cost: Floats) -> tuple[Floats, Floats]:
    """Return the best age of each anode's position, in days and in engine hours, shape (k,)."""
    lives_days, lives_h = _lives(season)
    names = season.anodes["layout"].astype(str) + " " + season.anodes["position"].astype(str)
    days, hours = np.full(len(names), np.inf), np.full(len(names), np.inf)
    for name in names.unique():
        rows = (names == name).to_numpy(bool)
        late, planned = float(late_cost[rows].mean()), float(planned_cost[rows].mean())
        days[rows] = _best_age(lives_days[:, rows].ravel(), planned, late)
        hours[rows] = _best_age(lives_h[:, rows].ravel(), planned, late)
    return days, hours


def _best_age(lives: Floats, planned: float, late: float) -> float:
    lives = np.sort(lives)
    alive = (lives.size - np.arange(lives.size) - 0.5) / lives.size
    longest = float(lives[-1]) * 1.05
    # straight between the lives drawn: no jump for the search to fall over
    known = np.concatenate([[0.0], lives, [longest]])
    share = np.concatenate([[1.0], alive, [0.0]])
    return age_replacement(lambda age: np.interp(age, known, share), planned, late, longest).age


def _lives(season: Season) -> tuple[Floats, Floats]:
    """Lives of new anodes fitted now, in days and in engine hours, shape (n, k)."""
    worn = (season.worn - season.worn[:, :, :1]) * season.pace[:, :, :1]
    first = (worn >= 1.0).argmax(axis=2)
    reached = worn.max(axis=2) >= 1.0
    a_week = np.maximum(worn[:, :, -1] / season.weeks, 1.0 / LONGEST_LIFE_WEEKS)
    weeks = np.where(reached, first, season.weeks + (1.0 - worn[:, :, -1]).clip(min=0.0) / a_week)
    hours_a_week = season.hours[:, -1] / season.weeks
    return WEEK_DAYS * weeks, weeks * np.maximum(hours_a_week, 0.1)
