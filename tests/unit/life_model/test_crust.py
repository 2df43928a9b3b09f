"""Crust on anodes that nobody cleaned: found where it is, not where it is not, and taken off."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from corrosion.exposure import build_exposure, build_lives
from corrosion.forecast import Appraisal, appraise, crust_in_words
from corrosion.forecast.backtest.forecasts import forecasts_of
from corrosion.forecast.backtest.outcomes import judged
from corrosion.life_model.crust import clear, crust_of
from corrosion.life_model.design import CALIPER, build_design
from corrosion.records import check_logs, read_fleet
from tests.fleets import usual_fleet
from tests.known_truth.simulator import KINDS, simulate, write

pytestmark = pytest.mark.slow


def fitted(folder: Path, crust_mm: float) -> Appraisal:
    plan = replace(KINDS["crusted"], hulls=14, days=160, tail_days=30, crust_mm=crust_mm)
    return appraise(write(simulate("crusted", 3, plan), folder))


@pytest.fixture(scope="module")
def crusted(tmp_path_factory: pytest.TempPathFactory) -> Appraisal:
    return fitted(tmp_path_factory.mktemp("crusted"), 0.4)


@pytest.fixture(scope="module")
def clean(tmp_path_factory: pytest.TempPathFactory) -> Appraisal:
    return fitted(tmp_path_factory.mktemp("clean"), 1e-6)  # ticked or not, there is none


def test_crust_is_found_and_is_no_error_of_the_caliper(crusted: Appraisal) -> None:
    crust = crusted.life.model.design.crust
    assert crust is not None
    assert crust.mean_mm == pytest.approx(0.4, abs=0.08)
    assert crusted.life.results.evaluation.rates.reading_mm == pytest.approx(0.12, abs=0.02)


def test_ticks_alone_are_no_crust(clean: Appraisal) -> None:
    assert clean.life.model.design.crust is None
    assert crust_in_words(clean) == ()


def test_it_is_said(crusted: Appraisal) -> None:
    (sentence,) = crust_in_words(crusted)
    assert "mm too large here (crust)" in sentence


def test_the_record_expects_an_uncleaned_look_to_show_more_metal(crusted: Appraisal) -> None:
    logbook = crusted.logbook
    said = pd.concat(
        forecasts_of(logbook.folder, logbook.on - pd.Timedelta(weeks=weeks)) for weeks in (4, 8)
    )
    met = judged(said.reset_index(drop=True), crusted.checked).dropna(subset=["next_worn"])
    off = met["next_worn"] - (met["low"] + met["high"]) / 2
    assert len(met) > 60
    assert met["next_worn"].between(met["low"], met["high"]).mean() > 0.7
    assert abs(off.mean()) < 0.02


def test_only_caliper_looks_at_uncleaned_anodes_are_read_anew(tmp_path: Path) -> None:
    fleet = usual_fleet(1).season("H1", "2031-04-02", 20)
    fleet.reading("H1", "plate", "2031-04-10 07:00", 14.5)
    fleet.reading("H1", "plate", "2031-04-14 07:00", 14.2, cleaned=True)
    fleet.reading("H1", "plate", "2031-04-18 07:00", size_low_mm=13.0, size_high_mm=14.5)
    checked = check_logs(read_fleet(fleet.write(tmp_path), "2031-05-01"))
    design = build_design(build_lives(checked), build_exposure(checked))
    cleared = clear(design, crust_of(0.4, 0.1))
    crusted = (design.kind == CALIPER) & design.uncleaned
    assert crusted.sum() == 1
    raised = cleared.worn - design.worn
    assert raised[crusted] == pytest.approx(0.4 * design.error[crusted])
    assert (raised[~crusted] == 0).all()
    assert (cleared.error / design.error)[crusted] == pytest.approx(np.hypot(1, 4))
    assert clear(design, None) is design
