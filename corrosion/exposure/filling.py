"""Use that was probably made and not yet written down, kept apart from what the logs say."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from corrosion.common import HOURS_A_DAY, Codes, Floats
from corrosion.exposure.exposure_totals import Hours


@dataclass(frozen=True)
class Filling:
    """What is expected of the days on which entries are missing.

    Attributes
    ----------
    on_h : float, hours since 1970, the moment of the report, which ends the last day
    until_h : ndarray, shape (hulls,), the moment up to which each hull's use is known
    chance : ndarray, shape (hulls,), that entries are missing: 1 late for sure, 0 up to date
    engine_h : ndarray, shape (hulls, d), expected engine hours not written down, the last day last
    unknown : ndarray of bool, shape (hulls, d), days that tell nothing of the hull's habit
    spread : ndarray, shape (hulls,), standard deviation of those hours, as their share
    hours : Hours of shape (hulls, d + 1, ...), running totals, 0 first
    """

    on_h: float
    until_h: Floats
    chance: Floats
    engine_h: Floats
    unknown: np.ndarray
    spread: Floats
    hours: Hours

    @property
    def days(self) -> int:
        """Return how many days are filled."""
        return int(self.engine_h.shape[1])

    def until(self, hull: Codes, at_h: Floats) -> Hours:
        """Return running totals of what was filled, shape (n, ...); unknown moments get none."""
        filled_days = np.clip(self.days - (self.on_h - at_h) / HOURS_A_DAY, 0.0, self.days)
        filled_days = np.where(np.isnan(filled_days), 0.0, filled_days)
        low = np.minimum(np.floor(filled_days).astype(np.intp), self.days - 1)
        return Hours(
            *(
                _between(part, hull, low, filled_days - low)
                for part in (
                    *(self.hours.plain, self.hours.plain_warm),
                    *(self.hours.drying, self.hours.drying_warm),
                )
            )
        )

    def engine_between(self, hull: Codes, from_h: Floats, to_h: Floats) -> Floats:
        """Return the filled engine hours between two moments, shape (n,)."""
        totals = np.pad(np.cumsum(self.engine_h, axis=1), ((0, 0), (1, 0)))
        ends = []
        for at_h in (from_h, to_h):
            filled_days = np.clip(self.days - (self.on_h - at_h) / HOURS_A_DAY, 0.0, self.days)
            low = np.minimum(np.floor(filled_days).astype(np.intp), self.days - 1)
            ends.append(_between(totals, hull, low, filled_days - low))
        return np.asarray(ends[1] - ends[0])


def _between(part: Floats, hull: Codes, low: Codes, share: Floats) -> Floats:
    weight = share.reshape(-1, *[1] * (part.ndim - 2))
    return np.asarray(part[hull, low] * (1 - weight) + part[hull, low + 1] * weight)
