"""A fit that cannot be had is a result with a stated reason: the priors, and it is said."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from corrosion.forecast import appraise, what_rates_rest_on
from corrosion.life_model import fit_life
from tests.chain import links
from tests.fleets import FleetLogs, usual_fleet

pytestmark = pytest.mark.slow

OUT = (
    ("H1", "25", 0.1),
    ("H1", "06", 0.1),
    ("H1", "06", 2.0),
    ("H2", "18", 2.0),
    ("H2", "25", 2.0),
)
CONTRADICTING = (
    ("H1", "pencil", "04-07 22", "worn"),
    ("H1", "pencil", "05-04 03", "worn"),
    ("H1", "plate", "04-09 10", "worn"),
    ("H1", "plate", "04-14 12", "ok"),
    ("H1", "plate", "04-20 06", "ok"),
    ("H1", "plate", "04-21 22", "ok"),
    ("H2", "pencil", "04-24 20", "ok"),
    ("H2", "pencil", "05-07 23", "worn"),
    ("H2", "pencil", "05-19 01", "worn"),
    ("H2", "pencil", "05-24 07", "ok"),
    ("H2", "pencil", "05-26 07", "worn"),
)


def measured() -> FleetLogs:
    fleet = usual_fleet(2)
    for hull in ("H1", "H2"):
        fleet.season(hull, "2031-04-05", 20)
        fleet.reading(hull, "pencil", "2031-04-20", 8.6).reading(hull, "pencil", "2031-05-10", 8.2)
    return fleet


def test_looks_that_no_fit_can_bear_leave_the_priors() -> None:
    made = links(measured())
    looks = made.lives.looks.assign(worn=np.nan)
    fit = fit_life(replace(made.lives, looks=looks), made.exposure)
    assert fit.unfitted
    assert np.array_equal(fit.results.params, fit.model.prior_mean)
    assert np.isfinite(fit.results.normalized_cov_params).all()
    assert fit.lives.looks is looks  # what was read is still there to be shown


def test_a_fleet_that_can_be_fitted_is() -> None:
    made = links(measured())
    assert not fit_life(made.lives, made.exposure).unfitted


def test_little_measured_is_said_and_much_is_not(tmp_path: Path) -> None:
    few = what_rates_rest_on(appraise(measured().write(tmp_path / "few"), "2031-06-01"))
    assert len(few) == 1
    assert "rest on 4 measured stretches" in few[0]
    fleet = measured()
    for number, day in enumerate(("2031-05-12", "2031-05-20", "2031-05-28")):
        for hull in ("H1", "H2"):
            fleet.reading(hull, "pencil", day, 8.1 - 0.1 * number)
    assert what_rates_rest_on(appraise(fleet.write(tmp_path / "more"), "2031-06-01")) == ()


def test_verdicts_that_contradict_each_other_warn_of_nothing_in_the_arithmetic(
    tmp_path: Path,
) -> None:
    # the climb tries rates that overflow; warnings fail the tests
    fleet = usual_fleet(2).fitting("H1", "plate", "2031-05-01", alloy="zinc")
    fleet.fitting("H2", "pencil", "2031-05-01", alloy="magnesium")
    for hull, day, hours in OUT:
        fleet.outing(hull, f"2031-04-{day} 09:00", hours=hours)
    for hull, position, at, verdict in CONTRADICTING:
        fleet.reading(hull, position, f"2031-{at}:00", verdict=verdict)
    forecast = appraise(fleet.write(tmp_path), "2031-06-01").forecast
    assert np.isfinite(forecast.hull_chance).all()
