"""Objections against mistakes whose place is known: what is found, and what sound rows suffer.

What has to be reached: every inch, every exact duplicate, every impossible hour; four in five of
the changes that nobody wrote down; fewer than one sound row in fifty objected to.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from corrosion.records.checks import Checked, check_logs
from corrosion.records.logbook import read_fleet
from tests.known_truth.simulator import KINDS, TrueFleet, simulate, write
from tests.known_truth.small import small

pytestmark = pytest.mark.slow

DEMO = Path(__file__).parents[2] / "demo_fleet"
FALSE_SHARE = 0.02
FOUND_CHANGES = 0.8
# the objection that each planted mistake deserves
DESERVED = {
    "inches": "inch-for-mm",
    "negative": "engine-hours-negative",
    "unrecorded": "change-not-recorded",
}


def believed_less(result: Checked, log: str) -> pd.DataFrame:
    """Objections that cost a row its full weight."""
    objections = result.objections[result.objections["log"] == log]
    return objections[objections["severity"] != "note"]


def rows_by(result: Checked, log: str, rule: str) -> set[int]:
    objections = believed_less(result, log)
    return set(objections.loc[objections["rule"] == rule, "log_row"])


def check(fleet: TrueFleet, folder: Path) -> Checked:
    return check_logs(read_fleet(write(fleet, folder)))


def planted_rows(fleet: TrueFleet, log: str, mistake: str) -> set[int]:
    planted = fleet.planted
    return set(planted.loc[(planted["log"] == log) & (planted["mistake"] == mistake), "row"])


def false_share(result: Checked, log: str, wrong: set[int]) -> float:
    sound = set(result.logbook.tables[log]["log_row"]) - wrong
    return len(set(believed_less(result, log)["log_row"]) & sound) / len(sound)


@pytest.fixture(scope="module", params=[1, 2])
def messy(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[TrueFleet, Checked]:
    fleet = simulate("messy", request.param)
    return fleet, check(fleet, tmp_path_factory.mktemp("messy"))


@pytest.mark.slow
@pytest.mark.parametrize(("log", "mistake"), [("readings", "inches"), ("outings", "negative")])
def test_every_inch_and_every_impossible_hour_is_found(
    messy: tuple[TrueFleet, Checked], log: str, mistake: str
) -> None:
    fleet, result = messy
    planted = planted_rows(fleet, log, mistake)
    assert len(planted) > 20
    assert planted <= rows_by(result, log, DESERVED[mistake])


@pytest.mark.slow
@pytest.mark.parametrize("log", ["readings", "outings", "flushes"])
def test_one_of_every_pair_of_duplicates_is_set_aside(
    messy: tuple[TrueFleet, Checked], log: str
) -> None:
    fleet, result = messy
    planted = planted_rows(fleet, log, "twice")
    doubles = rows_by(result, log, "exact-duplicate")
    assert doubles <= planted
    assert len(doubles) == len(planted) / 2 > 20


@pytest.mark.slow
def test_four_in_five_changes_that_nobody_wrote_down_start_a_life(
    messy: tuple[TrueFleet, Checked],
) -> None:
    fleet, result = messy
    planted = planted_rows(fleet, "readings", "unrecorded")
    readings = result.readings
    noticed = planted & set(readings.loc[readings["breaks_life"], "log_row"])
    assert len(noticed) >= FOUND_CHANGES * len(planted) > 2


@pytest.mark.slow
@pytest.mark.parametrize("log", ["readings", "outings", "flushes", "fittings"])
def test_hardly_any_sound_row_of_a_messy_fleet_is_objected_to(
    messy: tuple[TrueFleet, Checked], log: str
) -> None:
    fleet, result = messy
    wrong = set(fleet.planted.loc[fleet.planted["log"] == log, "row"])
    assert false_share(result, log, wrong) < FALSE_SHARE


# a flush written down for 18:00 while the hull was out is no sound row
@pytest.mark.parametrize("kind", sorted(set(KINDS) - {"messy", "six_oclock", "ticked"}))
def test_hardly_any_row_of_a_sound_fleet_is_objected_to(kind: str, tmp_path: Path) -> None:
    result = check(small(kind), tmp_path)
    for log in ("readings", "outings", "flushes", "fittings"):
        assert false_share(result, log, set()) < FALSE_SHARE, log


def test_crust_in_fresh_water_and_pits_cost_few_readings_their_weight(tmp_path: Path) -> None:
    # common practice, no source: pitted anodes repeat to 0.3 to 0.5 mm, crust adds 0.3 to 1.5 mm
    fleet, rng = small("standard"), np.random.default_rng(5)
    readings = fleet.tables["readings"]
    pits = rng.normal(0, 0.4, len(readings)) * (rng.random(len(readings)) < 0.2)
    crust = rng.uniform(0.3, 1.5, len(readings)) * (rng.random(len(readings)) < 0.2)
    size = readings["size_mm"] + pits + np.where(_in_fresh(fleet), crust, 0.0)
    spoilt = replace(fleet, tables=fleet.tables | {"readings": readings.assign(size_mm=size)})
    assert false_share(check(spoilt, tmp_path), "readings", set()) < FALSE_SHARE


def _in_fresh(fleet: TrueFleet) -> pd.Series:
    berths = fleet.tables["berths"].drop_duplicates("hull_id").set_index("hull_id")["mooring_id"]
    water = fleet.tables["moorings"].set_index("mooring_id")["water"]
    return fleet.tables["readings"]["hull_id"].map(berths).map(water) == "fresh"


@pytest.fixture(scope="module")
def demo() -> tuple[pd.DataFrame, Checked]:
    planted = pd.read_parquet(DEMO / "answers" / "planted_faults.parquet")
    return planted, check_logs(read_fleet(DEMO / "logs"))


DEMO_FAULTS = [
    ("readings", "inches", "inch-for-mm"),
    ("readings", "lost-decimal-point", "decimal-point-lost"),
    ("outings", "hours-longer-than-outing", "engine-hours-over-outing"),
]


@pytest.mark.parametrize(("log", "fault", "rule"), DEMO_FAULTS)
def test_the_demo_fleets_impossible_values_are_all_found(
    demo: tuple[pd.DataFrame, Checked], log: str, fault: str, rule: str
) -> None:
    planted, result = demo
    rows = set(planted.loc[planted["fault"] == fault, "log_row"].astype(int))
    assert rows
    assert rows == rows_by(result, log, rule)


def test_the_demo_fleets_double_entries_are_all_set_aside(
    demo: tuple[pd.DataFrame, Checked],
) -> None:
    planted, result = demo
    twice = planted[planted["fault"] == "double-entry"].groupby("log").size()
    for log, count in twice.items():
        rules = ["exact-duplicate", "double-entry"]
        assert sum(len(rows_by(result, str(log), rule)) for rule in rules) == count, log


def test_the_demo_fleets_changes_that_nobody_wrote_down_are_found(
    demo: tuple[pd.DataFrame, Checked],
) -> None:
    planted, result = demo
    anode = ["hull_id", "position"]
    lost = planted.loc[planted["fault"] == "unrecorded-change", anode].value_counts()
    readings = result.readings
    breaking = readings.loc[readings["breaks_life"], anode].value_counts()
    noticed = breaking.clip(upper=lost.reindex(breaking.index).fillna(0))
    assert noticed.sum() == breaking.sum()
    assert noticed.sum() >= FOUND_CHANGES * lost.sum() > 0


def test_hardly_any_sound_row_of_the_demo_fleet_is_objected_to(
    demo: tuple[pd.DataFrame, Checked],
) -> None:
    planted, result = demo
    for log in ("readings", "outings", "flushes", "fittings"):
        wrong = set(planted.loc[planted["log"] == log, "log_row"].dropna().astype(int))
        assert false_share(result, log, wrong) < FALSE_SHARE, log
