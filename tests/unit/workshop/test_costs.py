"""Costs from what was done: sums by hand, and what is not known said and never taken as nought."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from corrosion.forecast.appraisal import appraise
from corrosion.workshop.costs import EVERYWHERE, Costs, add_up_costs
from tests.fleets import FleetLogs

pytestmark = pytest.mark.slow

PRICED = {
    "access_minutes": 30.0,
    "swap_minutes": 15.0,
    "part_cost": 20.0,
    "seal_cost": 3.0,
    "access_group": "cover",
}


def fleet(**prices: object) -> FleetLogs:
    """Two hulls at two moorings; H1's jacket and cooler changed on 20 May, H2 looked at once."""
    logs = FleetLogs().setting(timezone="UTC", currency="EUR")
    logs.mooring("M1").mooring("M2")
    for name in ("jacket", "cooler"):
        logs.position(name, **(PRICED | prices))
    for hull, mooring in (("H1", "M1"), ("H2", "M2")):
        logs.hull(hull).berth(hull, mooring)
        for name in ("jacket", "cooler"):
            logs.fitting(hull, name, "2031-04-01 08:00")
        for day in range(2, 30, 3):
            logs.outing(hull, f"2031-05-{day:02d} 09:00", hours=2.0)
    for name in ("jacket", "cooler"):
        logs.reading("H1", name, "2031-05-20 07:00", 6.9, removed=True)
        logs.fitting("H1", name, "2031-05-20 07:30")
    logs.reading("H2", "jacket", "2031-05-21 07:00", 8.0)
    return logs


def found(logs: FleetLogs, folder: Path) -> Costs:
    return add_up_costs(appraise(logs.write(folder), "2031-06-01"))


def of(costs: Costs, mooring: str) -> pd.Series:
    return costs.table.set_index("mooring_id").loc[mooring]


def test_a_visit_is_hauled_once_and_opened_once_for_two_neighbours(tmp_path: Path) -> None:
    costs = found(fleet().setting(wage_per_hour=40.0, haul_hours=0.75), tmp_path)
    row = of(costs, "M1")
    # 0.75 h haul, 0.5 h access once, two swaps of 0.25 h: 1.75 h at 40; two parts, two seals
    assert (row["visits"], row["changes"]) == (1, 2)
    assert row["labour"] == pytest.approx(1.75 * 40)
    assert row["parts"] == pytest.approx(2 * 20 + 2 * 3)
    assert costs.visits["hours"].tolist() == [pytest.approx(1.75)]


def test_a_look_costs_its_access_and_its_seal_and_no_haul(tmp_path: Path) -> None:
    row = of(found(fleet().setting(wage_per_hour=40.0), tmp_path), "M2")
    assert (row["visits"], row["looks"]) == (0, 1)
    assert row["looking"] == pytest.approx((30 + 5) / 60 * 40)
    assert row["parts"] == pytest.approx(3.0)


def test_moorings_add_up_to_the_fleet(tmp_path: Path) -> None:
    table = found(fleet().setting(wage_per_hour=40.0), tmp_path).table
    every = table["mooring_id"] == EVERYWHERE
    for name in ("hulls", "hull_seasons", "hire_hours", "visits", "changes", "parts", "total"):
        assert table.loc[~every, name].sum() == pytest.approx(table.loc[every, name].item()), name
    assert table["hire_hours"].iloc[-1] == pytest.approx(2 * 10 * 2.0)
    assert table["hull_seasons"].iloc[-1] == pytest.approx(2.0)


def test_costs_an_hour_are_the_total_over_the_hours(tmp_path: Path) -> None:
    row = of(found(fleet().setting(wage_per_hour=40.0), tmp_path), "M1")
    assert row["per_hire_hour"] == pytest.approx(row["total"] / row["hire_hours"])
    assert row["per_engine_hour"] == pytest.approx(row["total"] / row["engine_hours"])


def test_without_a_wage_labour_is_not_known_and_not_nought(tmp_path: Path) -> None:
    costs = found(fleet(), tmp_path)
    assert np.isnan(of(costs, "M1")["labour"])
    assert of(costs, "M1")["total"] == pytest.approx(46.0)
    assert any("wage_per_hour" in line for line in costs.not_known)


def test_without_prices_parts_are_not_known_and_the_changes_are_counted(tmp_path: Path) -> None:
    costs = found(fleet(part_cost=None, seal_cost=None), tmp_path)
    assert np.isnan(of(costs, "M1")["parts"])
    assert np.isnan(of(costs, "M1")["total"])
    assert any("2 of 2 changes" in line for line in costs.not_known)


def test_a_booked_hire_that_the_visit_stood_in_the_way_of_is_lost(tmp_path: Path) -> None:
    logs = fleet().booking("H1", "2031-05-20 08:00", "2031-05-20 08:45", hire_value=120.0)
    logs.booking("H1", "2031-05-02 08:30", "2031-05-02 11:00", hire_value=90.0)
    costs = found(logs, tmp_path)
    assert costs.visits["lost_hire"].tolist() == [120.0]


def test_a_hire_that_sailed_all_the_same_is_not_lost(tmp_path: Path) -> None:
    logs = fleet().booking("H1", "2031-05-20 08:00", "2031-05-20 11:00", hire_value=120.0)
    assert found(logs, tmp_path).visits["lost_hire"].tolist() == [0.0]


def test_without_hire_values_lost_hire_is_not_known(tmp_path: Path) -> None:
    costs = found(fleet(), tmp_path)
    assert costs.visits["lost_hire"].isna().all()
    assert any("Lost hire is not known" in line for line in costs.not_known)


def test_a_fleet_on_which_nothing_was_done_has_costs_of_nothing(tmp_path: Path) -> None:
    logs = FleetLogs().setting(wage_per_hour=40.0).mooring("M1").hull("H1").berth("H1", "M1")
    logs.position("jacket", **PRICED).fitting("H1", "jacket", "2031-04-01 08:00")
    logs.outing("H1", "2031-05-02 09:00", hours=2.0)
    costs = found(logs, tmp_path)
    assert costs.visits.empty
    assert of(costs, EVERYWHERE)["visits"] == 0
