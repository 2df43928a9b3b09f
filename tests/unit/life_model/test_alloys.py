"""The alloy that was fitted counts: its own pace by water, shared by all anodes of its kind."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy.optimize import approx_fprime

from corrosion.chemistry import wear_beside
from corrosion.forecast.anomalies import odd_ones
from corrosion.forecast.appraisal import Appraisal, appraise
from corrosion.life_model import AnodeLife, build_design, fit_life
from corrosion.life_model.likelihood import clock_slopes
from tests.chain import Links, links, links_of
from tests.fleets import FleetLogs
from tests.known_truth.simulator import KINDS, simulate, write

ON = "2031-06-20"


def _fleet(*, magnesium: int = 0, looks: bool = True, worn_mm: float = 2.0) -> FleetLogs:
    """Eight hulls alike in salt water; on so many of them a magnesium pencil goes in on day 40."""
    fleet = FleetLogs().mooring("E", "salt").position("pencil", gauge="diameter")
    for number in range(8):
        hull = f"H{number}"
        fleet.hull(hull).berth(hull, "E", "lifted").season(hull, "2031-04-02", 79, flushed=True)
        fleet.fitting(hull, "pencil", "2031-04-01")
        days = ["2031-04-15", "2031-04-29", "2031-05-10"]
        for day, size in zip(days, (8.7, 8.4, 8.15), strict=True):
            fleet.reading(hull, "pencil", day, size + 0.02 * (number % 3))
        if number < magnesium:
            fleet.fitting(hull, "pencil", "2031-05-11", alloy="magnesium")
            if looks:
                fleet.reading(hull, "pencil", "2031-05-21", 9.0 - worn_mm + 0.03 * (number % 2))
    return fleet


def _said(fleet: FleetLogs, tmp_path) -> Appraisal:
    return appraise(fleet.write(tmp_path), ON, days=28)


def _factor(chain: Links, name: str) -> tuple[float, float]:
    table = fit_life(chain.lives, chain.exposure).results.table.set_index("name")
    return float(table["estimate"][name]), float(table["standard_error"][name])


@pytest.mark.slow
def test_a_fleet_that_fits_what_is_listed_has_no_parameter_for_it() -> None:
    chain = links(_fleet(), ON)
    design = build_design(chain.lives, chain.exposure)
    assert design.terms.alloys.empty
    assert not design.alloy.any()
    assert (design.terms.plain[:, 3] == 0).all()
    written = _fleet()
    for row in written.rows["fittings"]:
        row["alloy"] = "zinc"  # as listed, said or not
    assert build_design(links(written, ON).lives, chain.exposure).terms.alloys.empty


def test_the_alloy_is_that_of_the_fitting_else_that_of_the_position() -> None:
    lives = links(_fleet(magnesium=2), ON).lives.lives
    assert (lives["alloy_listed"] == "zinc").all()
    assert lives.groupby("hull_id")["alloy"].last().to_dict() == {
        f"H{n}": "magnesium" if n < 2 else "zinc" for n in range(8)
    }


def test_the_guess_to_start_from_follows_from_capacity_density_and_driving_voltage() -> None:
    # by hand from table 3 on p. 206 of the Pipeline Rules of Thumb Handbook, densities from memory:
    # 0.73 V against 0.23 V; 450 Ah/lb x 1740 kg/m3 against 354 Ah/lb x 7140 kg/m3
    assert wear_beside("magnesium", "zinc") == pytest.approx(0.73 / 0.23 * 354 * 7140 / 450 / 1740)
    assert wear_beside("magnesium", "zinc") == pytest.approx(10.2, abs=0.1)
    assert wear_beside("zinc", "zinc") == 1.0
    assert wear_beside("aluminium", "magnesium") < 0.15


def test_a_magnesium_anode_never_looked_at_has_days_left_in_salt_water(tmp_path) -> None:
    forecast = _said(_fleet(magnesium=1, looks=False), tmp_path).forecast.anodes.set_index(
        "hull_id"
    )
    # fitted 40 days before: a zinc one would then be a third of the way
    assert forecast["risk"]["H0"] > 0.8
    assert forecast["days_left_50"]["H0"] < 7
    assert (forecast["days_left_50"].drop("H0") > 20).all()


def test_the_hull_is_stopped_and_the_wear_said_in_days(tmp_path) -> None:
    fleet = _fleet(magnesium=1)
    fleet.fitting("H0", "pencil", "2031-06-15", alloy="magnesium")
    odd = odd_ones(_said(fleet, tmp_path)).set_index("kind").loc[["alloy-against-water"]]
    assert odd["hull_id"].tolist() == ["H0"]
    assert odd["stop"].all()
    assert "to its limit: " in odd["evidence"].iloc[0]
    assert "day" in odd["evidence"].iloc[0].split("to its limit: ")[1]


@pytest.mark.slow
def test_what_one_of_them_shows_the_others_of_that_alloy_are_given(tmp_path) -> None:
    name = "log magnesium for zinc salt"
    guess, doubt = np.log(wear_beside("magnesium", "zinc")), 0.8
    none, none_sd = _factor(links(_fleet(magnesium=1, looks=False), ON), name)
    assert (none, none_sd) == (pytest.approx(guess, abs=0.05), pytest.approx(doubt, rel=0.05))
    # 2 mm in ten days where zinc loses 0.22: nine times; told by three anodes, each with one look
    seen, seen_sd = _factor(links(_fleet(magnesium=3), ON), name)
    assert seen_sd < 0.3
    assert seen == pytest.approx(np.log(9), abs=2 * seen_sd)
    # and a word ticked wrong is seen through: it wears as zinc does
    ticked, ticked_sd = _factor(links(_fleet(magnesium=3, worn_mm=0.22), ON), name)
    assert ticked == pytest.approx(0.0, abs=3 * ticked_sd + 0.3)


@pytest.fixture(scope="module")
def mixed(tmp_path_factory: pytest.TempPathFactory) -> Links:
    plan = replace(KINDS["other_alloys"], hulls=9, days=160, tail_days=1, other_alloys=0.3)
    fleet = simulate("other_alloys", 5, plan)
    return links_of(write(fleet, tmp_path_factory.mktemp("mixed")), fleet.end)


def test_the_gradient_and_the_slopes_of_the_clock_are_exact_with_other_alloys(mixed: Links) -> None:
    design = build_design(mixed.lives, mixed.exposure)
    model = AnodeLife(design, mixed.exposure)
    assert len(design.terms.alloys) == 6
    params = model.prior_mean + np.random.default_rng(3).normal(0, 0.1, model.k_params)
    numeric = approx_fprime(params, model.loglike, 1e-6)
    np.testing.assert_allclose(model.score(params), numeric, rtol=2e-3, atol=0.05)
    evaluated = model.evaluate(params)
    slope = clock_slopes(design, evaluated)
    for k in np.flatnonzero([" for " in spread.name for spread in model.spreads]):
        step = np.zeros(params.size)
        step[k] = 1e-5
        moved = (model.evaluate(params + step).clock - evaluated.clock) / 1e-5
        np.testing.assert_allclose(slope[:, k], moved, atol=1e-4)


def test_looks_of_one_alloy_leave_the_clock_of_the_others_alone(mixed: Links) -> None:
    design = build_design(mixed.lives, mixed.exposure)
    model = AnodeLife(design, mixed.exposure)
    names = pd.Index([spread.name for spread in model.spreads])
    params = model.prior_mean.copy()
    before = model.evaluate(params).clock
    params[names.get_loc("log magnesium for zinc salt")] += 1.0
    after = model.evaluate(params).clock
    changed = ~np.isclose(after, before)
    assert changed.any()
    pair = design.terms.alloys.set_index("fitted")["pair"]["magnesium"].iloc[0]
    assert set(design.alloy[design.life][changed]) == {pair}
