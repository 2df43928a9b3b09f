"""The worn share of each anode in service over the days ahead, and how surely it is known."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property

import numpy as np

from corrosion.common import Codes, Floats
from corrosion.forecast.crossing import chance_worn
from corrosion.life_model import bent_back, slope


@dataclass(frozen=True)
class Paths:
    """Worn share of each anode in service, over the days ahead.

    Attributes
    ----------
    lives : ndarray of int, shape (k,), place of each life in the filter
    mean, own_sd, shared_sd : ndarray, shape (k, d): expected worn share; its standard deviation
        on the anode's own account; and the part shared with the other anodes of the hull
    fleet_sd : ndarray, shape (k, d), the part of `shared_sd` that all hulls share: the fleet's
        parameters, and a season that strays
    clocks : ndarray, shape (k, 3), wear since the start by STATES, share of the allowance
    pace : ndarray, shape (k,), the anode's rate against the fleet's usual, and its sd
    pace_sd : ndarray, shape (k,)
    expected : ndarray, shape (k,), worn share that the fleet's usual anode would have
    wider : ndarray, shape (k,), how many times as wide the range of worn now is for want of entries
    used : ndarray, shape (k, d), part of the mean's rise that goes with the engine hours ahead
    use_sd : ndarray, shape (k, d), standard deviation of those hours, as their share
    growth : float, how much faster a spent anode wears: worn shares here are even shares of a life,
        1 at the limit all the same; `worn` and `worn_sd` bend them back
    """

    lives: Codes
    mean: Floats
    own_sd: Floats
    shared_sd: Floats
    fleet_sd: Floats
    clocks: Floats
    pace: Floats
    pace_sd: Floats
    expected: Floats
    wider: Floats
    used: Floats
    use_sd: Floats
    growth: float = 0.0

    @cached_property
    def sd(self) -> Floats:
        """Return the standard deviation of the worn share, shape (k, d)."""
        return np.sqrt(self.own_sd**2 + self.shared_sd**2)

    def rows(self, chosen: np.ndarray) -> Paths:
        """Return the paths of chosen anodes, by a mask of shape (k,)."""
        parts = [getattr(self, each.name) for each in fields(self)]
        return Paths(*(part[chosen] if isinstance(part, np.ndarray) else part for part in parts))

    def widened(self, factor: float) -> Paths:
        """Return the same paths, less surely known by so much."""
        if factor == 1.0:
            return self
        return replace(
            self, own_sd=self.own_sd * factor, shared_sd=self.shared_sd * factor,
            fleet_sd=self.fleet_sd * factor,
        )  # fmt: skip

    @property
    def worn(self) -> Floats:
        """Return the worn share as a caliper shows it, shape (k, d)."""
        return bent_back(self.mean, self.growth)

    @cached_property
    def worn_sd(self) -> Floats:
        """Return the standard deviation of the worn share as a caliper shows it, shape (k, d)."""
        if self.growth == 0:
            return self.sd
        return np.asarray(self.sd / slope(self.worn, self.growth))

    @cached_property
    def chance(self) -> Floats:
        """Return the chance that the limit is reached by each day, shape (k, d)."""
        return chance_worn(self.mean, self.sd)
