"""Clocks: running totals of hours over stretches of time, asked at any moment.

A clock is piecewise linear (or drying) in time, so the hours between any two moments are two
look-ups, whatever the number of outings in between.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from corrosion.common import Codes, Floats

SPAN = 4.0e6


def hull_key(hull: Codes, at_h: Floats) -> Floats:
    """Return one sortable number for a hull code and a moment; unknown moments sort last."""
    return np.asarray(hull * SPAN + np.where(np.isnan(at_h), SPAN / 2, at_h))


@dataclass(frozen=True)
class Stretches:
    """Stretches of time of many hulls, sorted by hull and start, that do not overlap.

    Attributes
    ----------
    hull : ndarray of int, shape (s,), hull codes
    start_h, stop_h : ndarray, shape (s,), hours since 1970
    """

    hull: Codes
    start_h: Floats
    stop_h: Floats

    @cached_property
    def _key(self) -> Floats:
        return hull_key(self.hull, self.start_h)

    def last_before(self, hull: Codes, at_h: Floats) -> tuple[Codes, Floats, np.ndarray]:
        """Return for each moment the last stretch begun, the moment clipped into it, whose it is.

        The index is -1 before the very first stretch; a stretch of an earlier hull counts as
        run to its end, and is told by the last of the three, whether the stretch is the hull's own.
        """
        place = np.searchsorted(self._key, hull_key(hull, at_h), side="right")
        index = place.astype(np.intp) - 1
        if self.hull.size == 0:
            return index, at_h, np.zeros(hull.size, dtype=bool)
        same = (self.hull[index] == hull) & (index >= 0)
        inside = np.clip(at_h, self.start_h[index], self.stop_h[index])
        within = np.where(same, inside, self.stop_h[index])
        return index, within, same


@dataclass(frozen=True)
class RunningTotal:
    """One cell of the exposure: a state, a water, a mooring, and its running total.

    `gained(i, t)` says what stretch i has gathered by the moment t, which lies inside it: hours
    and degree hours, each of shape (n,) or (n, grid). `before` are the totals
    before each stretch, and before none that is left: one row more than there are stretches.
    """

    state: str
    water: str
    mooring_id: str
    stretches: Stretches
    gained: Callable[[Codes, Floats], tuple[Floats, Floats]]
    before: tuple[Floats, Floats]

    def total(self, hull: Codes, at_h: Floats) -> tuple[Floats, Floats]:
        """Return hours and degree hours since a fixed moment per hull; only differences mean."""
        index, within, own = self.stretches.last_before(hull, at_h)
        hours, warm = (total[index + 1] for total in self.before)
        # most hulls spent no hour here: only what a stretch of their own gathered is worked out
        own_at = np.flatnonzero(own)
        begun = index[own_at]
        gained = self.gained(begun, within[own_at])
        hours[own_at], warm[own_at] = (
            b[begun] + g for b, g in zip(self.before, gained, strict=True)
        )
        return hours, warm


@dataclass(frozen=True)
class Hours:
    """Hours in each cell, and the same weighted by degrees above 15 C.

    Attributes
    ----------
    plain, plain_warm : ndarray, shape (n, running and afloat cells), hours, degree hours
    drying, drying_warm : ndarray, shape (n, unflushed cells, len(DRYING_GRID_H)), effective hours
    """

    plain: Floats
    plain_warm: Floats
    drying: Floats
    drying_warm: Floats

    def __sub__(self, other: Hours) -> Hours:
        """Return the hours between two moments."""
        return Hours(
            self.plain - other.plain,
            self.plain_warm - other.plain_warm,
            self.drying - other.drying,
            self.drying_warm - other.drying_warm,
        )

    def __add__(self, other: Hours) -> Hours:
        """Return the hours of two together."""
        return Hours(
            self.plain + other.plain,
            self.plain_warm + other.plain_warm,
            self.drying + other.drying,
            self.drying_warm + other.drying_warm,
        )

    def rows(self, index: Codes) -> Hours:
        """Return chosen rows."""
        return Hours(
            self.plain[index], self.plain_warm[index], self.drying[index], self.drying_warm[index]
        )


def running_total(
    state: str,
    water: str,
    mooring_id: str,
    stretches: Stretches,
    gained: Callable[[Codes, Floats], tuple[Floats, Floats]],
) -> RunningTotal:
    """Return a clock whose totals are summed over its stretches.

    Parameters
    ----------
    state, water, mooring_id : str
    stretches : Stretches
    gained : what a stretch has gathered by a moment inside it

    Returns
    -------
    RunningTotal
    """
    whole = gained(np.arange(stretches.hull.size), stretches.stop_h)
    before = (_running_sum(whole[0]), _running_sum(whole[1]))
    return RunningTotal(state, water, mooring_id, stretches, gained, before)


def _running_sum(part: Floats) -> Floats:
    total = np.zeros((part.shape[0] + 1, *part.shape[1:]))
    np.cumsum(part, axis=0, out=total[1:])
    return total
