"""Each candidate term can be put in: a comparison that breaks halfway says nothing for hours."""

from pathlib import Path

import numpy as np
import pytest

from tests.known_truth.candidate_terms import CANDIDATES
from tests.known_truth.exam import Exam, judge_fleet
from tests.known_truth.simulator import write
from tests.known_truth.small import small

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("term", sorted(CANDIDATES))
def test_a_fleet_is_judged_with_the_term_in_place(tmp_path: Path, term: str) -> None:
    fleet = small("dosed")
    with CANDIDATES[term]():
        judged = judge_fleet(fleet, write(fleet, tmp_path), Exam(1, (28,), "appraisal"))
    assert judged["judged"].all()
    assert np.isfinite(judged["risk"]).all()
