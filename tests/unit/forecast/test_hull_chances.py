"""The chance that any anode of a hull is worn, against the integral taken in small steps."""

import numpy as np
import pytest
from scipy.special import ndtr

from corrosion.forecast.wear_paths import Paths
from corrosion.forecast.wear_projection import hull_chances


def test_a_hulls_chance_is_the_integral_over_what_its_anodes_share() -> None:
    rng = np.random.default_rng(3)
    shape, hull = (23, 6), np.sort(rng.integers(0, 5, 23)) * 2
    mean = np.cumsum(rng.uniform(0, 0.5, shape), axis=1)
    own, shared = rng.uniform(0.05, 0.3, shape), rng.uniform(0.02, 0.15, shape)
    nothing, one = np.zeros(shape), np.ones(23)
    path = Paths(
        np.arange(23), mean, own, shared, nothing, np.zeros((23, 3)), one, one, one, one,
        nothing, nothing,
    )  # fmt: skip
    hulls = np.unique(hull)
    chance = hull_chances(path, hull, hulls)
    steps, width = np.linspace(-9, 9, 4001, retstep=True)
    for row, code in enumerate(hulls):
        mine = hull == code
        far = (1 - mean[mine][..., None] - shared[mine][..., None] * steps) / own[mine][..., None]
        none_worn = (np.prod(ndtr(far), axis=0) * np.exp(-(steps**2) / 2)).sum(axis=1)
        by_day = np.maximum.accumulate(1 - none_worn * width / np.sqrt(2 * np.pi))
        assert chance[row] == pytest.approx(5e-4 + (1 - 1e-3) * by_day, abs=2e-4)
