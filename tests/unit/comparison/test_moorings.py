"""Moorings side by side: raw, and with all else held equal."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from corrosion.comparison.moorings import compare, compare_moorings
from corrosion.comparison.moorings.raw import stretches_between_looks
from corrosion.comparison.moorings.stays import spells
from corrosion.forecast.appraisal import Appraisal, appraise
from tests.fleets import usual_fleet
from tests.wearing import Group, wearing_fleet

pytestmark = pytest.mark.slow

ON = "2031-07-12"


def compared(folder: Path, *groups: Group) -> pd.DataFrame:
    fleet = wearing_fleet(*groups)
    return compare_moorings(appraise(fleet.write(folder), ON)).set_index("mooring_id")


BUSY, QUIET = Group("A", "salt", 6, 1, 0.01), Group("B", "salt", 6, 3, 0.01)


@pytest.fixture(scope="module")
def busy_and_quiet(tmp_path_factory: pytest.TempPathFactory) -> pd.DataFrame:
    return compared(tmp_path_factory.mktemp("fleet"), BUSY, QUIET)


@pytest.fixture(scope="module")
def simulated_moorings(appraised: Appraisal) -> pd.DataFrame:
    return compare_moorings(appraised)


def test_where_only_use_differs_raw_wear_differs_and_adjusted_does_not(
    busy_and_quiet: pd.DataFrame,
) -> None:
    table = busy_and_quiet
    raw, equal = table["raw_ratio"], table["adjusted_ratio"]
    assert raw["A"] / raw["B"] == pytest.approx(3.0, rel=0.15)
    assert equal["A"] / equal["B"] == pytest.approx(1.0, abs=0.12)
    assert (table["low"] < 1).all()
    assert (table["high"] > 1).all()
    assert table["compared"].all()


def test_a_harder_water_shows_under_equal_use(tmp_path: Path) -> None:
    table = compared(tmp_path, BUSY, Group("B", "brackish", 6, 3, 0.005))
    equal = table["adjusted_ratio"]
    assert equal["A"] / equal["B"] == pytest.approx(2.0, rel=0.2)
    assert table["raw_ratio"]["A"] / table["raw_ratio"]["B"] == pytest.approx(6.0, rel=0.25)


def test_ratios_average_to_one_over_hull_days(simulated_moorings: pd.DataFrame) -> None:
    table = simulated_moorings
    for column in ("raw_ratio", "adjusted_ratio"):
        assert np.average(table[column], weights=table["hull_days"]) == pytest.approx(1.0)


def test_an_interval_holds_its_ratio(simulated_moorings: pd.DataFrame) -> None:
    table = simulated_moorings
    assert (
        (table["low"] < table["adjusted_ratio"]) & (table["adjusted_ratio"] < table["high"])
    ).all()
    assert (table["life_low_h"] < table["life_h"]).all()
    assert (table["life_h"] < table["life_high_h"]).all()


def test_a_life_is_the_engine_hours_that_wear_the_whole_allowance(
    busy_and_quiet: pd.DataFrame,
) -> None:
    # 2.6 mm of diameter at 0.01 mm an engine hour; paces of the hulls lie about 1
    assert busy_and_quiet["life_h"].to_numpy() == pytest.approx([260.0, 260.0], rel=0.15)


def test_groups_under_five_hulls_are_listed_but_not_compared(tmp_path: Path) -> None:
    table = compared(tmp_path, BUSY, Group("B", "fresh", 4, 2, 0.002))
    assert table["compared"].to_dict() == {"A": True, "B": False}
    assert table["adjusted_ratio"].notna().all()
    assert table["hulls"].to_dict() == {"A": 6, "B": 4}


def test_fewer_hulls_make_a_wider_interval(tmp_path: Path) -> None:
    table = compared(tmp_path, Group("A", "salt", 12, 1, 0.01), Group("B", "brackish", 3, 1, 0.005))
    width = np.log(table["life_high_h"] / table["life_low_h"])
    assert width["B"] > 1.3 * width["A"]


def test_a_mooring_where_no_hull_ever_lay_has_a_row_and_no_ratio(tmp_path: Path) -> None:
    fleet = wearing_fleet(BUSY).mooring("Z", "brackish")
    table = compare_moorings(appraise(fleet.write(tmp_path), ON)).set_index("mooring_id")
    assert table.loc["Z", "hulls"] == 0
    assert table.loc["Z", ["raw_ratio", "adjusted_ratio", "low", "high"]].isna().all()
    assert table.loc["A", "adjusted_ratio"] == pytest.approx(1.0)


def test_a_mooring_of_unknown_water_has_no_ratio(tmp_path: Path) -> None:
    fleet = wearing_fleet(BUSY)
    fleet.add("moorings", mooring_id="Z", water=None).hull("H99").berth(
        "H99", "Z", since="2031-05-01"
    )
    table = compare_moorings(appraise(fleet.write(tmp_path), ON)).set_index("mooring_id")
    assert np.isnan(table.loc["Z", "adjusted_ratio"])


def test_a_fleet_that_nobody_read_yet_gets_wide_intervals_and_no_raw_ratio(tmp_path: Path) -> None:
    fleet = wearing_fleet(BUSY, Group("B", "fresh", 6, 1, 0.001))
    fleet.rows["readings"].clear()
    table = compare_moorings(appraise(fleet.write(tmp_path), ON))
    assert table["raw_ratio"].isna().all()
    assert (table["high"] / table["low"] > 1.5).any()


def test_a_hull_that_moved_counts_at_both_moorings_for_the_days_it_lay_there(
    tmp_path: Path,
) -> None:
    fleet = wearing_fleet(BUSY, QUIET).berth("H01", "B", since="2031-05-01")
    appraisal = appraise(fleet.write(tmp_path), ON)
    table = compare_moorings(appraisal).set_index("mooring_id")
    assert table["hulls"].to_dict() == {"A": 6, "B": 7}
    days = (
        spells(appraisal.checked, appraisal.exposure)
        .query("hull == 0")
        .set_index("mooring")["days"]
    )
    assert days.to_dict() == pytest.approx({0: 30.0, 1: 72.0})
    codes = stretches_between_looks(appraisal.lives, appraisal.exposure).query("hull == 0")[
        "mooring"
    ]
    assert codes.tolist() == [0, 0] + [1] * 5


def test_days_end_when_a_hull_is_retired(tmp_path: Path) -> None:
    fleet = wearing_fleet(BUSY)
    fleet.rows["hulls"][0]["retired"] = "2031-05-01"
    appraisal = appraise(fleet.write(tmp_path), ON)
    assert spells(appraisal.checked, appraisal.exposure)["days"].tolist() == pytest.approx(
        [30.0] + [102.0] * 5
    )


def test_every_mooring_is_put_to_the_same_use(appraised: Appraisal) -> None:
    use = compare(appraised).use
    assert 0 < use.running_h < 24
    assert 0 <= use.afloat_h <= 24
    assert (np.diff(use.unflushed_h) >= 0).all()  # the slower it dries, the more it counts
    assert use.layouts.sum() == pytest.approx(1.0)


def test_a_fleet_that_never_ran_has_ratios_of_lying_afloat_and_no_life_in_engine_hours(
    tmp_path: Path,
) -> None:
    fleet = usual_fleet(18)
    for number in range(1, 19):
        fleet.reading(f"H{number}", "plate", "2031-06-20 09:00", 14.5 - 0.01 * number)
    table = compare_moorings(appraise(fleet.write(tmp_path), ON))
    assert table["adjusted_ratio"].notna().all()
    assert table[["life_h", "life_low_h", "life_high_h"]].isna().all(axis=None)
