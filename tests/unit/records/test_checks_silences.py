"""Facts about the rules for logs that fell silent, each told on rows that are right as well."""

from pathlib import Path

import pandas as pd
import pytest

from tests.fleets import FleetLogs
from tests.unit.records.checked import checked

pytestmark = pytest.mark.slow

RULES = {"fleet-silent", "mooring-silent", "hull-silent"}


def written(until: dict[str, str], booked: bool = True) -> FleetLogs:
    """Two hulls at each of two docks, out each day of June up to a day of their own."""
    fleet = FleetLogs().mooring("E").mooring("L", "brackish").position("pencil")
    for hull, last in until.items():
        fleet.hull(hull).berth(hull, hull[0], since="2030-01-01")
        fleet.season(hull, "2031-05-01", (pd.Timestamp(last) - pd.Timestamp("2031-05-01")).days + 1)
        for day in pd.date_range("2031-05-01", "2031-07-10") if booked else ():
            fleet.booking(hull, f"{day:%Y-%m-%d} 09:00", f"{day:%Y-%m-%d} 11:00")
    return fleet


def told(fleet: FleetLogs, folder: Path, on: str = "2031-07-01") -> set[str]:
    return RULES & set(checked(fleet, folder, on=on).findings["rule"])


DAILY = "2031-06-30"
ALL = {"E1": DAILY, "E2": DAILY, "L1": DAILY, "L2": DAILY}


@pytest.mark.parametrize("booked", [True, False])
def test_entries_up_to_yesterday_are_no_silence(tmp_path: Path, booked: bool) -> None:
    assert told(written(ALL, booked), tmp_path) == set()


def test_a_fleet_without_entries_for_a_booked_day_is_silent(tmp_path: Path) -> None:
    assert told(written(dict.fromkeys(ALL, "2031-06-29")), tmp_path) == {"fleet-silent"}


def test_without_a_book_a_week_tells_a_silence(tmp_path: Path) -> None:
    assert told(written(dict.fromkeys(ALL, "2031-06-20"), booked=False), tmp_path) == {
        "fleet-silent"
    }


def test_without_a_book_two_quiet_days_tell_nothing(tmp_path: Path) -> None:
    assert told(written(dict.fromkeys(ALL, "2031-06-28"), booked=False), tmp_path) == set()


def test_a_dock_without_entries_among_others_is_silent(tmp_path: Path) -> None:
    # its hulls have stopped too, but together with their neighbours
    fleet = written(ALL | {"E1": "2031-06-25", "E2": "2031-06-25"})
    assert told(fleet, tmp_path) == {"mooring-silent"}


def test_a_hull_without_entries_beside_its_neighbours_is_told(tmp_path: Path) -> None:
    assert told(written(ALL | {"E1": "2031-06-20"}), tmp_path) == {"hull-silent"}


def test_a_hull_that_rests_with_nothing_booked_is_not_told(tmp_path: Path) -> None:
    fleet = written(ALL | {"E1": "2031-06-20"})
    fleet.rows["bookings"] = [
        row
        for row in fleet.rows["bookings"]
        if not (row["hull_id"] == "E1" and row["starts"] > "2031-06-20 12")
    ]
    assert told(fleet, tmp_path) == set()
