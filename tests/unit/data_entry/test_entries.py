"""Entries at the desk: what a form becomes, what is asked back, and what is written."""

from pathlib import Path

import pandas as pd
import pytest

from corrosion.common import ClockReading, read_clock
from corrosion.data_entry import (
    KINDS,
    Desk,
    Draft,
    desk_of,
    draft,
    next_question,
    write_draft,
)
from corrosion.records import operator
from corrosion.records.checks import check_logs
from corrosion.records.logbook import read_fleet
from tests.fleets import FleetLogs
from tests.unit.data_entry.desk_cases import after, asked, reading

NOW = pd.Timestamp("2031-06-01 12:00", tz="UTC")
EARLIER = ClockReading(NOW - pd.Timedelta(hours=2))


def outing(desk: Desk, **more: object) -> Draft:
    filled = {"hull_id": "H1", "started": EARLIER, "ended": ClockReading(NOW)}
    return draft("outing", filled | more, desk)


def test_removed_and_a_new_one_fitted_go_in_together_without_a_question(desk: Desk) -> None:
    made = reading(desk, "6.9", fitted=True, new_size="9,1", alloy="zinc", batch="B7")
    assert next_question(made, desk) is None
    old, new = made.rows
    assert old.cells["removed"] is True
    assert (new.log, new.cells["size_mm"], new.cells["batch"]) == ("fittings", 9.1, "B7")


def test_a_range_by_eye_and_a_verdict_alone_are_readings(desk: Desk) -> None:
    by_eye = {"way": "eye", "low": "6,5", "high": "7,5"}
    filled = {"hull_id": "H1", "position": "pencil", "at": ClockReading(NOW), **by_eye}
    eye = draft("reading", filled, desk)
    assert (eye.main.cells["size_low_mm"], eye.main.cells["size_high_mm"]) == (6.5, 7.5)
    look = reading(desk, "", way="look", verdict="ok")
    assert look.main.cells["verdict"] == "ok"
    assert not look.wrong


@pytest.mark.parametrize(
    ("filled", "sentence"),
    [
        ({"size": ""}, "write what the caliper shows"),
        ({"size": "seven"}, "is no number"),
        ({"way": "eye", "low": "7", "high": ""}, "the least and the most"),
        ({"way": "eye", "low": "8", "high": "7"}, "above the most"),
        ({"way": "look"}, "choose ok or worn"),
        ({"at": ClockReading(NOW + pd.Timedelta(hours=1))}, "still to come"),
        ({"at": None}, "choose day and time"),
        ({"position": None}, "Choose the position"),
    ],
)
def test_what_is_missing_or_impossible_must_be_mended_first(
    desk: Desk, filled: dict[str, object], sentence: str
) -> None:
    assert any(sentence in wrong for wrong in reading(desk, "6.9", **filled).wrong)


def test_a_contact_resistance_alone_is_a_reading(desk: Desk) -> None:
    made = reading(desk, "", bond_ohm="0,2")
    assert not made.wrong
    assert made.main.cells["bond_ohm"] == 0.2


def test_more_engine_hours_than_the_outing_lasted_are_asked_about(desk: Desk) -> None:
    question = asked(outing(desk, engine_hours="18"), desk)
    assert question.name == "engine-hours-over-outing"
    assert after(question, "The point was lost").main.cells["engine_hours"] == 1.8


def test_the_same_outing_again_is_asked_about_and_can_be_left(desk: Desk) -> None:
    at = pd.Timestamp("2031-05-29 09:00", tz="UTC")
    again = {"started": ClockReading(at), "ended": ClockReading(at + pd.Timedelta(hours=2))}
    question = asked(outing(desk, engine_hours="1.8", **again), desk)
    assert question.name in {"exact-duplicate", "double-entry"}
    assert after(question, "Yes").rows == ()


def test_an_outing_that_ends_before_it_began_is_wrong(desk: Desk) -> None:
    made = outing(desk, started=ClockReading(NOW), ended=EARLIER, engine_hours="1")
    assert any("later than cast off" in wrong for wrong in made.wrong)


def metered(fleet: FleetLogs, folder: Path) -> Desk:
    fleet.outing("H1", "2031-05-30 09:00", meter_hours=612.0)
    return desk_of(check_logs(read_fleet(fleet.write(folder), NOW)), None, NOW)


def test_hours_come_from_the_meter_where_only_the_meter_is_typed(
    fleet: FleetLogs, tmp_path: Path
) -> None:
    made = outing(metered(fleet, tmp_path / "m"), meter_hours="613,7")
    assert made.main.cells["engine_hours"] == pytest.approx(1.7)


def test_a_meter_that_ran_back_is_asked_about_and_the_event_is_written(
    fleet: FleetLogs, tmp_path: Path
) -> None:
    desk = metered(fleet, tmp_path / "m")
    question = asked(outing(desk, meter_hours="1.7", engine_hours="1.7"), desk)
    assert question.name == "meter-went-back"
    event = after(question, "Replaced").rows[1]
    assert (event.log, event.cells["event"]) == ("meters", "replaced")
    assert event.cells["meter_before_hours"] == 612.0


def test_the_meter_typed_as_engine_hours_is_asked_about(fleet: FleetLogs, tmp_path: Path) -> None:
    desk = metered(fleet, tmp_path / "m")
    made = after(asked(outing(desk, engine_hours="613.7"), desk), "It is the hour meter")
    assert made.main.cells["engine_hours"] == pytest.approx(1.7)
    assert made.main.cells["meter_hours"] == 613.7


def test_fahrenheit_and_microsiemens_are_asked_about(desk: Desk) -> None:
    filled = {"mooring_id": "E", "at": ClockReading(NOW)}
    hot = asked(draft("water", filled | {"temperature": "68"}, desk), desk)
    # 68 degrees Fahrenheit are 20 degrees Celsius: NIST SP 811 (2008), Appendix B.8
    assert after(hot, "Degrees Fahrenheit").main.cells["temperature_c"] == 20.0
    salty = asked(draft("water", filled | {"conductivity": "42900"}, desk), desk)
    assert after(salty, "Microsiemens").main.cells["conductivity_ms_per_cm"] == 42.9


def test_magnesium_that_moves_into_salt_is_stopped(fleet: FleetLogs, tmp_path: Path) -> None:
    fleet.hull("H9", "light").position("rod", "hull", 20.0, 10.0, layout="light", alloy="magnesium")
    fleet.berth("H9", "L")
    desk = desk_of(check_logs(read_fleet(fleet.write(tmp_path / "m"), NOW)), None, NOW)
    move = {"hull_id": "H9", "mooring_id": "E", "at": ClockReading(NOW), "stays": "afloat"}
    question = asked(draft("berth", move, desk), desk)
    assert question.asks.startswith("Stop")
    assert question.answers[0].draft.rows == ()


def test_a_time_that_came_twice_is_asked_about(desk: Desk) -> None:
    # Lisbon puts its clocks back at 01:00 UTC on the last Sunday of October (IANA tz database)
    night = pd.Timestamp("2031-10-26 01:30").to_pydatetime()
    twice = read_clock(night.replace(tzinfo=None), desk.logbook.settings.timezone)
    late = Desk(desk.checked, pd.Timestamp("2031-10-27", tz="UTC"), desk.expected)
    made = draft("flush", {"hull_id": "H1", "at": twice, "done": "yes"}, late)
    question = asked(made, late)
    assert "came twice" in question.asks
    second = after(question, "The second")
    assert second.main.cells["flushed_at"] == pd.Timestamp("2031-10-26 01:30", tz="UTC")
    assert next_question(second, late) is None


@pytest.mark.parametrize("kind", sorted(set(KINDS) - {"reading", "outing", "water"}))
def test_each_kind_writes_a_row_that_reads_back(desk: Desk, tmp_path: Path, kind: str) -> None:
    filled = {
        "flush": {"at": ClockReading(NOW), "done": "could-not", "minutes": "7"},
        "berth": {"at": ClockReading(NOW), "mooring_id": "B", "stays": "lifted"},
        "hire": {"starts": ClockReading(NOW), "ends": ClockReading(NOW + pd.Timedelta(hours=2))},
        "meter": {"at": ClockReading(NOW), "event": "zeroed", "meter_after_hours": "0"},
        "engine": {"at": ClockReading(NOW), "engine": "second-hand"},
    }[kind]
    made = draft(kind, {"hull_id": "H1", **filled}, desk)
    assert not made.wrong
    written = write_draft(tmp_path / "fleet", made, operator("workshop"), f"form-{kind}", NOW)
    rows = read_fleet(tmp_path / "fleet", NOW).tables[KINDS[kind].log]
    row = rows[rows["entry_id"] == written.entries[0][1]].iloc[0]
    assert row["entered_by"] == "workshop"
    for name, cell in made.main.cells.items():
        assert row[name] == cell, name


def test_the_same_form_written_twice_is_one_entry(desk: Desk, tmp_path: Path) -> None:
    made = reading(desk, "6.9", fitted=True)
    for _ in range(2):
        write_draft(tmp_path / "fleet", made, operator("workshop"), "form-1", NOW)
    book = read_fleet(tmp_path / "fleet", NOW)
    assert (book.readings["entry_id"] == "form-1").sum() == 1
    assert (book.fittings["fitted_at"] == NOW).sum() == 1


def test_the_next_anode_is_the_one_that_waits_longest_and_its_group_stays_together(
    fleet: FleetLogs, tmp_path: Path
) -> None:
    fleet.position("a", access_group="cap").position("z", access_group="cap").position("m")
    fleet.reading("H1", "z", "2031-05-20 07:00", 8.0).reading("H1", "a", "2031-05-30 07:00", 8.0)
    fleet.reading("H1", "m", "2031-05-25 07:00", 8.0)
    desk = desk_of(check_logs(read_fleet(fleet.write(tmp_path / "m"), NOW)), None, NOW)
    order = [anode.position for anode in desk.places("H1")]
    assert order.index("a") + 1 == order.index("z") < order.index("m")


def test_a_simulated_fleet_is_written_at_its_own_last_moment(
    fleet: FleetLogs, tmp_path: Path
) -> None:
    fleet.setting(simulated=True)
    checked = check_logs(read_fleet(fleet.write(tmp_path / "s")))
    assert desk_of(checked, None, pd.Timestamp("2026-01-01", tz="UTC")).now == checked.logbook.on


def test_an_outing_whose_hours_are_not_known_can_be_written(desk: Desk, tmp_path: Path) -> None:
    left = after(asked(outing(desk, engine_hours="30"), desk), "Hours not known")
    assert next_question(left, desk) is None
    write_draft(tmp_path / "fleet", left, operator("dock"), "form-1", NOW)
    rows = read_fleet(tmp_path / "fleet", NOW).outings
    assert pd.isna(rows.loc[rows["entry_id"] == "form-1", "engine_hours"]).all()
    assert (rows["entry_id"] == "form-1").sum() == 1
