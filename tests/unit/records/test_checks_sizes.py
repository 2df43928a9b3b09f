"""Rules on sizes: by themselves, and beside the other looks at the same anode.

The sound fleet's pencil is 9.0 mm new, 6.4 mm at its limit, and loses 0.2 mm a week.
"""

from pathlib import Path

import pytest

from tests.fleets import FleetLogs, usual_fleet
from tests.unit.records.checked import WEEKS, checked, looked, resized, said, sound_fleet

pytestmark = pytest.mark.slow

# what was written for the pencil in week 5, when it measured 8.0 mm: the rule and its severity
WRITTEN = [
    (0.315, "inch-for-mm", "set-aside"),
    (203.2, "converted-twice", "set-aside"),
    (0.8, "decimal-point-lost", "set-aside"),
    (80.0, "decimal-point-lost", "set-aside"),
    (800.0, "decimal-point-lost", "set-aside"),
    (13.0, "far-above-new", "set-aside"),
    (10.9, "above-new", "doubtful"),
    (-8.0, "size-negative", "set-aside"),
    (0.0, "size-zero", "doubtful"),
    (4.0, "radius-for-diameter", "doubtful"),
    (1.0, "depth-for-remaining", "doubtful"),
    (6.5, "out-of-line", "set-aside"),
    (9.4, "peak", "doubtful"),
    (None, "nothing-read", "set-aside"),
]


@pytest.mark.parametrize(("size_mm", "rule", "severity"), WRITTEN)
def test_a_wrong_size_is_found(
    tmp_path: Path, size_mm: float | None, rule: str, severity: str
) -> None:
    findings = said(resized(sound_fleet(), 5, size_mm), tmp_path)
    assert findings.get(("readings", rule)) == (severity, 1)


@pytest.mark.parametrize("size_mm", [8.0, 7.85, 8.25, 7.7])
def test_a_size_within_the_reading_error_is_believed(tmp_path: Path, size_mm: float) -> None:
    findings = said(resized(sound_fleet(), 5, size_mm), tmp_path)
    assert not [key for key in findings if key[0] == "readings"]


@pytest.mark.parametrize("week", [1, 4, 10])
def test_inches_are_found_at_the_start_in_the_middle_and_at_the_end(
    tmp_path: Path, week: int
) -> None:
    fleet = resized(sound_fleet(), week, round((9.0 - 0.2 * week) / 25.4, 3))
    assert said(fleet, tmp_path)["readings", "inch-for-mm"] == ("set-aside", 1)


def test_a_whole_file_of_inches_is_found_without_a_sound_neighbour(tmp_path: Path) -> None:
    fleet = sound_fleet()
    for row in fleet.rows["readings"]:
        row["size_mm"] = round(row["size_mm"] / 25.4, 3)
    assert said(fleet, tmp_path)["readings", "inch-for-mm"] == ("set-aside", 2 * WEEKS)


def test_a_range_in_inches_is_found(tmp_path: Path) -> None:
    fleet = resized(sound_fleet(), 5, None, size_low_mm=0.295, size_high_mm=0.335)
    assert said(fleet, tmp_path)["readings", "inch-for-mm"] == ("set-aside", 1)


def test_nearly_nothing_left_by_eye_is_not_taken_for_inches(tmp_path: Path) -> None:
    fleet = sound_fleet()
    for week in range(5, WEEKS + 1):
        resized(fleet, week, None, size_low_mm=0.0, size_high_mm=0.6)
    assert ("readings", "inch-for-mm") not in said(fleet, tmp_path)


def test_an_anode_worn_to_a_stump_look_by_look_is_believed(tmp_path: Path) -> None:
    fleet = sound_fleet()
    for week in range(1, WEEKS + 1):
        resized(fleet, week, round(9.0 - 0.86 * week, 2))
    set_aside = [rule for (_, rule), (severity, _) in said(fleet, tmp_path).items()
                 if severity == "set-aside"]  # fmt: skip
    assert set_aside == []


def test_a_range_upside_down_is_set_aside_and_the_verdict_beside_it_stays(tmp_path: Path) -> None:
    fleet = resized(sound_fleet(), 5, None, size_low_mm=9.0, size_high_mm=7.0, verdict="ok")
    result = checked(fleet, tmp_path)
    assert "range-upside-down" in result.findings["rule"].tolist()
    assert len(result.readings) == 2 * WEEKS


def test_a_range_beyond_any_part_is_set_aside(tmp_path: Path) -> None:
    fleet = resized(sound_fleet(), 5, None, size_low_mm=13.0, size_high_mm=14.0)
    assert said(fleet, tmp_path)["readings", "range-impossible"] == ("set-aside", 1)


def test_ok_below_the_limit_is_noted(tmp_path: Path) -> None:
    fleet = resized(sound_fleet(), 10, 6.3, verdict="ok")
    assert said(fleet, tmp_path)["readings", "verdict-against-size"] == ("note", 1)


def changed_in_week(week: int) -> FleetLogs:
    """A new pencil went in after the look of the week before, and nobody wrote it down."""
    fleet = sound_fleet()
    for later in range(week, WEEKS + 1):
        resized(fleet, later, round(8.9 - 0.2 * (later - week), 2))
    return fleet


def test_a_change_that_nobody_wrote_down_starts_a_life(tmp_path: Path) -> None:
    result = checked(changed_in_week(8), tmp_path)
    finding = result.findings.set_index("rule").loc["change-not-recorded"]
    assert (finding["severity"], finding["rows"]) == ("doubtful", 1)
    assert finding["first"] == "H1 pencil, 2031-05-27 07:30, size_mm 8.9, before_mm 7.6"
    breaking = result.readings[result.readings["breaks_life"]]
    assert breaking["size_mm"].tolist() == [8.9]
    assert breaking["doubtful"].all()


def test_a_change_that_was_written_down_is_no_growth(tmp_path: Path) -> None:
    fleet = changed_in_week(8).fitting("H1", "pencil", "2031-05-21 09:00")
    assert not [key for key in said(fleet, tmp_path) if key[0] == "readings"]


def test_a_change_first_seen_by_eye_is_one_change_and_not_two(tmp_path: Path) -> None:
    fleet = resized(changed_in_week(8), 8, None, size_low_mm=8.5, size_high_mm=9.0)
    readings = checked(fleet, tmp_path).readings
    breaking = readings[readings["breaks_life"]]
    assert breaking["size_low_mm"].tolist() == [8.5]


def test_growth_that_no_new_part_explains_is_doubted_and_starts_no_life(tmp_path: Path) -> None:
    fleet = sound_fleet()
    for week in range(1, WEEKS + 1):
        grown = 1.1 if week >= 9 else 0.0
        resized(fleet, week, round(9.0 - 0.35 * week + grown, 2))
    result = checked(fleet, tmp_path)
    assert result.findings["rule"].tolist().count("grew") == 1
    assert not result.readings["breaks_life"].any()


def test_noise_in_fresh_water_is_no_growth(tmp_path: Path) -> None:
    fleet = usual_fleet(3).season("H3", "2031-04-02", 84)
    for week, off in enumerate([0.1, -0.1, 0.15, 0.0, 0.2, -0.15, 0.1, 0.05, 0.15, -0.1], 1):
        fleet.reading("H3", "pencil", looked(week), 8.8 + off)
    assert not [key for key in said(fleet, tmp_path) if key[0] == "readings"]


def test_worn_then_ok_starts_a_life(tmp_path: Path) -> None:
    fleet = resized(sound_fleet(), 9, None, verdict="worn")
    readings = checked(resized(fleet, 10, None, verdict="ok"), tmp_path).readings
    assert readings.loc[readings["breaks_life"], "verdict"].tolist() == ["ok"]


def test_wear_beyond_any_current_is_doubted(tmp_path: Path) -> None:
    # 100 A/m2 by Faraday's law: about 13 mm a month from zinc, here 7 mm in a week, and no return
    fleet = sound_fleet()
    for row in fleet.rows["readings"]:
        if row["position"] == "plate" and row["read_at"] == looked(WEEKS):
            row["size_mm"] = 6.0
    assert said(fleet, tmp_path)["readings", "too-fast"] == ("doubtful", 1)


def test_a_removal_written_down_after_the_new_anode_counts_for_the_old_one(tmp_path: Path) -> None:
    fleet = sound_fleet().fitting("H1", "plate", "2031-06-17 08:00")
    fleet.reading("H1", "plate", "2031-06-17 08:30", 12.8, removed=True)
    assert not [key for key in said(fleet, tmp_path) if key[0] == "readings"]


def test_a_first_anode_that_nobody_saw_fitted_is_fine(tmp_path: Path) -> None:
    fleet = sound_fleet()
    fleet.rows["fittings"].clear()
    assert not [key for key in said(fleet, tmp_path) if key[0] == "readings"]


def test_a_new_anode_in_inches_is_taken_at_its_listed_size(tmp_path: Path) -> None:
    fleet = sound_fleet()
    fleet.rows["fittings"][0]["size_mm"] = 0.354
    result = checked(fleet, tmp_path)
    assert result.findings["rule"].tolist().count("fitted-size-impossible") == 1
    assert len(result.fittings) == 2
    assert result.fittings["size_mm"].isna().all()


def test_a_new_anode_at_its_limit_is_doubted(tmp_path: Path) -> None:
    fleet = sound_fleet()
    fleet.rows["fittings"][0]["size_mm"] = 6.3
    assert said(fleet, tmp_path)["fittings", "fitted-near-limit"] == ("doubtful", 1)
