"""Clocks: running totals of hours over stretches of time, asked at any moment.

A clock is piecewise linear (or drying) in time, so the hours between any two moments are two
look-ups, whatever the number of outings in between.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

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

    def last_before(self, hull: Codes, at_h: Floats) -> tuple[Codes, Floats]:
        """Return for each moment the last stretch begun, and the moment clipped into it.

        The index is -1 before the very first stretch; a stretch of an earlier hull counts as
        run to its end.
        """
        place = np.searchsorted(
            hull_key(self.hull, self.start_h), hull_key(hull, at_h), side="right"
        )
        index = place.astype(np.intp) - 1
        if self.hull.size == 0:
            return index, at_h
        same = self.hull[index] == hull
        inside = np.clip(at_h, self.start_h[index], self.stop_h[index])
        within = np.where(same, inside, self.stop_h[index])
        return index, within


@dataclass(frozen=True)
class RunningTotal:
    """One cell of the exposure: a state, a water, a mooring, and its running total.

    `gained(i, t)` says what stretch i has gathered by the moment t, which lies inside it: hours
    and degree hours, each of shape (n,) or (n, grid).
    """

    state: str
    water: str
    mooring_id: str
    stretches: Stretches
    gained: Callable[[Codes, Floats], tuple[Floats, Floats]]
    before: tuple[Floats, Floats]

    def total(self, hull: Codes, at_h: Floats) -> tuple[Floats, Floats]:
        """Return hours and degree hours since a fixed moment per hull; only differences mean."""
        index, within = self.stretches.last_before(hull, at_h)
        if self.stretches.hull.size == 0:
            shape = (hull.size, *self.before[0].shape[1:])
            return np.zeros(shape), np.zeros(shape)
        hours, warm = self.gained(index, within)
        started = (index >= 0).reshape(-1, *[1] * (hours.ndim - 1))
        return (
            np.where(started, self.before[0][index] + hours, 0.0),
            np.where(started, self.before[1][index] + warm, 0.0),
        )


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
    return RunningTotal(state, water, mooring_id, stretches, gained, _running_sums(whole))


def _running_sums(parts: tuple[Floats, Floats]) -> tuple[Floats, Floats]:
    first, second = (np.cumsum(p, axis=0) - p for p in parts)
    return first, second
