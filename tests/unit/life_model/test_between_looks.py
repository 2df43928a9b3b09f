"""The path through the looks is that of a normal law conditioned on all of them."""

import numpy as np
import pytest

from corrosion.common import hours_since_epoch
from corrosion.life_model.between_looks import smoothed
from corrosion.reports import dossier
from tests.demo import appraised_demo

pytestmark = pytest.mark.slow


def test_smoothing_is_conditioning_of_the_joint_normal_law() -> None:
    rng = np.random.default_rng(7)
    n, start = 12, 0.3
    drift, error = rng.uniform(0.01, 0.2, n), rng.uniform(0.05, 0.4, n)
    seen = np.zeros(n, bool)
    seen[[1, 4, 5, 9]] = True
    looks = np.where(seen, rng.normal(size=n), np.nan)[None, :]
    state, variance = smoothed(looks, error, drift, start)
    # the walk's covariance is what two moments have gathered together; conditioning on the looks
    # is the textbook formula for a joint normal law, worked here with whole matrices
    gathered = start + np.cumsum(drift)
    prior = np.minimum.outer(gathered, gathered)
    weight = prior[:, seen] @ np.linalg.inv(prior[np.ix_(seen, seen)] + np.diag(error[seen]))
    np.testing.assert_allclose(state[0], weight @ looks[0, seen], rtol=1e-9, atol=1e-12)
    after = prior - weight @ prior[seen]
    np.testing.assert_allclose(variance, np.diag(after), rtol=1e-9, atol=1e-12)


def test_the_course_runs_through_the_looks_and_into_the_forecast() -> None:
    appraisal = appraised_demo()
    inside, count = 0, 0
    for hull_id in ("H07", "H13", "H28", "H33"):
        hull = dossier(appraisal, hull_id)
        assert hull is not None
        for position, past in hull.past.groupby("position"):
            ahead = hull.courses[hull.courses["position"] == position].iloc[0]
            now = past.iloc[-1]
            assert not now["looked"]
            np.testing.assert_allclose(now["size_mm"], ahead["size_mm"], atol=2e-3)
            np.testing.assert_allclose(now["low_mm"], ahead["low_mm"], atol=2e-2)
            looks = hull.looks[hull.looks["position"] == position].dropna(subset=["size_mm"])
            looks = looks[(looks["at"] > past["at"].iloc[0]) & (looks["kind"] == "caliper")]
            at = hours_since_epoch(past["at"])
            middle = np.interp(hours_since_epoch(looks["at"]), at, past["size_mm"].astype(float))
            inside += int(((looks["low_mm"] <= middle) & (middle <= looks["high_mm"])).sum())
            count += len(looks)
    # a look's own 80 % range holds the path at least as often as it promises
    assert count > 40
    assert inside / count > 0.8
