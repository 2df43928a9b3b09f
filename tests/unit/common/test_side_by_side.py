"""Work done side by side comes back in order, in the surroundings of who asked, or fails there."""

from __future__ import annotations

import numpy as np
import pytest

from corrosion.common import side_by_side


def test_results_stand_in_the_order_of_what_was_asked() -> None:
    assert side_by_side(lambda n: n * n, range(50)) == [n * n for n in range(50)]
    assert side_by_side(lambda n: n, []) == []


def test_who_asks_says_how_an_overflow_is_taken() -> None:
    with np.errstate(over="raise"), pytest.raises(FloatingPointError):
        side_by_side(lambda big: np.exp(np.array([big])), [1.0, 1e9])
    with np.errstate(over="ignore"):
        assert np.isinf(side_by_side(lambda big: np.exp(np.array([big])), [1.0, 1e9])[1][0])
