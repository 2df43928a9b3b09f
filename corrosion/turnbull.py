"""Turnbull's estimate: the life curve of brackets, without a shape and without picking a moment.

Each life is known to lie in (low, high]. The estimate puts mass on the innermost intervals only
(Turnbull, J. Royal Statistical Society B 38, 1976); a watch that began late counts the lives that
it could not have seen as ghosts in (0, entry] (Frydman, ibid. 56, 1994). With exact lives it is
Kaplan-Meier.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]

_OPEN = 0.5  # "just after" a moment: half a rank above it, so that (1, 2] and (2, 3] do not meet


def turnbull(
    low: npt.ArrayLike,
    high: npt.ArrayLike,
    entry: npt.ArrayLike | None = None,
    tolerance: float = 1e-10,
    steps: int = 20_000,
) -> pd.DataFrame:
    """Nonparametric estimate of the distribution of lives from brackets (low, high].

    Parameters
    ----------
    low, high : array_like, shape (n,)
        Brackets, any unit of exposure; equal for an exact life, `high` infinite for a running one.
    entry : array_like, shape (n,), optional
        Exposure from which each life was watched; zero when left out.
    tolerance : float
        Largest change of any mass in the last step.
    steps : int
        Steps at most.

    Returns
    -------
    DataFrame
        One row an innermost interval: `after`, `to` (equal for an exact life), `share` (mass in
        it, adds up to 1), `sound` (share of lives that outlive it). Inside an interval the curve
        is not known. With late entry all is given that a life reaches the first entry.
    """
    bounds = _ranked(low, high, entry)
    left, right = _innermost(bounds.left, bounds.right, bounds.late)
    seen = (bounds.left[:, None] <= left) & (right <= bounds.right[:, None])
    held = seen.any(axis=0)
    could_see = left[held] > bounds.late[:, None]
    share = _masses(seen[:, held], could_see, tolerance, steps)
    after, to = bounds.moment(left[held]), bounds.moment(right[held])
    sound = np.maximum(1.0 - np.cumsum(share), 0.0)
    table = pd.DataFrame({"after": after, "to": to, "share": share, "sound": sound})
    return table[table["share"] > 1e-12].reset_index(drop=True)


class _Ranked:
    """Brackets as ranks of their moments, open left ends half a rank up."""

    def __init__(self, low: FloatArray, high: FloatArray, entry: FloatArray) -> None:
        self.moments = np.unique(np.concatenate([low, high, entry]))
        rank = np.searchsorted(self.moments, low).astype(np.float64)
        self.left = np.where(low == high, rank, rank + _OPEN)
        self.right = np.searchsorted(self.moments, high).astype(np.float64)
        self.late = np.searchsorted(self.moments, entry).astype(np.float64)

    def moment(self, position: FloatArray) -> FloatArray:
        return np.asarray(self.moments[np.floor(position).astype(np.intp)])


def _ranked(low: npt.ArrayLike, high: npt.ArrayLike, entry: npt.ArrayLike | None) -> _Ranked:
    first = np.asarray(low, dtype=np.float64)
    late = np.zeros_like(first) if entry is None else np.asarray(entry, dtype=np.float64)
    # a bracket cannot begin before its watch; the ranks need a moment zero even if none is given
    return _Ranked(np.maximum(first, late), np.asarray(high, dtype=np.float64), late)


def _innermost(
    left: FloatArray, right: FloatArray, late: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Intervals from a left end to a right end with no other end between."""
    ghosts = np.unique(late[late > late.min()])
    lefts, rights = np.unique(left), np.unique(np.append(right, ghosts))
    ends = np.concatenate([lefts, rights])
    is_right = np.repeat([False, True], [len(lefts), len(rights)])
    order = np.lexsort((is_right, ends))  # at a tie the left end comes first: an exact life
    ends, is_right = ends[order], is_right[order]
    found = np.flatnonzero(~is_right[:-1] & is_right[1:])
    return ends[found], ends[found + 1]


def _masses(seen: BoolArray, could_see: BoolArray, tolerance: float, steps: int) -> FloatArray:
    """Masses by self-consistency, each pair of steps stretched along its line."""
    a, b = seen.astype(np.float64), could_see.astype(np.float64)
    share = np.full(a.shape[1], 1.0 / a.shape[1])
    for _ in range(steps):
        once = _step(share, a, b)
        twice = _step(once, a, b)
        if np.abs(twice - once).max() < tolerance:
            return twice
        far = _stretch(share, once, twice)
        share = far if _fit(far, a, b) > _fit(twice, a, b) else twice
    return share


def _step(share: FloatArray, a: FloatArray, b: FloatArray) -> FloatArray:
    """One step of self-consistency: expected lives in each interval, ghosts counted in."""
    expected = share * (a / (a @ share)[:, None]).sum(axis=0)
    chance_seen = b @ share
    expected += share * ((1.0 - b) / chance_seen[:, None]).sum(axis=0)
    return np.asarray(expected / expected.sum())


def _stretch(start: FloatArray, once: FloatArray, twice: FloatArray) -> FloatArray:
    """Extrapolate two steps (Varadhan and Roland, Scandinavian J. Statistics 35, 2008)."""
    change = once - start
    bend = (twice - once) - change
    norms = float(np.linalg.norm(change)), max(float(np.linalg.norm(bend)), 1e-300)
    length = max(1.0, norms[0] / norms[1])
    far = np.maximum(start + 2.0 * length * change + length * length * bend, 1e-300)
    return np.asarray(far / far.sum())


def _fit(share: FloatArray, a: FloatArray, b: FloatArray) -> float:
    """Log-likelihood of the masses."""
    seen, could_see = np.maximum(a @ share, 1e-300), np.maximum(b @ share, 1e-300)
    return float(np.log(seen).sum() - np.log(could_see).sum())
