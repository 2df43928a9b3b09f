"""The odd ones are named with evidence; sound ones are not; alarms are never good news."""

import numpy as np
import pandas as pd
import pytest

from corrosion.forecast.anomalies import odd_ones
from corrosion.forecast.appraisal import appraise
from tests.fleets import FleetLogs

ON = "2031-06-20"
DAYS = [f"{d:%Y-%m-%d}" for d in pd.date_range("2031-04-21", periods=3, freq="20D")]
USUAL = [8.8, 8.6, 8.4]


def _fleet() -> FleetLogs:
    """Ten hulls alike at an estuary, two anodes each, three looks at each."""
    fleet = FleetLogs().mooring("E", "salt").mooring("L", "fresh")
    fleet.position("pencil", gauge="diameter").position("button", gauge="length")
    for number in range(1, 11):
        _hull(fleet, f"H{number}", {"pencil": USUAL, "button": USUAL})
    return fleet


def _hull(fleet: FleetLogs, hull: str, sizes: dict[str, list[float]], **cells: object) -> None:
    fleet.hull(hull).berth(hull, "E", "lifted").season(hull, "2031-04-02", 70, flushed=True)
    for position, values in sizes.items():
        fleet.fitting(hull, position, "2031-04-01", **cells)
        for day, size in zip(DAYS, values, strict=True):
            fleet.reading(hull, position, day, size)


@pytest.fixture(scope="module")
def odd(tmp_path_factory: pytest.TempPathFactory) -> pd.DataFrame:
    fleet = _fleet()
    _hull(fleet, "Hot", {"pencil": [8.5, 8.0, 7.5], "button": [8.5, 7.98, 7.52]})
    _hull(fleet, "Still", {"pencil": [9.0, 8.98, 9.0], "button": USUAL})
    _hull(fleet, "Mag", {"pencil": USUAL, "button": USUAL}, alloy="magnesium")
    _hull(fleet, "Gone", {"pencil": USUAL, "button": USUAL})
    fleet.berth("Gone", "L", "lifted", since="2031-06-12")
    _hull(fleet, "Jump", {"pencil": USUAL, "button": USUAL})
    fleet.reading("Jump", "button", "2031-06-02", 5.9)
    return odd_ones(appraise(fleet.write(tmp_path_factory.mktemp("odd")), ON))


def test_a_hull_with_more_than_twice_its_sisters_wear_is_named_with_both_anodes(odd):
    fast = odd[odd["kind"] == "wearing-fast"]
    assert set(fast["hull_id"]) == {"Hot"}
    assert set(fast["position"]) == {"pencil", "button"}
    assert fast["what_to_do"].str.contains("qualified marine electrician").all()
    assert fast["evidence"].str.contains("the whole hull does").all()


def test_an_anode_that_does_not_wear_in_salt_is_an_alarm_with_a_checklist(odd):
    still = odd[odd["kind"] == "not-wearing"]
    assert list(zip(still["hull_id"], still["position"], strict=True)) == [("Still", "pencil")]
    assert "not a saving" in still["what_to_do"].iloc[0]
    assert "painted over?" in still["what_to_do"].iloc[0]


def test_magnesium_in_salt_is_a_hard_stop_and_the_only_one(odd):
    stop = odd[odd["stop"]]
    assert set(stop["hull_id"]) == {"Mag"}
    assert stop["what_to_do"].str.startswith("Stop.").all()
    assert odd["stop"].iloc[0], "what stops a hull comes first"


def test_a_hull_moved_between_waters_asks_for_a_look_until_it_gets_one(odd):
    moved = odd[odd["kind"] == "moved"]
    assert list(moved["hull_id"]) == ["Gone"]
    assert "from salt to fresh" in moved["evidence"].iloc[0]


def test_a_loss_that_no_current_explains_is_named_impossible(odd):
    # 2.5 mm in two days; 13 mm a month of zinc is 100 A/m2 by Faraday's law (calculated)
    wrong = odd[odd["kind"] == "impossible"]
    assert list(wrong["hull_id"]) == ["Jump"]


def test_sisters_that_wear_alike_are_left_alone(odd):
    assert not odd["hull_id"].isin([f"H{n}" for n in range(1, 11)]).any()


def test_every_row_says_what_it_rests_on_and_what_to_do(odd):
    assert odd["evidence"].str.len().gt(10).all()
    assert odd["what_to_do"].str.len().gt(10).all()


@pytest.mark.slow
@pytest.mark.parametrize("hot", [3, 0])
def test_a_berth_is_named_when_its_hulls_rise_together(tmp_path, hot):
    fleet = FleetLogs().mooring("E", "salt").mooring("F", "salt")
    fleet.position("pencil", gauge="diameter").position("button", gauge="length")
    days = [f"{d:%Y-%m-%d}" for d in pd.date_range("2031-04-21", periods=5, freq="20D")]
    for number in range(12):
        hull, mooring = f"H{number}", "EF"[number % 2]
        fleet.hull(hull).berth(hull, mooring, "lifted", pontoon="north" if number < 6 else "south")
        fleet.season(hull, "2031-04-02", 110, flushed=True)
        pace = 3.0 if mooring == "E" and number < 2 * hot else 1.0
        lost = np.array([0.3, 0.6, 0.9, 0.3 * pace, 0.6 * pace])
        for position in ("pencil", "button"):
            # a change in between: that wear is faster is not that the anodes were older
            fleet.fitting(hull, position, "2031-04-01").fitting(hull, position, "2031-05-31 09:00")
            for day, gone in zip(days, lost, strict=True):
                fleet.reading(hull, position, day, round(9.0 - float(gone), 2))
    oddities = odd_ones(appraise(fleet.write(tmp_path), "2031-07-20"))
    berths = oddities[oddities["kind"] == "hot-berth"]
    assert list(berths["position"]) == (["E north"] if hot else [])
