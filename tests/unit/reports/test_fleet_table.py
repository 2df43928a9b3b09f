"""The fleet's table holds every hull once, and its counts are those of the forecast."""

from pathlib import Path

import pytest

from corrosion.forecast import Appraisal, appraise
from corrosion.reports import EVERYWHERE, FleetTable, choose_hulls, fleet_table, headline
from tests.demo import appraised_demo
from tests.fleets import usual_fleet


@pytest.fixture(scope="module")
def demo() -> Appraisal:
    return appraised_demo()


@pytest.fixture(scope="module")
def fleet(demo: Appraisal) -> FleetTable:
    return fleet_table(demo)


def test_every_hull_of_the_forecast_stands_in_it_once(demo: Appraisal, fleet: FleetTable) -> None:
    forecast = demo.forecast
    both = [*forecast.hulls["hull_id"], *forecast.not_judged["hull_id"].unique()]
    assert fleet.hulls["hull_id"].tolist() == both


def test_a_hull_that_is_not_judged_has_an_empty_stop_and_not_an_unknown_one(tmp_path: Path) -> None:
    logs = usual_fleet(1).season("H1", "2031-04-02", 20).hull("H2", "barge").berth("H2", "E")
    hulls = fleet_table(appraise(logs.write(tmp_path), "2031-06-01")).hulls.set_index("hull_id")
    assert hulls.at["H2", "standing"] == "not known"
    assert hulls.at["H2", "stop"] == ""


def test_hulls_past_or_high_are_those_of_the_weeks_headline(
    demo: Appraisal, fleet: FleetTable
) -> None:
    forecast = demo.forecast
    tolerated = demo.logbook.settings.tolerated_risk
    week = headline(forecast.hulls, forecast.anodes, forecast.not_judged, demo.until, tolerated)
    assert len(choose_hulls(fleet.hulls, standing="high")) == week.over
    assert set(fleet.hulls.loc[fleet.hulls["standing"] == "past", "hull_id"]) == set(
        week.past["hull_id"]
    )
    first = fleet.expected[fleet.expected["mooring_id"] == EVERYWHERE].iloc[0]
    assert tuple(first[["low", "likely", "high"]]) == (week.low, week.likely, week.high)


def test_more_hulls_reach_a_limit_as_weeks_go_by(fleet: FleetTable) -> None:
    for _, own in fleet.expected.groupby("mooring_id"):
        assert own["likely"].is_monotonic_increasing
        assert (own["low"] <= own["likely"]).all()
        assert (own["likely"] <= own["high"]).all()
        assert (own["high"] <= own["hulls"]).all()


def test_filters_keep_the_hulls_asked_for(fleet: FleetTable) -> None:
    hulls = fleet.hulls
    assert set(choose_hulls(hulls, "lake")["mooring_id"]) == {"lake"}
    assert choose_hulls(hulls, words="h07")["hull_id"].tolist() == ["H07"]
    assert choose_hulls(hulls, words="[").empty
    parts = [choose_hulls(hulls, mooring) for mooring in hulls["mooring_id"].unique()]
    assert sum(map(len, parts)) == len(hulls) == len(choose_hulls(hulls))
