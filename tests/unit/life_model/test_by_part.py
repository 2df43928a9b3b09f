"""Value and gradient of all looks are the sums of those of hulls in parts."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from corrosion.exposure import build_exposure, build_lives
from corrosion.life_model import AnodeLife, build_design, looks_by_part
from corrosion.records import check_logs, read_fleet

DEMO = Path(__file__).resolve().parents[3] / "demo_fleet" / "logs"


def test_parts_add_up_to_the_whole() -> None:
    checked = check_logs(read_fleet(DEMO))
    exposure = build_exposure(checked)
    model = AnodeLife(build_design(build_lives(checked), exposure), exposure)
    params = model.prior_mean + 0.1 * np.cos(np.arange(model.k_params))
    parts = [each.sums(params) for each in looks_by_part(model, np.array([0, 1, 17]))]
    whole = model.evaluate(params)
    np.testing.assert_allclose(sum(value for value, _ in parts), whole.value, rtol=1e-12)
    gradient = np.sum([slope for _, slope in parts], axis=0)
    np.testing.assert_allclose(gradient, whole.gradient, rtol=1e-9, atol=1e-9)
