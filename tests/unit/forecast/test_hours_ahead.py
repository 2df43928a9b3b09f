"""Hours ahead are weighted as they are shared out; laid out cell by cell they come to the same."""

import numpy as np
import pytest

from corrosion.exposure import Hours
from corrosion.forecast.filled_exposure import exposure_until_now
from corrosion.forecast.hours_ahead import hours_of_anodes, surface_ahead
from corrosion.forecast.usage_forecast import use_ahead
from corrosion.forecast.wear_projection import in_service
from corrosion.life_model import fit_life, wearing_columns
from corrosion.life_model.surface import surface_lost
from tests.chain import links
from tests.fleets import FleetLogs

ON = "2031-07-01"


def _two_waters() -> FleetLogs:
    """A hull in salt water that flushes, one in fresh that never does, one that is lifted."""
    fleet = FleetLogs().mooring("E", "salt").mooring("L", "fresh")
    fleet.position("pencil").position("plate", "hull", 15.0, 10.0)
    fleet.sample("E", "2031-04-01 12:00", temperature_c=12.0)
    fleet.sample("E", "2031-06-20 12:00", temperature_c=21.0)
    for hull, mooring, kind in (
        ("H1", "E", "afloat"),
        ("H2", "L", "afloat"),
        ("H3", "E", "lifted"),
    ):
        fleet.hull(hull).berth(hull, mooring, kind)
        fleet.season(hull, "2031-04-01", 91, flushed=hull == "H1")
        for position in ("pencil", "plate"):
            fleet.fitting(hull, position, "2031-04-01 08:00")
        fleet.reading(hull, "pencil", "2031-06-15 08:00", size_mm=9.0)
    return fleet


def test_hours_weighted_as_shared_out_wear_as_much_as_laid_out_cell_by_cell() -> None:
    chain = links(_two_waters(), ON)
    exposure = exposure_until_now(chain.checked)
    fit = fit_life(chain.lives, exposure)
    ahead = use_ahead(chain.checked, exposure, 14)
    now = hours_of_anodes(fit, chain.checked, ahead, in_service(chain.checked))
    terms, rates = fit.model.design.terms, fit.results.evaluation.rates
    lost, lying = surface_ahead(now, ahead.hours, terms, rates)
    laid_out = ahead.hours.laid_out()
    parts = (laid_out.plain, laid_out.plain_warm, laid_out.drying, laid_out.drying_warm)
    assert all(part.any() for part in parts)
    for anode, (hull, engine, alloy) in enumerate(now.kinds[now.alike]):
        own = Hours(*(part[hull] for part in parts))
        on_engine = np.full(ahead.days.size, bool(engine))
        columns = wearing_columns(terms, own, on_engine, np.full(ahead.days.size, alloy))
        assert lost[anode] == pytest.approx(surface_lost(columns, terms, rates).mm, rel=1e-9)
    assert lying.any()
    assert (lying <= lost + 1e-12).all()


def test_so_many_days_and_so_many_times_the_hours_are_those_of_the_cells() -> None:
    chain = links(_two_waters(), ON)
    hours = use_ahead(chain.checked, chain.exposure, 14).hours
    days = np.array([0, 3, 20])
    some, whole = hours.on_days(days).times(1.5).laid_out(), hours.laid_out()
    assert some.drying == pytest.approx(1.5 * whole.drying[:, days])
    assert some.plain_warm == pytest.approx(1.5 * whole.plain_warm[:, days])
