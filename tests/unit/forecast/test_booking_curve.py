"""How full the book ahead is: hires still to be taken are no quiet weeks."""

import numpy as np
import pandas as pd
import pytest

from corrosion.forecast.booking_curve import fill_of_leads, fill_of_shape
from corrosion.forecast.usage_forecast import use_ahead
from tests.chain import ON, hour, links
from tests.fleets import FleetLogs, usual_fleet

ON_H = hour(ON)


def booked(leads_days: np.ndarray, entered: bool = True) -> pd.DataFrame:
    """Past hires of the last 100 days, each entered so many days ahead."""
    starts = pd.Timestamp(ON, tz="UTC") - pd.to_timedelta(np.linspace(1, 100, leads_days.size), "D")
    table = pd.DataFrame({"starts": starts})
    if entered:
        table["entered_at"] = starts - pd.to_timedelta(leads_days, "D")
    return table


def test_leads_of_past_hires_say_how_many_are_taken_by_then() -> None:
    fill = fill_of_leads(booked(np.repeat([2.0, 10.0], 50)), ON_H, 30)
    assert fill is not None
    assert fill[[0, 1]].tolist() == [1.0, 1.0]
    assert fill[[2, 9]].tolist() == [0.5, 0.5]
    assert fill[[10, 29]].tolist() == [0.0, 0.0]


def test_hires_entered_afterwards_were_not_taken_ahead() -> None:
    fill = fill_of_leads(booked(np.repeat([-3.0, 20.0], 50)), ON_H, 10)
    assert fill is not None
    assert fill == pytest.approx(np.full(10, 0.5))


def test_few_bookings_none_dated_and_an_import_tell_no_leads() -> None:
    assert fill_of_leads(booked(np.full(20, 5.0)), ON_H, 30) is None
    assert fill_of_leads(booked(np.full(100, 5.0), entered=False), ON_H, 30) is None
    import_day = booked(np.full(100, 5.0)).assign(entered_at=pd.Timestamp(ON, tz="UTC"))
    assert fill_of_leads(import_day, ON_H, 30) is None


def test_a_book_that_thins_out_steeply_is_filling_and_one_that_stands_is_not() -> None:
    usual = np.full(70, 10.0)
    fill, filling = fill_of_shape(usual * np.exp(-np.arange(70) / 9.0), usual)
    assert filling == 1.0
    assert (np.diff(fill) <= 1e-12).all()
    assert fill[3] == pytest.approx(np.exp(-3.5 / 9.0), abs=0.07)
    quiet = usual * np.where(np.arange(70) // 7 == 2, 0.6, 1.0)
    assert fill_of_shape(quiet, usual)[1] == 0.0


def test_a_season_that_ends_gently_is_not_taken_for_a_filling_book() -> None:
    usual = np.full(70, 10.0)
    assert fill_of_shape(usual * np.linspace(1.0, 0.5, 70), usual)[1] == 0.0


def half_booked_fleet(*, dated: bool) -> FleetLogs:
    """Two hulls out each day, booked three days ahead; so the next three days are in the book."""
    fleet = usual_fleet(2)
    on = pd.Timestamp(ON)
    for hull in ("H1", "H2"):
        fleet.season(hull, "2031-04-02", 60)
        for day in pd.date_range("2031-04-02", on + pd.Timedelta(days=2)):
            entered = (
                {"entered_at": f"{day - pd.Timedelta(days=3):%Y-%m-%d} 09:00"} if dated else {}
            )
            at = f"{day:%Y-%m-%d}"
            fleet.booking(hull, f"{at} 09:00", f"{at} 11:00", engine_hours=1.8, **entered)
    return fleet


@pytest.mark.parametrize("dated", [True, False])
def test_use_ahead_goes_on_where_the_book_is_not_full_yet(dated: bool) -> None:
    chain = links(half_booked_fleet(dated=dated))
    ahead = use_ahead(chain.checked, chain.exposure, 28)
    four_weeks = ahead.engine_h[:, ahead.days == 28].ravel()
    assert four_weeks == pytest.approx(np.full(2, 28 * 1.8), rel=0.12)
