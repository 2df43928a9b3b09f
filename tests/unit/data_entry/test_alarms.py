"""What may not wait is an alarm with stop, next hire and whom to call; what is right is none."""

from pathlib import Path

import pandas as pd
import pytest

from corrosion.common import ClockReading
from corrosion.data_entry import Alarm, Desk, alarms_of, desk_of, draft
from corrosion.records.checks import check_logs
from corrosion.records.logbook import read_fleet
from tests.fleets import FleetLogs

NOW = pd.Timestamp("2031-06-02 12:00", tz="UTC")


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    logs = FleetLogs().setting(timezone="Europe/Lisbon", roles=["dock, early", "workshop"])
    logs.mooring("E", "salt").mooring("L", "fresh")
    # new 9.0, limit 6.4 mm: the manual of no engine, as the register of this fleet has it
    logs.position("pencil", limit_source="manual p. 12").position("bar", layout="mg",
                                                                   alloy="magnesium")  # fmt: skip
    for hull_id, layout, at in (("H1", "twin", "E"), ("H2", "mg", "E"), ("H3", "mg", "L")):
        logs.hull(hull_id, layout).berth(hull_id, at, since="2031-04-01")
    logs.booking("H1", "2031-06-02 15:00", "2031-06-02 17:00")
    return desk_of(check_logs(read_fleet(logs.write(tmp_path), NOW)), None, NOW)


def seen(
    desk: Desk, hull_id: str = "H1", position: str = "pencil", **filled: object
) -> list[Alarm]:
    about = {"hull_id": hull_id, "position": position, "at": ClockReading(NOW)}
    made = draft("reading", {**about, **filled}, desk)
    assert not made.wrong
    return alarms_of(made.rows, desk)


@pytest.mark.parametrize(
    ("filled", "says"),
    [
        ({"size": "6,4"}, "H1 pencil is at its limit: 6.4 mm, limit 6.4 mm, manual p. 12."),
        ({"size": "6.3"}, "H1 pencil is past its limit: 6.3 mm"),
        ({"way": "eye", "low": "6", "high": "7"}, "H1 pencil may be at its limit: from 6.0 mm"),
        ({"way": "look", "verdict": "worn"}, "H1 pencil was found worn"),
        # above 1 ohm: more than a bond may have (boat standard, from memory)
        ({"size": "8", "bond_ohm": "40"}, "H1 pencil has no good contact: 40 ohm"),
        # above -800 mV steel is not protected (NACE SP0176, from memory)
        ({"size": "8", "potential_mv": "-500"}, "H1 pencil: -500 mV is above -800 mV"),
        ({"size": "8", "potential_mv": "-1250"}, "H1 pencil: -1250 mV: protected, and too neg"),
    ],
)
def test_a_look_that_may_not_wait_says_stop_next_hire_and_whom_to_call(
    desk: Desk, filled: dict[str, object], says: str
) -> None:
    alarms = seen(desk, **filled)
    assert len(alarms) == 1
    assert alarms[0].says.startswith(says)
    assert "eep the hull in and tell the workshop" in alarms[0].do
    # 15:00 UTC is 16:00 in Lisbon in June
    assert alarms[0].next_hire == "Its next hire: Mon 2 Jun 2031, 16:00."
    assert alarms[0].call == "Call: workshop."


@pytest.mark.parametrize(
    "filled",
    [
        {"size": "6.41"},
        {"way": "eye", "low": "6.5", "high": "7"},
        {"way": "look", "verdict": "ok"},
        {"size": "8", "bond_ohm": "0.05", "potential_mv": "-1000"},
        {"size": "6.0", "fitted": True},  # the worn one came out, a new one is in
    ],
)
def test_a_look_that_is_right_is_no_alarm(desk: Desk, filled: dict[str, object]) -> None:
    assert seen(desk, **filled) == []


def test_magnesium_is_an_alarm_in_salt_and_none_in_fresh_water(desk: Desk) -> None:
    salt = seen(desk, "H2", "bar", size="8")
    assert salt[0].says.startswith("H2 bar is magnesium in salt water")
    assert salt[0].next_hire == "No hire of it is booked."
    assert seen(desk, "H3", "bar", size="8") == []
    moved = draft("berth", {"hull_id": "H3", "mooring_id": "E", "at": ClockReading(NOW)}, desk)
    assert alarms_of(moved.rows, desk)[0].hull_id == "H3"
    fitted = seen(desk, size="6.0", fitted=True, alloy="magnesium")
    assert fitted[0].says.startswith("H1 pencil is magnesium in salt water")


def test_an_entry_that_is_struck_out_is_no_alarm(desk: Desk) -> None:
    about = {"hull_id": "H1", "position": "pencil", "at": ClockReading(NOW), "size": "6.0"}
    struck = draft("reading", about, desk).with_main(void=True)
    assert alarms_of(struck.rows, desk) == []
