"""Hulls, their circuits and anodes counted in when groups of hulls are compared."""

import numpy as np
import pytest
from scipy import stats

from corrosion.forecast.appraisal import Appraisal
from corrosion.life_model.clusters import Clustered, _information, _nest, clustered
from corrosion.life_model.surface import layout_of


def test_without_a_spread_between_circuits_the_information_is_the_models_own(
    appraised: Appraisal,
) -> None:
    model, params = appraised.life.model, appraised.fit.params
    rates = model.evaluate(params).rates
    sds = (rates.hull_sd, 0.0, rates.anode_sd)
    ours = _information(model, params, _nest(appraised.life), sds)
    np.testing.assert_allclose(ours, model.information(params), rtol=1e-8, atol=1e-8)


def test_a_spread_between_circuits_leaves_less_known_of_every_weight(appraised: Appraisal) -> None:
    model, params, nest = appraised.life.model, appraised.fit.params, _nest(appraised.life)
    at = layout_of(model.design).weight
    known = [
        np.diag(np.linalg.inv(_information(model, params, nest, (0.2, sd, 0.1))))[at]
        for sd in (0.0, 0.1, 0.3)
    ]
    assert (known[0] <= known[1] + 1e-12).all()
    assert (known[1] < known[2]).all()


def test_few_hulls_widen_the_covariance_and_the_reach(appraised: Appraisal) -> None:
    robust = clustered(appraised.life)
    assert np.linalg.eigvalsh(robust.covariance).min() > 0
    assert robust.hull_sd > 0
    assert 1 <= robust.degrees < 6  # six hulls, three waters
    assert robust.reach() > stats.norm.ppf(0.975)


def test_the_reach_is_student_s() -> None:
    # Student's t, 5 degrees of freedom, 97.5 %: 2.571 (tables of t)
    assert Clustered(np.eye(1), 0.2, 0.1, 0.1, 5).reach() == pytest.approx(2.571, abs=5e-4)
