"""Turnbull's estimate: the life curve of brackets, without a shape and without picking a moment.

Each life is known to lie in (low, high]. The estimate puts mass on the innermost intervals only
(Turnbull, J. Royal Statistical Society B 38, 1976); a watch that began late counts the lives that
it could not have seen as ghosts in (0, entry] (Frydman, ibid. 56, 1994). With exact lives it is
Kaplan-Meier.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]

_OPEN = 0.5  # "just after" a moment: half a rank above it, so that (1, 2] and (2, 3] do not meet
_LEAST = 1e-15
_TRIM_EVERY = 20


def turnbull(
    low: npt.ArrayLike,
    high: npt.ArrayLike,
    entry: npt.ArrayLike | None = None,
    tolerance: float = 1e-8,
    steps: int = 1_500,
) -> pd.DataFrame:
    """Nonparametric estimate of the distribution of lives from brackets (low, high].

    Parameters
    ----------
    low, high : array_like, shape (n,)
        Brackets, any unit of exposure; equal for an exact life, `high` infinite for a running one.
    entry : array_like, shape (n,), optional
        Exposure from which each life was watched; zero when left out.
    tolerance : float
        Log-likelihood at most this far below the top, by the bound of Lindsay (Annals of
        Statistics 11, 1983).
    steps : int
        Pairs of steps at most; 1,600 lives with no end in common are then within 0.001.

    Returns
    -------
    DataFrame
        One row an innermost interval: `after`, `to` (equal for an exact life), `share` (mass in
        it, adds up to 1), `sound` (share of lives that outlive it). Inside an interval the curve
        is not known. With late entry all is given that a life reaches the first entry.
    """
    first = np.asarray(low, dtype=np.float64)
    late = np.zeros_like(first) if entry is None else np.asarray(entry, dtype=np.float64)
    # a bracket cannot begin before its watch
    first, last = np.maximum(first, late), np.asarray(high, dtype=np.float64)
    moments = np.unique(np.concatenate([first, last, late]))
    ends = _ends(moments, first, last, late)
    left, right = _innermost(ends, late)
    spans = _spans(ends, left, right, late)
    share = _masses(spans, len(left), tolerance, steps)
    with_mass = share > 1e-12
    share = share[with_mass]
    after, to = (moments[np.floor(end[with_mass]).astype(np.intp)] for end in (left, right))
    sound = np.maximum(1.0 - np.cumsum(share), 0.0)
    return pd.DataFrame({"after": after, "to": to, "share": share, "sound": sound})


@dataclass(frozen=True)
class _Ends:
    """Ends of brackets and starts of watches, as ranks of their moments."""

    left: FloatArray
    right: FloatArray
    late: FloatArray


@dataclass(frozen=True)
class _Spans:
    """For each life: the intervals [begin, end) in its bracket, and the first ones, unseen."""

    begin: IntArray
    end: IntArray
    unseen: IntArray


def _ends(moments: FloatArray, low: FloatArray, high: FloatArray, late: FloatArray) -> _Ends:
    rank = np.searchsorted(moments, low).astype(np.float64)
    left = np.where(low == high, rank, rank + _OPEN)
    right, start = (np.searchsorted(moments, m).astype(np.float64) for m in (high, late))
    return _Ends(left, right, start)


def _innermost(ends: _Ends, late: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Intervals from a left end to a right end with no other end between."""
    lefts = np.unique(ends.left)
    rights = np.unique(np.append(ends.right, ends.late[late > 0.0]))
    both = np.concatenate([lefts, rights])
    is_right = np.repeat([False, True], [len(lefts), len(rights)])
    order = np.lexsort((is_right, both))  # at a tie the left end comes first: an exact life
    both, is_right = both[order], is_right[order]
    left_ends = np.flatnonzero(~is_right[:-1] & is_right[1:])
    return both[left_ends], both[left_ends + 1]


def _spans(ends: _Ends, left: FloatArray, right: FloatArray, late: FloatArray) -> _Spans:
    begin = np.searchsorted(left, ends.left, side="left")
    end = np.searchsorted(right, ends.right, side="right")
    # an interval that ends with or before the start of the watch could not be seen
    unseen = np.where(late > 0.0, np.searchsorted(right, ends.late, side="right"), 0)
    return _Spans(begin.astype(np.intp), end.astype(np.intp), unseen.astype(np.intp))


def _masses(spans: _Spans, count: int, tolerance: float, steps: int) -> FloatArray:
    """Masses by self-consistency, each pair of steps stretched along its line."""
    share = _step(spans, np.full(count, 1.0 / count))
    for number in range(steps):
        once = _step(spans, share)
        twice = _step(spans, once)
        if len(spans.begin) * (_pull(spans, twice).max() - 1.0) < tolerance:
            return twice
        far = _stretch(share, once, twice)
        share = far if _fit(spans, far) > _fit(spans, twice) else twice
        if number % _TRIM_EVERY == _TRIM_EVERY - 1:
            share = _trim(spans, share)
    return share


def _sums(spans: _Spans, share: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Mass in each life's bracket, and mass that its watch could have seen."""
    up_to = np.append(0.0, np.cumsum(share))
    seen = up_to[spans.end] - up_to[spans.begin]
    return np.maximum(seen, _LEAST), np.maximum(up_to[-1] - up_to[spans.unseen], _LEAST)


def _pull(spans: _Spans, share: FloatArray) -> FloatArray:
    """Lives per unit of mass that each interval would draw, ghosts counted in; zero unseen."""
    size = len(share) + 1
    seen, could_see = _sums(spans, share)
    total = np.sum(1.0 / could_see)
    lives = _running_sum(spans.begin, 1.0 / seen, size) - _running_sum(spans.end, 1.0 / seen, size)
    # what no bracket holds has no mass, whatever the rounding of the sums
    ones = np.ones(len(seen))
    held = _running_sum(spans.begin, ones, size) - _running_sum(spans.end, ones, size)
    ghosts = total - _running_sum(spans.unseen, 1.0 / could_see, size)
    pull = np.where(held > 0.5, lives + ghosts, 0.0)[:-1]
    return np.asarray(np.maximum(pull / total, 0.0))


def _running_sum(at: IntArray, weight: FloatArray, size: int) -> FloatArray:
    return np.asarray(np.cumsum(np.bincount(at, weight, size)), dtype=np.float64)


def _step(spans: _Spans, share: FloatArray) -> FloatArray:
    """One step of self-consistency: the share of lives expected in each interval."""
    moved = share * _pull(spans, share)
    return np.asarray(moved / moved.sum())


def _trim(spans: _Spans, share: FloatArray) -> FloatArray:
    """Empty the intervals that are on their way to nothing: alone they would take for ever."""
    trimmed = np.where((share < 1e-4) & (_pull(spans, share) < 0.999), 0.0, share)
    return np.asarray(trimmed / trimmed.sum())


def _stretch(start: FloatArray, once: FloatArray, twice: FloatArray) -> FloatArray:
    """Extrapolate two steps (Varadhan and Roland, Scandinavian J. Statistics 35, 2008)."""
    change = once - start
    bend = (twice - once) - change
    norms = float(np.linalg.norm(change)), max(float(np.linalg.norm(bend)), 1e-300)
    length = max(1.0, norms[0] / norms[1])
    far = np.maximum(start + 2.0 * length * change + length * length * bend, 0.1 * twice)
    return np.asarray(far / far.sum())


def _fit(spans: _Spans, share: FloatArray) -> float:
    """Log-likelihood of the masses."""
    seen, could_see = _sums(spans, share)
    return float(np.log(seen).sum() - np.log(could_see).sum())
