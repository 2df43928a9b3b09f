"""The check as a whole: nothing against a sound fleet; words, cells, columns and the catalogue."""

from pathlib import Path

import pandas as pd
import pytest

from corrosion.records.checks import RULES
from corrosion.records.logbook import FINDING_COLUMNS
from corrosion.records.logs import LOGS
from tests.fleets import FleetLogs
from tests.unit.records.checked import checked, looked, resized, said, sound_fleet


def test_nothing_is_said_against_a_sound_fleet(tmp_path: Path) -> None:
    result = checked(sound_fleet(), tmp_path)
    assert result.findings.loc[result.findings["rule"] != "log-absent"].empty
    assert list(result.findings.columns) == FINDING_COLUMNS
    assert result.objections.empty
    assert list(result.objections.columns) == ["log", "log_row", "rule", "severity"]


def test_a_sound_fleet_is_handed_on_as_it_was_read(tmp_path: Path) -> None:
    result = checked(sound_fleet(), tmp_path)
    for log in LOGS:
        rows = result.tables[log].drop(columns=["doubtful", "breaks_life"], errors="ignore")
        pd.testing.assert_frame_equal(rows, result.logbook.tables[log])
    assert result.readings["doubtful"].dtype == bool
    assert result.readings["breaks_life"].dtype == bool
    assert not result.readings[["doubtful", "breaks_life"]].any(axis=None)


def test_a_fleet_without_events_can_be_checked(tmp_path: Path) -> None:
    bare = FleetLogs().mooring("E").hull("H1").berth("H1", "E").position("pencil")
    result = checked(bare, tmp_path)
    assert set(result.findings["severity"]) == {"note"}
    assert all(result.tables[log].empty for log in ("outings", "readings", "fittings", "flushes"))


def test_a_finding_tells_hull_position_local_time_value_and_what_to_do(tmp_path: Path) -> None:
    fleet = resized(sound_fleet(), 5, 0.315).setting(timezone="Europe/Lisbon")
    findings = checked(fleet, tmp_path).findings.set_index("rule")
    finding = findings.loc["inch-for-mm"]
    assert finding["first"] == (
        "H1 pencil, 2031-05-06 08:30, size_mm 0.315, new_size_mm 9, limit_size_mm 6.4"
    )
    assert finding["what_to_do"].endswith("in the log book.")


def test_the_first_row_told_is_the_earliest(tmp_path: Path) -> None:
    fleet = resized(resized(sound_fleet(), 8, -1.0), 3, -2.0)
    findings = checked(fleet, tmp_path).findings.set_index("rule")
    assert findings.loc["size-negative", "first"] == "H1 pencil, 2031-04-22 07:30, size_mm -2"


def test_a_removal_stays_when_only_its_size_is_set_aside(tmp_path: Path) -> None:
    fleet = resized(sound_fleet(), 5, 0.315, removed=True)
    fleet.fitting("H1", "pencil", "2031-05-06 08:00")
    readings = checked(fleet, tmp_path).readings
    removal = readings[readings["removed"].fillna(False)]
    assert len(removal) == 1
    assert removal["size_mm"].isna().all()


def test_a_look_that_says_nothing_but_a_wrong_size_is_left_out(tmp_path: Path) -> None:
    result = checked(resized(sound_fleet(), 5, 0.315), tmp_path)
    assert len(result.readings) == len(result.logbook.readings) - 1


def test_an_outing_with_impossible_hours_keeps_its_times(tmp_path: Path) -> None:
    fleet = sound_fleet().outing("H1", "2031-06-25 15:00", engine_hours=7.0)
    outings = checked(fleet, tmp_path).outings
    assert outings["engine_hours"].isna().sum() == 1
    assert len(outings) == 85


def test_doubtful_rows_are_marked_and_kept(tmp_path: Path) -> None:
    fleet = resized(sound_fleet(), 5, 10.9)
    readings = checked(fleet, tmp_path).readings
    assert readings.loc[readings["doubtful"], "size_mm"].tolist() == [10.9]


def test_what_reading_noticed_comes_first(tmp_path: Path) -> None:
    fleet = resized(sound_fleet(), 5, -1.0).add("hulls", hull_id="H2", layout="twin", colour="red")
    result = checked(fleet, tmp_path)
    noticed = len(result.logbook.findings)
    pd.testing.assert_frame_equal(result.findings.head(noticed), result.logbook.findings)


def test_a_rule_speaks_once_about_a_log() -> None:
    pairs = [(rule.name, log) for rule in RULES for log in rule.logs]
    assert len(pairs) == len(set(pairs))


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: f"{rule.logs[0]}-{rule.name}")
def test_every_rule_knows_its_logs_and_says_what_to_do_in_a_sentence(rule) -> None:
    assert set(rule.logs) <= set(LOGS)
    assert rule.severity in {"set-aside", "doubtful", "note"}
    assert rule.what_to_do[0].isupper()
    assert rule.what_to_do[-1] in ".?"
    assert not rule.cells or rule.severity == "set-aside"


def test_a_row_set_aside_by_one_stage_accuses_nobody_in_the_next(tmp_path: Path) -> None:
    # an outing of 80 h would overlap three days of outings
    fleet = sound_fleet().outing("H1", "2031-05-01 12:00", hours=80.0)
    findings = said(fleet, tmp_path)
    assert findings["outings", "outing-over-three-days"] == ("set-aside", 1)
    assert ("outings", "outings-overlap") not in findings


def test_a_log_that_is_not_there_is_no_such_attribute(tmp_path: Path) -> None:
    with pytest.raises(AttributeError, match="there is no log sails"):
        _ = checked(sound_fleet(), tmp_path).sails


def test_two_readings_of_one_morning_that_differ_are_both_kept(tmp_path: Path) -> None:
    fleet = sound_fleet().reading("H1", "pencil", looked(5).replace("07:30", "07:40"), 7.95)
    assert len(checked(fleet, tmp_path).readings) == 21
