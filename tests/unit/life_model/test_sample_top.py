"""A sample that climbed once does not climb again for a look at a hull outside it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy import sparse

from corrosion.common import Remembered
from corrosion.exposure import Lives
from corrosion.life_model import build_design, fit_life, fitting, hull_sample
from corrosion.life_model.clock_terms import Terms
from corrosion.life_model.design import Crust
from corrosion.life_model.kalman import Steps
from corrosion.life_model.packed_hours import PackedHours
from corrosion.life_model.sample_top import mark_of
from tests.bench.wide_fleet import END, write_wide_fleet
from tests.chain import Links, links_of

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def wide(tmp_path_factory: pytest.TempPathFactory) -> Links:
    folder: Path = tmp_path_factory.mktemp("wide")
    return links_of(write_wide_fleet(folder, 24), END)


def _other(value: Any) -> Any:
    """Return the same with one cell of it another one."""
    if value is None:
        return Crust(0.2, 1.1)
    if isinstance(value, sparse.csr_array):
        return value * (1 + 1e-3)
    if isinstance(value, pd.DataFrame):
        return value.rename(columns={value.columns[0]: "another"})
    if isinstance(value, np.ndarray):
        return ~value if value.dtype == bool else value + 1
    return value + 1


def _changed(part: Any) -> Iterator[tuple[str, Any]]:
    """Return a part of a design once for each of its fields, that field another one."""
    for each in fields(part):
        value = getattr(part, each.name)
        if isinstance(value, Terms | Steps | PackedHours):
            for name, inner in _changed(value):
                yield f"{each.name}.{name}", replace(part, **{each.name: inner})
        else:
            yield each.name, replace(part, **{each.name: _other(value)})


def test_whatever_the_climb_reads_is_in_its_mark(wide: Links) -> None:
    design = build_design(wide.lives, wide.exposure, flooded=True)
    own = mark_of(design, wide.exposure)
    marks = {name: mark_of(other, wide.exposure) for name, other in _changed(design)}
    assert len(marks) > 20
    assert own not in marks.values()
    assert len(set(marks.values())) == len(marks)
    renamed = replace(wide.exposure, mooring_ids=wide.exposure.mooring_ids + " quay")
    assert mark_of(design, renamed) != own
    assert mark_of(build_design(wide.lives, wide.exposure, flooded=True), wide.exposure) == own


def test_only_a_look_in_the_sample_makes_it_climb_again(
    wide: Links, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, value in (("LARGE_HULLS", 20), ("SAMPLE_HULLS", 8), ("LEAST_OF_A_KIND", 2)):
        monkeypatch.setattr(hull_sample, name, value)
    climbs: list[int] = []
    climb_of_all = fitting._fit_of_all

    def counted(lives: Lives, *rest: Any) -> fitting.Fit:
        climbs.append(len(lives.looks))
        return climb_of_all(lives, *rest)

    monkeypatch.setattr(fitting, "_fit_of_all", counted)
    drawn = hull_sample.hulls_that_speak_first(wide.lives, wide.exposure)
    sized = wide.lives.looks["kind"] == "size"
    sampled = wide.lives.lives["hull_id"].isin(drawn)[wide.lives.looks["life"]].to_numpy(bool)
    last = Remembered()
    for inside, climbed in ((None, 1), (False, 1), (True, 2)):
        looks = wide.lives.looks
        if inside is not None:
            at = looks.index[sized & (sampled == inside)][-1]
            looks = looks.assign(worn=looks["worn"].where(looks.index != at, looks["worn"] + 0.01))
        lives = Lives(wide.lives.lives, looks)
        with last.turned() as known:
            warm = fit_life(lives, wide.exposure, known)
        assert len(climbs) == climbed
        cold = fit_life(lives, wide.exposure)
        climbs.pop()
        assert np.array_equal(warm.results.params, cold.results.params)
        assert np.array_equal(warm.results.cov_params(), cold.results.cov_params())
