"""Hour meters in segments: what an event explains, and what it does not."""

from pathlib import Path

import pytest

from corrosion.records.checks import check_logs
from corrosion.records.logbook import read_fleet
from tests.fleets import FleetLogs, usual_fleet

pytestmark = pytest.mark.slow


def metered(*read: tuple[str, float]) -> FleetLogs:
    """One hull whose meter was read after some of its outings of 2 h, 1.8 of them running."""
    fleet = usual_fleet(1)
    for day, meter_hours in read:
        fleet.outing("H1", f"{day} 09:00", meter_hours=meter_hours)
    return fleet


def rules(fleet: FleetLogs, folder: Path) -> set[str]:
    checked = check_logs(read_fleet(fleet.write(folder), "2031-06-01"))
    return {rule for rule in checked.objections["rule"] if rule.startswith("meter")}


BACK = (("2031-05-01", 600.0), ("2031-05-02", 601.8), ("2031-05-03", 1.8), ("2031-05-04", 3.6))


def test_a_meter_that_runs_back_is_asked_about(tmp_path: Path) -> None:
    assert rules(metered(*BACK), tmp_path) == {"meter-went-back"}


@pytest.mark.parametrize("event", ["replaced", "zeroed", "rolled-over"])
def test_an_event_on_record_explains_it(tmp_path: Path, event: str) -> None:
    fleet = metered(*BACK).add(
        "meters", hull_id="H1", changed_at="2031-05-02 18:00", event=event,
        meter_before_hours=601.8, meter_after_hours=0.0,
    )  # fmt: skip
    assert rules(fleet, tmp_path) == set()


def test_after_a_new_meter_of_unknown_reading_the_next_outing_begins_a_segment(
    tmp_path: Path,
) -> None:
    read = (("2031-05-01", 600.0), ("2031-05-03", 250.0), ("2031-05-04", 251.8))
    fleet = metered(*read).add(
        "meters", hull_id="H1", changed_at="2031-05-02 18:00", event="replaced"
    )
    assert rules(fleet, tmp_path) == set()


def test_in_the_new_segment_the_meter_is_held_against_the_outings_again(tmp_path: Path) -> None:
    read = (("2031-05-01", 600.0), ("2031-05-03", 8.0), ("2031-05-04", 9.8))
    fleet = metered(*read).add(
        "meters", hull_id="H1", changed_at="2031-05-02 18:00", event="zeroed"
    )
    assert rules(fleet, tmp_path) == {"meter-against-hours"}


STILL = tuple((f"2031-05-0{day}", 600.0) for day in range(1, 7))


def test_a_meter_that_stands_still_is_asked_about_until_it_is_on_record(tmp_path: Path) -> None:
    assert rules(metered(*STILL), tmp_path / "before") == {"meter-stuck"}
    fleet = metered(*STILL, ("2031-05-20", 700.0), ("2031-05-21", 701.8))
    fleet.add("meters", hull_id="H1", changed_at="2031-05-01 18:00", event="stuck")
    fleet.add("meters", hull_id="H1", changed_at="2031-05-19 18:00", event="repaired")
    assert rules(fleet, tmp_path / "after") == set()


def test_an_event_that_does_not_fit_the_last_outing_is_asked_about(tmp_path: Path) -> None:
    fleet = metered(("2031-05-01", 600.0), ("2031-05-03", 1.8)).add(
        "meters", hull_id="H1", changed_at="2031-05-02 18:00", event="zeroed",
        meter_before_hours=640.0,
    )  # fmt: skip
    assert rules(fleet, tmp_path) == {"meter-event-apart"}


def test_an_event_of_another_hull_explains_nothing(tmp_path: Path) -> None:
    fleet = metered(*BACK).hull("H2").berth("H2", "B")
    fleet.add("meters", hull_id="H2", changed_at="2031-05-02 18:00", event="zeroed")
    assert rules(fleet, tmp_path) == {"meter-went-back"}
