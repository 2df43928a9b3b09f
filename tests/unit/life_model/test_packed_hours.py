"""Packed hours are the same hours: they wear off what the cells laid out in full wear off."""

from __future__ import annotations

import numpy as np
import pytest

from corrosion.life_model import AnodeLife, build_design, surface_lost, wearing_columns
from corrosion.life_model.likelihood import clock_slopes
from corrosion.life_model.surface import take_apart, wear_of_cells
from tests.chain import Links


def test_packed_hours_wear_off_what_the_cells_laid_out_in_full_do(simulated: Links) -> None:
    design = build_design(simulated.lives, simulated.exposure, flooded=True)
    model = AnodeLife(design, simulated.exposure)
    params = model.prior_mean + np.random.default_rng(6).normal(0, 0.2, model.k_params)
    rates = take_apart(params, design, model.moorings)

    order, life = design.steps.order, design.life
    table = simulated.lives.lives.iloc[design.steps.lives[life]]
    hours = simulated.exposure.until(
        design.hull[life], simulated.lives.looks["at_h"].to_numpy(float)[order]
    ) - simulated.exposure.until(design.hull[life], table["start_h"].to_numpy(float))
    engine = (table["circuit"] == "engine").to_numpy(bool)
    columns = wearing_columns(design.terms, hours, engine, design.alloy[life])
    full = surface_lost(columns, design.terms, rates)

    wear = wear_of_cells(design.terms, rates)
    assert design.hours.cells.shape[0] < life.size, "anodes of a visit share their hours"
    assert design.hours.times(wear.mm) == pytest.approx(full.mm, rel=1e-7)
    assert design.hours.times(wear.by_kappa) == pytest.approx(full.by_kappa, rel=1e-6, abs=1e-5)
    by_tau = design.hours.times(wear.by_log_tau)
    assert by_tau == pytest.approx(full.by_log_tau, rel=1e-6, abs=1e-7)
    value = np.random.default_rng(7).normal(size=life.size)
    assert design.hours.summed(value) @ wear.mm == pytest.approx(value @ full.mm)


def test_the_slopes_of_the_clock_are_those_of_small_steps(simulated: Links) -> None:
    design = build_design(simulated.lives, simulated.exposure)
    model = AnodeLife(design, simulated.exposure)
    params = model.prior_mean.copy()
    base = model.evaluate(params)
    slopes = clock_slopes(design, base)
    for k in range(slopes.shape[1]):
        step = np.zeros(params.size)
        step[k] = 1e-5
        moved = (model.evaluate(params + step).clock - model.evaluate(params - step).clock) / 2e-5
        np.testing.assert_allclose(slopes[:, k], moved, atol=1e-5)
