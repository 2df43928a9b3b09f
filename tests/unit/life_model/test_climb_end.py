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
from corrosion.life_model.climb_end import Spoken, mark_of, told_by_hours
from corrosion.life_model.clock_terms import Terms
from corrosion.life_model.design import Crust
from corrosion.life_model.kalman import Steps
from corrosion.life_model.packed_hours import PackedHours
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


def test_what_a_climb_of_all_rested_on_is_known_again_by_every_number_that_it_read(
    wide: Links,
) -> None:
    lives, design = wide.lives, build_design(wide.lives, wide.exposure, flooded=True)
    hours = told_by_hours(design)
    spoken = Spoken(lives, hours, flooded=True)
    assert spoken.holds(lives, hours)
    assert spoken.holds(lives, hours + 1e-9)  # all clocks are one running sum
    for column in range(3):
        moved = hours.copy()
        moved[7, column] += 1e-5
        assert not spoken.holds(lives, moved)
    assert not spoken.holds(lives, hours[1:])
    looks, table = lives.looks, lives.lives
    assert spoken.holds(Lives(table, looks.assign(log_row=looks["log_row"] + 1)), hours)
    ended = table.assign(ended="replaced", stop_h=table["start_h"] + 1.0)
    assert spoken.holds(Lives(ended, looks), hours)
    for name in ("worn", "worn_low", "uncleaned", "doubtful", "spent"):
        other = looks[name].copy()
        other.iloc[3] = ~other.iloc[3] if other.dtype == bool else 0.123
        assert not spoken.holds(Lives(table, looks.assign(**{name: other})), hours)
    for name in ("layout", "alloy", "start_worn", "allowance_mm"):
        other = table[name].copy()
        other.iloc[3] = 0.123 if other.dtype == float else "another"
        assert not spoken.holds(Lives(table.assign(**{name: other}), looks), hours)


def test_an_hour_that_moves_from_one_cell_to_another_is_told(wide: Links) -> None:
    design = build_design(wide.lives, wide.exposure, flooded=True)
    cells = design.hours.cells.toarray()
    row, (first, second) = 5, np.flatnonzero(cells[5])[:2]
    cells[row, first] += 1e-3
    cells[row, second] -= 1e-3
    moved = replace(design, hours=PackedHours(sparse.csr_array(cells), design.hours.row))
    apart = np.abs(told_by_hours(moved) - told_by_hours(design)).max(axis=1)
    asked = design.hours.row == row
    assert np.array_equal(apart[design.steps.order] > 1e-6, asked)
