"""Facts about the use ahead."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from corrosion.forecast.usage_forecast import Ahead, day_grid, use_ahead
from tests.chain import Links, links
from tests.fleets import FleetLogs

pytestmark = pytest.mark.slow

ON = "2031-07-01"


def _hours(fleet: FleetLogs, on: str = ON) -> tuple[Links, Ahead]:
    chain = links(fleet, on)
    return chain, use_ahead(chain.checked, chain.exposure, 14)


def _within(ahead: Ahead, hull: int, days: int) -> float:
    return float(ahead.engine_h[hull, np.searchsorted(ahead.days, days)])


def _fleet(hulls: int = 3) -> FleetLogs:
    fleet = FleetLogs().mooring("E").position("pencil")
    for number in range(1, hulls + 1):
        fleet.hull(f"H{number}").berth(f"H{number}", "E", since="2030-01-01")
    return fleet


def _booked_as_used(days: int = 90) -> FleetLogs:
    """H1 goes out on all days, H2 every second day, H3 every fourth; all of it booked before."""
    fleet = _fleet()
    for number, step in ((1, 1), (2, 2), (3, 4)):
        for day in pd.date_range(end="2031-06-30", periods=days, freq="D")[::step]:
            start = f"{day:%Y-%m-%d} 09:00"
            fleet.outing(f"H{number}", start, hours=2, share=0.9)
            fleet.booking(f"H{number}", start, f"{day:%Y-%m-%d} 11:00", engine_hours=1.8)
    return fleet


def test_without_bookings_hulls_go_on_as_in_the_last_four_weeks() -> None:
    fleet = _fleet(2).season("H1", "2031-04-01", 91)
    for day in pd.date_range("2031-04-01", "2031-06-30", freq="7D"):
        fleet.outing("H2", f"{day:%Y-%m-%d} 09:00", hours=5, share=1.0)
    _, ahead = _hours(fleet)
    assert _within(ahead, 0, 14) == pytest.approx(14 * 1.8, rel=0.1)
    assert _within(ahead, 1, 14) == pytest.approx(2 * 5.0, rel=0.1)


def test_bookings_are_followed_where_past_bookings_told() -> None:
    fleet = _booked_as_used()
    for day in pd.date_range("2031-07-01", periods=28):  # the habit of H1 and H3 changes places
        for hull, step in (("H1", 4), ("H2", 2), ("H3", 1)):
            if day.day % step == 0:
                start = f"{day:%Y-%m-%d} 09:00"
                fleet.booking(hull, start, f"{day:%Y-%m-%d} 11:00", engine_hours=1.8)
    _, ahead = _hours(fleet)
    assert _within(ahead, 2, 14) > 1.5 * _within(ahead, 0, 14)
    assert _within(ahead, 2, 14) == pytest.approx(14 * 1.8, rel=0.4)


def test_bookings_that_never_came_about_are_not_believed() -> None:
    fleet = _fleet(2).season("H1", "2031-04-01", 91)
    for day in pd.date_range("2031-04-01", "2031-07-20"):
        start = f"{day:%Y-%m-%d} 09:00"
        fleet.booking("H2", start, f"{day:%Y-%m-%d} 13:00", engine_hours=4.0)
    _, ahead = _hours(fleet)
    assert _within(ahead, 1, 14) < 0.2 * 14 * 4.0
    assert _within(ahead, 0, 14) == pytest.approx(14 * 1.8, rel=0.25)


def test_a_first_booking_does_not_mean_that_the_hull_lies_still_until_then() -> None:
    fleet = _fleet(2).season("H1", "2031-04-01", 91).season("H2", "2031-04-01", 91)
    fleet.booking("H1", "2031-07-20 09:00", "2031-07-20 12:00", engine_hours=3.0)
    _, ahead = _hours(fleet)
    assert (ahead.engine_h[0] >= ahead.engine_h[1] - 1e-9).all()


def test_a_book_without_a_past_counts_where_it_holds_more_than_habit() -> None:
    fleet = _fleet(1).season("H1", "2031-04-01", 91)
    for day in pd.date_range("2031-07-01", periods=14):
        start = f"{day:%Y-%m-%d} 09:00"
        fleet.booking("H1", start, f"{day:%Y-%m-%d} 15:00", engine_hours=5.0)
    _, ahead = _hours(fleet)
    assert _within(ahead, 0, 14) == pytest.approx(14 * 5.0, rel=0.1)
    assert _within(ahead, 0, 28) == pytest.approx(14 * 5.0 + 14 * 1.8, rel=0.1)


def test_the_season_of_last_year_comes_again() -> None:
    fleet = _fleet(1)
    for day in pd.date_range("2030-04-01", "2031-06-30"):
        # a summer of daily hire from July to August, every fourth day besides
        if day.month in (7, 8) or day.day % 4 == 0:
            fleet.outing("H1", f"{day:%Y-%m-%d} 09:00")
    _, ahead = _hours(fleet)
    spring = 1.8 * 28 / 4
    assert _within(ahead, 0, 28) > 2.5 * spring
    autumn = _within(ahead, 0, 112) - _within(ahead, 0, 84)
    assert autumn < 1.7 * spring


def test_expected_hours_never_fall_and_more_booked_hours_never_lower_them() -> None:
    fleet = _booked_as_used()
    for day in pd.date_range("2031-07-01", periods=20, freq="2D"):
        start = f"{day:%Y-%m-%d} 09:00"
        fleet.booking("H2", start, f"{day:%Y-%m-%d} 13:00", engine_hours=1.0)
    chain, ahead = _hours(fleet)
    assert (np.diff(ahead.engine_h, axis=1) >= 0).all()
    bookings = chain.checked.bookings
    later = bookings["starts"] > pd.Timestamp(ON, tz="UTC")
    for factor in (1.5, 3.0):
        hours = bookings["engine_hours"].where(~later, factor * bookings["engine_hours"])
        tables = dict(chain.checked.tables) | {"bookings": bookings.assign(engine_hours=hours)}
        more = use_ahead(replace(chain.checked, tables=tables), chain.exposure, 14)
        assert (more.engine_h[1] >= ahead.engine_h[1] - 1e-9).all()


def test_a_hull_that_flushes_is_expected_to_flush() -> None:
    fleet = _fleet(2).season("H1", "2031-04-01", 91, flushed=True)
    _, ahead = _hours(fleet.season("H2", "2031-04-01", 91))
    wet = ahead.hours.laid_out().drying[:, np.searchsorted(ahead.days, 14)].sum(axis=1)
    assert (wet[0] < 0.25 * wet[1]).all()


def test_hours_lying_afloat_and_hours_out_fill_the_days_ahead() -> None:
    chain, ahead = _hours(_fleet(1).season("H1", "2031-04-01", 91))
    cells = chain.exposure.cells
    plain = ahead.hours.laid_out().plain
    afloat = (cells["state"] == "afloat").to_numpy(bool)[: plain.shape[2]]
    lying = plain[0][:, afloat].sum(axis=1)
    out = ahead.engine_h[0] / 0.9
    assert lying + out == pytest.approx(24 * ahead.days)


def test_a_lifted_hull_stays_lifted() -> None:
    fleet = FleetLogs().mooring("E").position("pencil").hull("H1").berth("H1", "E", "lifted")
    chain, ahead = _hours(fleet.season("H1", "2031-04-01", 91))
    assert "afloat" not in set(chain.exposure.cells["state"])
    assert _within(ahead, 0, 14) > 0


def test_the_spread_of_use_widens_far_ahead_and_is_never_nothing() -> None:
    _, ahead = _hours(_booked_as_used())
    assert ahead.spread.min() > 0.02
    assert ahead.spread[0, -1] > ahead.spread[0, np.searchsorted(ahead.days, 28)]


def test_the_horizon_is_a_day_of_the_grid() -> None:
    for days in (1, 7, 66, 1000):
        grid = day_grid(days)
        assert days in grid
        assert grid[0] == 0
        assert (np.diff(grid) > 0).all()
