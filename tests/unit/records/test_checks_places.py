"""Notes about silence, strange waters and strange hours."""

from pathlib import Path

import pytest

from corrosion.records.checks import Checked, check_logs
from corrosion.records.logbook import read_fleet
from tests.fleets import FleetLogs, usual_fleet

pytestmark = pytest.mark.slow


def check(fleet: FleetLogs, folder: Path) -> Checked:
    return check_logs(read_fleet(fleet.write(folder), "2031-06-01"))


def noted(checked: Checked, rule: str) -> list[str]:
    """First rows of the findings of a rule."""
    findings = checked.findings
    return findings.loc[findings["rule"] == rule, "first"].tolist()


def hired() -> FleetLogs:
    """One hull booked and out each day at 09:00 for 30 days."""
    fleet = usual_fleet(1).season("H1", "2031-04-02", 30)
    for day in range(2, 30):
        fleet.booking("H1", f"2031-04-{day:02d} 09:00", f"2031-04-{day:02d} 11:00")
    return fleet


def test_hires_with_their_outings_are_no_finding(tmp_path: Path) -> None:
    assert noted(check(hired(), tmp_path), "booked-not-out") == []


def test_a_hire_without_an_outing_is_noted(tmp_path: Path) -> None:
    fleet = hired().booking("H1", "2031-04-20 18:00", "2031-04-20 20:00")
    assert noted(check(fleet, tmp_path), "booked-not-out")[0].startswith("H1, 2031-04-20 18:00")


def test_a_hire_after_the_last_outing_on_record_is_not_yet_missed(tmp_path: Path) -> None:
    fleet = hired().booking("H1", "2031-05-20 09:00", "2031-05-20 11:00")
    assert noted(check(fleet, tmp_path), "booked-not-out") == []


def test_a_fleet_whose_hires_are_no_outings_gets_no_note(tmp_path: Path) -> None:
    fleet = usual_fleet(1).season("H1", "2031-04-02", 30)
    for day in range(2, 30):
        fleet.booking("H1", f"2031-04-{day:02d} 20:00", f"2031-04-{day:02d} 21:00")
    assert noted(check(fleet, tmp_path), "booked-not-out") == []


def test_a_hull_that_runs_in_another_water_for_once_is_noted(tmp_path: Path) -> None:
    fleet = usual_fleet(1).season("H1", "2031-04-02", 30)
    fleet.outing("H1", "2031-05-05 09:00", water="fresh")
    assert len(noted(check(fleet, tmp_path / "once"), "water-not-of-berth")) == 1
    usual = usual_fleet(1)
    for day in range(2, 12):
        usual.outing("H1", f"2031-04-{day:02d} 09:00", water="brackish")
    assert noted(check(usual, tmp_path / "often"), "water-not-of-berth") == []


def test_an_outing_at_night_is_noted_where_nobody_goes_out_then(tmp_path: Path) -> None:
    fleet = usual_fleet(1).season("H1", "2031-04-02", 58).outing("H1", "2031-05-20 02:00")
    assert noted(check(fleet, tmp_path), "out-at-night")[0].startswith("H1")


@pytest.mark.parametrize(("entered", "notes"), [("10:55", 1), ("11:20", 0), ("10:50", 1)])
def test_an_outing_that_ended_after_it_was_written_down_has_another_clock(
    tmp_path: Path, entered: str, notes: int
) -> None:
    fleet = usual_fleet(1).outing("H1", "2031-05-20 09:30", entered_at=f"2031-05-20 {entered}")
    assert len(noted(check(fleet, tmp_path), "clock-ahead-of-entry")) == notes


def test_a_meter_event_of_an_unknown_hull_is_set_aside(tmp_path: Path) -> None:
    fleet = usual_fleet(1).add("meters", hull_id="H9", changed_at="2031-05-01", event="zeroed")
    checked = check(fleet, tmp_path)
    assert noted(checked, "hull-unknown")
    assert checked.meters.empty
