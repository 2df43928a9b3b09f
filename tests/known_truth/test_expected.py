"""As many anodes wear out as was expected, on coarse readings and in a warm autumn.

Bounds are this project's own: 0.9 to 1.1 at 28 days. Fleets are drawn by fixed seeds, so a run is
repeatable; three fleets of a kind pooled have an interval of about 0.05 either way.
"""

from __future__ import annotations

import pandas as pd
import pytest

from tests.known_truth.exam import Exam, examine
from tests.known_truth.scores import score

pytestmark = pytest.mark.slow

SEEDS = (6, 7, 8)


@pytest.mark.parametrize("kind", ["coarse", "warm_autumn"])
def test_expected_over_observed_is_near_one(kind):
    exam = Exam(4, (28,), "appraisal")
    judged = pd.concat([examine(kind, seed, exam) for seed in SEEDS], ignore_index=True)
    assert 0.9 <= score(judged)["expected_over_observed"] <= 1.1
