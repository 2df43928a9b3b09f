"""The oracles of lumpy wear know what is to be known, and no more."""

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from tests.known_truth.lumpy import _chance, asked, skill
from tests.known_truth.small import small


def test_the_chance_is_that_of_gamma_increments() -> None:
    # mean 0.3, variance 0.01 x 0.3
    expected = stats.gamma.sf(0.4, 0.3 / 0.01, scale=0.01)
    assert _chance(0.4, 0.3, 0.01) == pytest.approx(expected)
    assert _chance([-0.1, 0.0], 0.3, 0.01).tolist() == [1.0, 1.0]
    assert _chance(0.4, 0.0, 0.01) == 0.0


def test_who_sees_more_is_more_skilled_and_both_beat_the_average() -> None:
    table = asked(small("gamma"), 3, 28)
    assert table["crossed"].any()
    every, looks = (skill(table[name], table["crossed"]) for name in ("sees_all", "sees_looks"))
    assert 0 < looks < every < 1
    assert skill(pd.Series(np.full(len(table), table["crossed"].mean())), table["crossed"]) == 0
