"""Hours of looks that were packed before are taken over, and only those."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from corrosion.common import Remembered
from corrosion.exposure import Exposure, Lives
from corrosion.life_model import build_design, known_spans
from tests.bench.wide_fleet import END, write_wide_fleet
from tests.chain import Links, links_of


@pytest.fixture(scope="module")
def wide(tmp_path_factory: pytest.TempPathFactory) -> Links:
    folder: Path = tmp_path_factory.mktemp("wide")
    return links_of(write_wide_fleet(folder, 6), END)


def _some(lives: Lives, left_out: np.ndarray) -> Lives:
    return Lives(lives.lives, lives.looks[~left_out].reset_index(drop=True))


def test_with_looks_more_and_less_the_hours_are_those_of_a_design_laid_out_anew(
    wide: Links, monkeypatch: pytest.MonkeyPatch
) -> None:
    rng, last = np.random.default_rng(5), Remembered()
    asked: list[int] = []
    between = Exposure.between

    def counted(self: Exposure, hull: np.ndarray, *moments: np.ndarray) -> object:
        asked.append(hull.size)
        return between(self, hull, *moments)

    monkeypatch.setattr(Exposure, "between", counted)
    shares = (0.3, 0.0, 0.02, 0.5, 0.01)
    for share in shares:
        lives = _some(wide.lives, rng.random(len(wide.lives.looks)) < share)
        asked.clear()
        with last.turned() as now:
            warm = build_design(lives, wide.exposure, flooded=True, remembered=now)
        known, first = sum(asked), share == shares[0]
        cold = build_design(lives, wide.exposure, flooded=True)
        weights = rng.uniform(0.5, 2.0, cold.hours.cells.shape[1])
        assert np.array_equal(warm.hours.times(weights), cold.hours.times(weights))
        assert first or known < 0.6 * cold.hours.cells.shape[0]
        # spans that nobody asks for any more do not pile up
        used = np.unique(warm.hours.row).size
        assert used >= (1 - known_spans.MOST_UNUSED) * warm.hours.cells.shape[0]


def test_of_other_hours_nothing_is_taken_over(wide: Links) -> None:
    last, other = Remembered(), links_of(wide.checked.logbook.folder, "2031-12-01")
    with last.turned() as now:
        build_design(wide.lives, wide.exposure, remembered=now)
    with last.turned() as now:
        warm = build_design(other.lives, other.exposure, remembered=now)
    cold = build_design(other.lives, other.exposure)
    assert (warm.hours.cells != cold.hours.cells).nnz == 0
    assert np.array_equal(warm.hours.row, cold.hours.row)
