"""What is known of the wear to come, and what a reading on some day would teach of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import nnls

from corrosion.common import Floats

LEAST_SD = 1e-4
FITTED_UNTIL = 1.6
"""Spreads are taken apart up to this worn share; nothing hangs on an anode far past its limit."""


@dataclass(frozen=True)
class Courses:
    """The courses of k anodes over d days ahead, and how their spread hangs together.

    The variance of the worn share on a day is taken apart into what stays as it is (the state now),
    what grows as a walk (lumpy wear) and what grows as a slope (pace not known). A reading on one
    day tells of the others by what they have in common.

    Attributes
    ----------
    grid : ndarray, shape (d,), days ahead, 0 first
    worn, sd : ndarray, shape (k, d), expected worn share and its standard deviation
    error : ndarray, shape (k,), standard deviation of a reading, share of the allowance
    reach : ndarray, shape (k, d), wear since the last look, share of the allowance
    steady, walk, pace : ndarray, shape (k,), the three parts of the variance: as it is, for each
        share of wear, for each squared share of wear
    """

    grid: Floats
    worn: Floats
    sd: Floats
    error: Floats
    reach: Floats
    steady: Floats
    walk: Floats
    pace: Floats

    def taught(self, at: int) -> tuple[Floats, Floats]:
        """Say what a reading on a day of the grid teaches of every day.

        Parameters
        ----------
        at : int, place of the day in `grid`

        Returns
        -------
        (ndarray, ndarray), shape (k, d) each
            By how much the expected worn share moves for a reading one standard deviation above
            what was expected; the standard deviation that is left. Days before `at` included.
        """
        alike = self._covariance(at) / np.sqrt(
            np.maximum(self._variance()[:, [at]] * self._variance(), 1e-18)
        )
        alike = np.minimum(alike, 1.0)
        now = self.sd[:, [at]]
        moves = alike * self.sd * now / np.sqrt(now**2 + self.error[:, None] ** 2)
        left = np.sqrt(np.maximum(self.sd**2 - moves**2, LEAST_SD**2))
        return moves, left

    def _variance(self) -> Floats:
        return (
            self.steady[:, None]
            + self.walk[:, None] * self.reach
            + self.pace[:, None] * self.reach**2
        )

    def _covariance(self, at: int) -> Floats:
        then = self.reach[:, [at]]
        return (
            self.steady[:, None]
            + self.walk[:, None] * np.minimum(self.reach, then)
            + self.pace[:, None] * self.reach * then
        )


def lay_out_courses(
    grid: Floats, worn: Floats, sd: Floats, since_look: Floats, error: Floats
) -> Courses:
    """Take the spread of each course apart.

    Parameters
    ----------
    grid : ndarray, shape (d,), days ahead, 0 first
    worn, sd : ndarray, shape (k, d), never falling; as the forecast says them
    since_look : ndarray, shape (k,), wear since the last look, share of the allowance
    error : ndarray, shape (k,), standard deviation of a reading, share of the allowance

    Returns
    -------
    Courses
    """
    sd = np.maximum(sd, LEAST_SD)
    reach = np.maximum(since_look, 0.0)[:, None] + worn - worn[:, :1]
    parts = np.zeros((len(worn), 3))
    for row, (share, spread, grown) in enumerate(zip(worn, sd, reach, strict=True)):
        used = (share <= FITTED_UNTIL) | (grid <= grid[min(14, grid.size - 1)])
        # each day's variance counts by its own size, so that the near days are met as well
        scale = 1.0 / spread[used] ** 2
        near = grown[used]
        table = np.stack([np.ones(near.size), near, near**2], axis=1) * scale[:, None]
        parts[row] = nnls(table, np.ones(near.size))[0]
    return Courses(grid, worn, sd, error, reach, *parts.T)
