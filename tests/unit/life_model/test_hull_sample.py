"""Where there are thousands of hulls a sample climbs first, and nothing that is said moves."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from corrosion.exposure import Lives
from corrosion.life_model import fit_life, hull_sample, marks_of_hulls, pace_effects
from tests.bench.wide_fleet import END, write_wide_fleet
from tests.chain import Links, links_of

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def wide(tmp_path_factory: pytest.TempPathFactory) -> Links:
    folder: Path = tmp_path_factory.mktemp("wide")
    return links_of(write_wide_fleet(folder, 90), END)


@pytest.fixture
def small_sample(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in (("LARGE_HULLS", 60), ("SAMPLE_HULLS", 30), ("LEAST_OF_A_KIND", 2)):
        monkeypatch.setattr(hull_sample, name, value)


@pytest.mark.usefixtures("small_sample")
def test_the_sample_does_not_depend_on_the_order_of_lives_and_holds_every_kind(
    wide: Links,
) -> None:
    drawn = hull_sample.hulls_that_speak_first(wide.lives, wide.exposure)
    assert drawn is not None
    assert 30 <= len(drawn) < 60
    part = hull_sample.lives_of(wide.lives, drawn)
    kinds = [part.lives[hull_sample.KIND], wide.lives.lives[hull_sample.KIND]]
    assert len(kinds[0].drop_duplicates()) == len(kinds[1].drop_duplicates())
    mixed = np.random.default_rng(1).permutation(len(wide.lives.lives))
    number = np.argsort(mixed)
    lives = wide.lives.lives.iloc[mixed].reset_index(drop=True)
    looks = wide.lives.looks.assign(life=number[wide.lives.looks["life"]])
    again = hull_sample.hulls_that_speak_first(Lives(lives, looks), wide.exposure)
    assert set(drawn) == set(again if again is not None else [])


@pytest.mark.usefixtures("small_sample")
def test_a_look_more_leaves_the_sample_as_it_was(wide: Links) -> None:
    drawn = hull_sample.hulls_that_speak_first(wide.lives, wide.exposure)
    one_less = Lives(wide.lives.lives, wide.lives.looks.iloc[:-1])
    assert drawn is not None
    assert drawn.equals(hull_sample.hulls_that_speak_first(one_less, wide.exposure))


def test_lives_of_some_hulls_keep_their_looks(wide: Links) -> None:
    some = wide.exposure.hull_ids[[3, 4, 50]]
    part = hull_sample.lives_of(wide.lives, some)
    keys = ["hull_id", "position", "at_h", "worn"]
    whole = wide.lives.looks.join(wide.lives.lives[["hull_id", "position"]], on="life")
    theirs = part.looks.join(part.lives[["hull_id", "position"]], on="life")
    expected = whole[whole["hull_id"].isin(some)][keys].reset_index(drop=True)
    pd.testing.assert_frame_equal(theirs[keys], expected)


def test_a_sample_that_climbs_first_moves_no_parameter_and_no_interval(
    wide: Links, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = fit_life(wide.lives, wide.exposure)
    for name, value in (("LARGE_HULLS", 60), ("SAMPLE_HULLS", 30), ("LEAST_OF_A_KIND", 2)):
        monkeypatch.setattr(hull_sample, name, value)
    sampled = fit_life(wide.lives, wide.exposure)
    away = (sampled.results.params - whole.results.params) / whole.results.bse
    assert np.abs(away).max() < 0.1  # a tenth of a standard error
    assert sampled.results.bse == pytest.approx(whole.results.bse, rel=0.02)
    assert len(sampled.lives.lives) == len(wide.lives.lives)


@pytest.mark.usefixtures("small_sample")
def test_of_a_large_fleet_looks_taken_or_written_down_today_rest_and_of_a_small_one_none(
    wide: Links, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_h = wide.lives.looks["at_h"].to_numpy(float)
    today_h = np.sort(at_h)[-20]
    speak = hull_sample.looks_that_speak(wide.lives, today_h)
    assert speak is not None
    assert np.array_equal(speak, at_h <= today_h)
    assert hull_sample.looks_that_speak(wide.lives, None) is None
    entered = np.arange(at_h.size) % 997 == 0  # some old sheets are typed in today
    known = wide.lives.looks.assign(known_h=np.where(entered, at_h.max(), at_h))
    late = hull_sample.looks_that_speak(Lives(wide.lives.lives, known), today_h)
    assert late is not None
    assert np.array_equal(late, (at_h <= today_h) & ~entered)
    at_midnight = hull_sample.looks_that_speak(wide.lives, at_h.max())
    assert at_midnight is not None
    assert at_midnight.all()
    too_many_h = np.quantile(at_h, 1 - 2 * hull_sample.MOST_RESTING)
    assert hull_sample.looks_that_speak(wide.lives, float(too_many_h)) is None
    monkeypatch.setattr(hull_sample, "LARGE_HULLS", 91)
    assert hull_sample.looks_that_speak(wide.lives, today_h) is None


@pytest.mark.usefixtures("small_sample")
def test_what_a_fleet_shares_is_told_by_the_looks_until_then_and_a_pace_by_all(
    wide: Links,
) -> None:
    at_h = wide.lives.looks["at_h"].to_numpy(float)
    today_h = np.sort(at_h)[-20]
    rested = fit_life(wide.lives, wide.exposure, shared_until_h=today_h)
    before = fit_life(hull_sample.lives_until(wide.lives, today_h), wide.exposure)
    assert np.array_equal(rested.results.params, before.results.params)
    assert np.array_equal(rested.results.cov_params(), before.results.cov_params())
    every = fit_life(wide.lives, wide.exposure)
    away = (rested.results.params - every.results.params) / every.results.bse
    assert 0 < np.abs(away).max() < 0.2  # twenty looks of some 7,000
    assert rested.model.design.worn.size == len(at_h)
    # the fits differ in what is shared by next to nothing: so do the states of the anodes
    state, of_all = rested.results.evaluation.track, every.results.evaluation.track
    assert np.abs(state.state - of_all.state).max() < 0.02
    design = rested.model.design
    late = at_h[design.steps.order] > today_h
    looked = design.hull[design.life[late]]
    now, earlier = (
        pace_effects(fit.model.design, fit.results.evaluation) for fit in (rested, before)
    )
    moved = np.abs(now.hull - earlier.hull) / np.sqrt(now.hull_variance)
    others = np.setdiff1d(np.arange(design.hulls), looked)
    assert moved[others].max() < 0.1  # an outlier is trusted again from the start, not as before
    assert (moved[np.unique(looked)] > 0).all()


@pytest.mark.usefixtures("small_sample")
def test_how_long_one_hulls_looks_take_to_be_believed_is_no_business_of_another(
    wide: Links,
) -> None:
    looks, table = wide.lives.looks, wide.lives.lives
    at_h = looks["at_h"].to_numpy(float)
    today_h = np.sort(at_h)[-20]
    before = marks_of_hulls(fit_life(wide.lives, wide.exposure, shared_until_h=today_h))
    for late in looks.index[(at_h > today_h) & (looks["kind"] == "size")][::5]:
        for off in (-0.15, 0.5):
            worn = looks["worn"].where(looks.index != late, looks["worn"] + off)
            odd = Lives(table, looks.assign(worn=worn))
            after = marks_of_hulls(fit_life(odd, wide.exposure, shared_until_h=today_h))
            changed = wide.exposure.hull_ids[np.flatnonzero(after != before)]
            assert changed.tolist() == [table["hull_id"].iloc[looks["life"].loc[late]]]
