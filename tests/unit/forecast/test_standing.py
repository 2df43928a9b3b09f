"""What of a forecast stands: hulls of which nothing changed, and no others."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest

from corrosion.forecast import Appraisal, appraise, forecast_fleet, use_ahead
from corrosion.forecast import standing as room
from corrosion.forecast.standing import what_stands
from corrosion.life_model import AnodeLife, Design, Fit, fit_of_hulls, marks_of_hulls
from corrosion.life_model.life import Top
from tests.bench.wide_fleet import write_wide_fleet


@pytest.fixture(scope="module")
def now(tmp_path_factory: pytest.TempPathFactory) -> Appraisal:
    folder: Path = tmp_path_factory.mktemp("wide")
    return appraise(write_wide_fleet(folder, 8))


def _with_design(fit: Fit, design: Design) -> Fit:
    model, params = AnodeLife(design, fit.exposure, fit.model.trust), fit.results.params
    top = Top(params, np.eye(params.size), converged=True, iterations=0)
    return replace(fit, results=model.results_at(top, fit.results.cov_params()))


OF_LOOKS = ("worn", "error", "trust", "jump", "unsure")
OF_LIVES = ("start_worn", "start_error", "start_caliper")


@pytest.mark.parametrize("name", [*OF_LOOKS, *OF_LIVES])
def test_a_number_of_one_hull_that_moves_changes_its_mark_and_no_other(
    now: Appraisal, name: str
) -> None:
    fit, rng = now.life, np.random.default_rng(len(name))
    design = fit.model.design
    before = marks_of_hulls(fit)
    for _ in range(5):
        column = getattr(design, name).copy()
        at = int(rng.integers(column.size))
        column[at] += rng.choice([1e-6, -0.3])
        hull = design.hull[design.life[at] if name in OF_LOOKS else at]
        after = marks_of_hulls(_with_design(fit, replace(design, **{name: column})))
        assert np.flatnonzero(after != before).tolist() == [hull]


def test_two_looks_that_change_places_are_told(now: Appraisal) -> None:
    design = now.life.model.design
    life = design.life[0]
    first, second = np.flatnonzero(design.life == life)[:2]
    worn = design.worn.copy()
    worn[[first, second]] = worn[[second, first]]
    assert worn[first] != worn[second]
    after = marks_of_hulls(_with_design(now.life, replace(design, worn=worn)))
    changed = after != marks_of_hulls(now.life)
    assert np.flatnonzero(changed).tolist() == [design.hull[life]]


def test_a_fit_of_some_hulls_forecasts_them_as_the_fit_of_all_does(now: Appraisal) -> None:
    own = np.zeros(now.life.model.design.hulls, dtype=bool)
    own[[1, 5]] = True
    ahead = use_ahead(now.checked, now.exposure)
    part = forecast_fleet(fit_of_hulls(now.life, own), now.checked, ahead)
    names = now.exposure.hull_ids[own]
    whole = now.forecast.anodes[now.forecast.anodes["hull_id"].isin(names)]
    columns = ["hull_id", "position", "worn", "risk", "days_left_50", "worn_low", "worn_high"]
    of_part = part.anodes[part.anodes["hull_id"].isin(names)]
    for column in columns:
        theirs, mine = (t.sort_values(columns[:2])[column].to_numpy() for t in (whole, of_part))
        if theirs.dtype == float:
            np.testing.assert_allclose(mine, theirs, rtol=1e-9, atol=1e-12)
        else:
            assert mine.tolist() == theirs.tolist()


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "LEAST_HULLS", 2)


@pytest.mark.usefixtures("small")
def test_a_result_is_worked_out_anew_for_the_hulls_that_changed_alone(now: Appraisal) -> None:
    fit, ahead = now.life, use_ahead(now.checked, now.exposure)
    hull = np.repeat(np.arange(8), 2)
    first = what_stands(fit, ahead, None)
    assert first.changed.all()
    rows = first.result("twice", hull, lambda own: 2.0 * hull[own[hull], None])
    worn = fit.model.design.worn.copy()
    worn[0] += 0.1
    touched = fit.model.design.hull[fit.model.design.life[0]]
    other = _with_design(fit, replace(fit.model.design, worn=worn))
    then = what_stands(other, ahead, first)
    assert np.flatnonzero(then.changed).tolist() == [touched]
    again = then.result("twice", hull, lambda own: 10.0 * hull[own[hull], None])
    assert np.array_equal(again, np.where(hull[:, None] == touched, 5.0 * rows, rows))
    # a hull that lost an anode leaves nothing of the others to be mixed up
    fewer = hull[1:]
    assert then.result("other", fewer, lambda own: 1.0 * fewer[own[fewer], None]).shape == (15, 1)
    after = what_stands(other, ahead, then)
    assert not after.changed.any()
    assert after.result("other", hull, lambda own: 3.0 * hull[own[hull], None])[-1] == 21.0


@pytest.mark.usefixtures("small")
def test_of_other_parameters_ranges_or_use_ahead_nothing_stands(now: Appraisal) -> None:
    fit, ahead = now.life, use_ahead(now.checked, now.exposure)
    first = what_stands(fit, ahead, None)
    assert not what_stands(fit, ahead, first).changed.any()
    wider = replace(fit, widen=1.2)
    assert what_stands(wider, ahead, first).changed.all()
    assert what_stands(fit, use_ahead(now.checked, now.exposure), first).changed.all()
    assert {each.name for each in fields(fit)} >= {"widen", "exposure", "results"}
