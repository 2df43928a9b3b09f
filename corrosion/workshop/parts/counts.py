"""How many parts it will take by each week: a distribution, from the forecast's own chances."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.fft import irfft, rfft
from scipy.special import ndtr

from corrosion.common import Floats
from corrosion.workshop.parts.habit import Habit

FLEET_NODES, HULL_NODES = 5, 5
MOST_EACH = 8
"""More than so many replacements of one place within the weeks looked at are not told apart."""
LEVEL_SD = 0.03
"""Worn share below which two anodes are not told apart: the habit itself is measured no finer."""
LONG = 24
"""Counts from which on a Fourier transform is quicker than adding up."""
SHORTEST_GAP_DAYS = 1.0  # several looks in one day open a place once
LOOKS_STRAY = 0.07
"""Share by which the fleet's looks stray from their habit."""


@dataclass(frozen=True)
class Course:
    """The way ahead of k anodes at w ends of weeks, and the shares of its spread.

    Attributes
    ----------
    worn : ndarray, shape (k, w), expected share of the allowance used up if nobody touches it;
        beyond 1 it goes on, and that is how later anodes in the same place are counted
    worn_now : ndarray, shape (k,), the same now
    own_sd, hull_sd, fleet_sd : ndarray, shape (k, w): on the anode's own account, shared by the
        anodes of its hull, and shared by all hulls
    seen_worn : ndarray, shape (k,), share at the last look; NaN without one
    hull : ndarray of int, shape (k,)
    """

    worn: Floats
    worn_now: Floats
    own_sd: Floats
    hull_sd: Floats
    fleet_sd: Floats
    seen_worn: Floats
    hull: NDArray[np.intp]

    def only(self, rows: NDArray[np.bool_]) -> Course:
        """Return some of the anodes."""
        return Course(*(getattr(self, field.name)[rows] for field in fields(self)))


@dataclass(frozen=True)
class Counted:
    """Distribution of a count by the end of each week, given the fleet-wide luck.

    Attributes
    ----------
    given : ndarray, shape (w, f, n): chance of 0, 1, ... by each week at each node of the luck
        that all hulls share
    """

    given: Floats

    @property
    def chance(self) -> Floats:
        """Return the chance of 0, 1, ... by the end of each week, shape (w, n)."""
        _, weights = _nodes(FLEET_NODES)
        return np.asarray(np.einsum("wfn,f->wn", self.given, weights))

    def expected(self) -> Floats:
        """Return the expected count by the end of each week, shape (w,)."""
        chance = self.chance
        return np.asarray(chance @ np.arange(chance.shape[1]))

    def quantile(self, week: int, share: float) -> int:
        """Return the least number that suffices by the end of a week (from 1) with a chance."""
        reached = np.cumsum(self.chance[week - 1])
        reached[-1] = max(float(reached[-1]), 1.0)
        return int(np.searchsorted(reached, share - 1e-12))

    def __add__(self, other: Counted) -> Counted:
        """Add a count of other anodes, which share nothing but the fleet-wide luck."""
        return Counted(_convolved(self.given, other.given))


def count_by(course: Course, habit: Habit, group: pd.Series) -> dict[object, Counted]:
    """Count replacements by group of anodes.

    An anode is replaced when its worn share reaches a level drawn from the habit (above what its
    last look showed, for it was left in then); the one fitted next, when the wear since has
    reached the habit's usual level, and so on. Given what the hull and the fleet share, anodes
    are independent, so a hull's count is Poisson-binomial (several replacements of one place
    included); hulls are added up given what the fleet shares, and then that is averaged over.

    Parameters
    ----------
    course : Course
    habit : Habit
    group : Series, shape (k,), what each anode is counted under

    Returns
    -------
    dict of group to Counted
    """
    names = group.to_numpy(object)
    # one group at a time: a fleet of thousands does not fit all at once
    each = {name: course.only(names == name) for name in pd.unique(names)}
    return {name: _summed(_at_least(part, habit), part.hull) for name, part in each.items()}


def count_visits(course: Course, gap_days: Floats, group: pd.Series) -> dict[object, Counted]:
    """Count looks at anodes by group: one every `gap_days`, from an unknown day on.

    The anodes of one hull and group are looked at together; the fleet as a whole strays from its
    habit by `LOOKS_STRAY`.

    Parameters
    ----------
    course : Course
        Only its hulls and its number of weeks.
    gap_days : ndarray, shape (k,), days between looks
    group : Series, shape (k,)

    Returns
    -------
    dict of group to Counted
    """
    names, nodes = group.to_numpy(object), _nodes(FLEET_NODES)[0]
    days = 7.0 * (1.0 + np.arange(course.worn.shape[1]))
    made: dict[object, Counted] = {}
    for name in pd.unique(names):
        by_hull = []
        for code in np.unique(course.hull[names == name]):
            own = (names == name) & (course.hull == code)
            gap = np.maximum(gap_days[own].mean(), SHORTEST_GAP_DAYS)
            looks = days[:, None] / gap * np.exp(LOOKS_STRAY * nodes)
            by_hull.append(_whole(looks, int(own.sum())))
        made[name] = Counted(_all_convolved(by_hull))
    return made


def _whole(looks: Floats, anodes: int) -> Floats:
    """Chance of each whole number of looks, where `looks` are expected; each opens all anodes."""
    full, part = np.floor(looks).astype(int), looks % 1.0
    chance = np.zeros((*looks.shape, anodes * (int(full.max()) + 1) + 1))
    np.put_along_axis(chance, anodes * full[..., None], 1.0 - part[..., None], axis=-1)
    np.put_along_axis(chance, anodes * (full[..., None] + 1), part[..., None], axis=-1)
    return chance


@cache
def _nodes(count: int) -> tuple[Floats, Floats]:
    nodes, weights = np.polynomial.hermite_e.hermegauss(count)
    return nodes, weights / weights.sum()


def _at_least(course: Course, habit: Habit) -> Floats:
    """Chance of at least 1, 2, ... replacements, shape (k, w, f, h, n); never falling by week."""
    fleet, hull = _nodes(FLEET_NODES)[0], _nodes(HULL_NODES)[0]
    worn = (
        course.worn[:, :, None, None]
        + course.fleet_sd[:, :, None, None] * fleet[:, None]
        + course.hull_sd[:, :, None, None] * hull
    )
    level, likely = _first_levels(course, habit)
    spread = float(habit.replaced_at.std())
    reach = np.ceil(worn.max(axis=(1, 2, 3)) / max(habit.usual, 0.1)) + 1
    most = np.clip(reach, 1, MOST_EACH).astype(np.intp)
    chance = np.zeros((*worn.shape, int(most.max(initial=1))))
    for nth in range(chance.shape[-1]):
        rows = most > nth  # slow anodes are spared the count of what they never come to
        sd = np.sqrt(course.own_sd[rows] ** 2 + LEVEL_SD**2 + nth * spread**2)[:, :, None, None]
        for node in range(level.shape[1]):
            # what an anode has worn by now is gone with it, however far past its level it is
            first = level[rows, node]
            since = first if nth == 0 else np.maximum(first, course.worn_now[rows])
            until = (since + nth * habit.usual)[:, None, None, None]
            reached = ndtr((worn[rows] - until) / sd)
            chance[rows, ..., nth] += likely[rows, node, None, None, None] * reached
    return np.asarray(np.maximum.accumulate(chance, axis=1))


def _first_levels(course: Course, habit: Habit) -> tuple[Floats, Floats]:
    """Levels at which the anode now in service is replaced, and how likely each is, (k, q).

    One that its last look showed beyond every level is replaced at the next visit.
    """
    seen = np.nan_to_num(course.seen_worn, nan=-np.inf)
    level = np.repeat(habit.replaced_at[None, :], seen.size, axis=0)
    likely = (level > seen[:, None]).astype(float)
    beyond = likely.sum(axis=1) == 0
    level[beyond], likely[beyond] = -np.inf, 1.0
    return level, likely / likely.sum(axis=1, keepdims=True)


def _summed(at_least: Floats, hull: NDArray[np.intp]) -> Counted:
    """Add anodes up: within each hull given its luck, then hulls given the fleet's."""
    _, weights = _nodes(HULL_NODES)
    exactly = _exactly(at_least)
    by_hull = []
    for code in np.unique(hull):
        own = exactly[hull == code]
        together = own[0]
        for more in own[1:]:
            together = _convolved(together, more)
        by_hull.append(np.einsum("wfhn,h->wfn", together, weights))
    return Counted(_all_convolved(by_hull))


def _exactly(at_least: Floats) -> Floats:
    """Turn chances of at least 1, 2, ... into chances of 0, 1, 2, ... along the last axis."""
    ends = np.zeros_like(at_least[..., :1])
    reached = np.concatenate([ends + 1.0, at_least, ends], axis=-1)
    return np.asarray(np.maximum(reached[..., :-1] - reached[..., 1:], 0.0))


def _all_convolved(parts: list[Floats]) -> Floats:
    # in pairs, so that the long ones are multiplied last
    while len(parts) > 1:
        odd = parts[-1:] if len(parts) % 2 else []
        pairs = zip(parts[0::2], parts[1::2], strict=False)
        parts = [_convolved(one, other) for one, other in pairs] + odd
    return _trimmed(parts[0])


def _convolved(one: Floats, other: Floats) -> Floats:
    """Distribution of a sum, along the last axis, at every week and node at once."""
    if one.shape[-1] < other.shape[-1]:
        one, other = other, one
    size = one.shape[-1] + other.shape[-1] - 1
    if other.shape[-1] > LONG:
        product = rfft(one, size) * rfft(other, size)
        return _trimmed(np.maximum(irfft(product, size), 0.0))
    made = np.zeros((*one.shape[:-1], size))
    for pieces in range(other.shape[-1]):
        made[..., pieces : pieces + one.shape[-1]] += one * other[..., pieces : pieces + 1]
    return _trimmed(made)


def _trimmed(chance: Floats) -> Floats:
    """Cut the end where no count has a chance worth a digit."""
    worth = np.flatnonzero(chance.reshape(-1, chance.shape[-1]).max(axis=0) > 1e-13)
    return chance[..., : int(worth[-1]) + 1] if worth.size else chance[..., :1]
