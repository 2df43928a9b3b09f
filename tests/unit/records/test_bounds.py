"""No number of a log, a register or the settings is larger than anything can be calculated with."""

from pathlib import Path

import pytest

from corrosion.common.errors import LogRefused
from corrosion.records import check_logs, read_fleet, settings_of
from corrosion.records.checks import Checked
from corrosion.records.logs import LOGS
from corrosion.records.logs.limits import LIMITS
from tests.fleets import FleetLogs, usual_fleet

ON = "2031-06-01"
NUMBERS = [(name, c.name) for name, log in LOGS.items() for c in log if c.kind == "number"]


def checked(fleet: FleetLogs, folder: Path) -> Checked:
    return check_logs(read_fleet(fleet.write(folder), ON))


def severities(result: Checked, log: str) -> dict[str, str]:
    own = result.findings[result.findings["log"] == log]
    return dict(zip(own["rule"], own["severity"], strict=True))


def test_a_number_beyond_its_limits_is_read_as_unknown_and_counted(tmp_path: Path) -> None:
    fleet = usual_fleet(1).outing("H1", "2031-05-01 09:00").flush("H1", "2031-05-01 12:00")
    fleet.reading("H1", "pencil", "2031-05-02", 8.8).sample("E", "2031-05-01")
    fleet.booking("H1", "2031-06-02", "2031-06-03")
    for number, (log, column) in enumerate(NUMBERS):
        if not fleet.rows[log]:
            row = {c.name: _some(c.kind, c.words) for c in LOGS[log] if c.required}
            fleet.add(log, **row | {"hull_id": "H1", "mooring_id": "E", "plan_id": "p"})
        fleet.rows[log][0][column] = 1e300 if number % 2 else -1e300
    result = checked(fleet, tmp_path)
    for log, column in NUMBERS:
        rule = f"{column.replace('_', '-')}-beyond-sense"
        assert severities(result, log).get(rule) == "set-aside", (log, column)
        assert not (result.tables[log][column].abs() > 1e12).any()


def _some(kind: str, words: tuple[str, ...]) -> object:
    return words[0] if words else {"number": 1.0, "moment": "2031-05-01"}.get(kind, "x")


SLIPS: tuple[tuple[dict[str, float], str], ...] = (
    ({"new_size_mm": 2000.0}, "size-not-positive"),  # for 20.00
    ({"new_size_mm": 150.0}, "limit-far-below-new"),  # for 15.0
    ({"limit_size_mm": 0.25}, "limit-far-below-new"),  # in inches
    ({"inspect_days": 99999.0}, "inspect-days-beyond-sense"),
    ({"inspect_days": 3000.0}, "interval-unusual"),
    ({"inspect_hours": 2.0}, "interval-unusual"),
)


def test_a_slip_in_a_register_is_found(tmp_path: Path) -> None:
    fleet = usual_fleet(1)
    for number, (cells, _) in enumerate(SLIPS):
        fleet.position(f"p{number}", **cells)
    result = checked(fleet, tmp_path)
    rows = result.logbook.anode_positions.set_index("log_row")["position"]
    objections = result.objections[result.objections["log"] == "anode_positions"]
    doubted = set(zip(objections["log_row"].map(rows), objections["rule"], strict=True))
    assert {(f"p{number}", rule) for number, (_, rule) in enumerate(SLIPS)} <= doubted


def test_parts_as_they_are_are_not_objected_to(tmp_path: Path) -> None:
    fleet = usual_fleet(1)
    for new, limit, days in ((9.0, 6.4, 180.0), (200.0, 120.0, 365.0), (6.0, 2.0, 7.0)):
        fleet.position(f"p{new}", "engine", new, limit, inspect_days=days, inspect_hours=100.0)
    assert severities(checked(fleet, tmp_path), "anode_positions") == {}


@pytest.mark.parametrize(
    "line",
    [
        *("horizon_weeks = 1000000", "horizon_weeks = 14", "lead_days = 1e300", "late_days = 1e9"),
        *("haul_hours = 30", "wage_per_hour = 1e12", "unplanned_per_week = 1000000000000"),
        "[lead]\nx = 99999",
        '[[bays]]\nmooring_id = "E"\nhulls_per_day = 1000000000',
    ],
)
def test_a_setting_beyond_sense_is_refused_with_what_to_write(line: str) -> None:
    with pytest.raises(LogRefused, match=r"Write [\d,]+ or less"):
        settings_of(line)


def test_a_name_with_a_broken_line_is_one_name(tmp_path: Path) -> None:
    fleet = usual_fleet(1).position("pump\nplate", "hull", 15.0, 10.0, part_number="A\r\n1")
    fleet.reading("H1", "pump\x00plate", "2031-05-02", 14.0)
    result = checked(fleet, tmp_path)
    assert "pump plate" in set(result.anode_positions["position"])
    assert list(result.readings["position"]) == ["pump plate"]
    assert "A 1" in set(result.anode_positions["part_number"])


@pytest.mark.parametrize("text", ["![](//h.example/a)", "<a>", "a currency of long words"])
def test_a_currency_is_short_and_marks_up_nothing(text: str) -> None:
    with pytest.raises(LogRefused, match="currency"):
        settings_of(f"currency = {text!r}")
    assert settings_of('currency = "EUR"').currency == "EUR"


def test_every_number_of_the_logs_has_limits_of_its_own() -> None:
    assert [column for _, column in NUMBERS if column not in LIMITS] == []
