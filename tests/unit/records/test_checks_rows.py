"""Each rule about single rows: one fault put into a sound fleet is found, counted, and named."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.fleets import FleetLogs, usual_fleet
from tests.unit.records.checked import checked, looked, said, sound_fleet

Spoil = Callable[[FleetLogs], object]

SET_ASIDE, DOUBTFUL, NOTE = "set-aside", "doubtful", "note"
LATE = "2031-06-25 15:00"


def drop(log: str) -> Spoil:
    return lambda fleet: fleet.rows[log].clear()


def change(log: str, **cells: object) -> Spoil:
    return lambda fleet: fleet.rows[log][0].update(cells)


# log, rule, severity, rows, what was done to the sound fleet
FAULTS: list[tuple[str, str, str, int, Spoil]] = [
    # registers
    ("hulls", "in-register-twice", SET_ASIDE, 1, lambda f: f.hull("H1", "single")),
    ("anode_positions", "size-not-positive", SET_ASIDE, 1,
     lambda f: f.position("stub", new_size_mm=0.0, limit_size_mm=-1.0)),
    ("anode_positions", "limit-not-below-new", SET_ASIDE, 1,
     lambda f: f.position("stub", new_size_mm=6.4, limit_size_mm=9.0)),
    ("anode_positions", "limit-not-below-new", SET_ASIDE, 1,
     lambda f: f.position("stub", new_size_mm=1e-300, limit_size_mm=0.0)),
    ("anode_positions", "cost-negative", DOUBTFUL, 1, lambda f: f.position("stub", part_cost=-3.0)),
    ("hulls", "layout-without-positions", DOUBTFUL, 1,
     lambda f: f.hull("H2", "barge").berth("H2", "E")),
    ("hulls", "berth-missing", DOUBTFUL, 1, lambda f: f.hull("H2")),
    ("hulls", "retired-before-service", DOUBTFUL, 1,
     lambda f: f.hull("H2", in_service="2031-05-01", retired="2031-04-01").berth("H2", "E")),
    ("hulls", "berth-starts-late", NOTE, 1, change("berths", since="2031-05-01")),
    # who and where
    ("outings", "hull-unknown", SET_ASIDE, 1, lambda f: f.outing("H7", LATE)),
    ("flushes", "hull-unknown", SET_ASIDE, 1, lambda f: f.flush("H7", LATE)),
    ("berths", "hull-unknown", SET_ASIDE, 1, lambda f: f.berth("H7", "E")),
    ("bookings", "hull-unknown", SET_ASIDE, 1, lambda f: f.booking("H7", LATE, "2031-06-26")),
    ("readings", "hull-unknown", SET_ASIDE, 1, lambda f: f.reading("h1", "pencil", LATE, 7.0)),
    ("readings", "position-unknown", SET_ASIDE, 1, lambda f: f.reading("H1", "pen", LATE, 7.0)),
    ("fittings", "position-unknown", SET_ASIDE, 1, lambda f: f.fitting("H1", "pen", LATE)),
    ("readings", "position-set-aside", SET_ASIDE, 10, change("anode_positions", limit_size_mm=9.0)),
    ("berths", "mooring-unknown", SET_ASIDE, 1, lambda f: f.berth("H1", "Z", since="2031-06-20")),
    ("water_samples", "mooring-unknown", SET_ASIDE, 1, lambda f: f.sample("Z", LATE)),
    # when
    ("outings", "ended-before-start", SET_ASIDE, 1, lambda f: f.outing("H1", LATE, hours=-1.0)),
    ("outings", "ended-before-start", SET_ASIDE, 1, lambda f: f.outing("H1", LATE, hours=0.0)),
    ("bookings", "ended-before-start", SET_ASIDE, 1, lambda f: f.booking("H1", LATE, "2031-06-24")),
    ("readings", "ahead-of-entry", SET_ASIDE, 1,
     lambda f: f.reading("H1", "pencil", LATE, 6.7, entered_at="2031-06-23 15:00")),
    ("outings", "before-service", DOUBTFUL, 1, lambda f: f.outing("H1", "2031-03-20 09:00")),
    ("outings", "after-retired", DOUBTFUL, 4, change("hulls", retired="2031-06-19")),
    # twice
    ("outings", "exact-duplicate", SET_ASIDE, 1, lambda f: f.outing("H1", "2031-05-01 09:00")),
    ("flushes", "exact-duplicate", SET_ASIDE, 1, lambda f: f.flush("H1", "2031-05-01 11:30")),
    ("readings", "exact-duplicate", SET_ASIDE, 1,
     lambda f: f.reading("H1", "plate", looked(5), 14.0)),
    ("fittings", "exact-duplicate", SET_ASIDE, 1, lambda f: f.fitting("H1", "plate", "2031-04-01")),
    ("outings", "double-entry", SET_ASIDE, 1, lambda f: f.outing("H1", "2031-05-01 09:04", 1.98)),
    ("flushes", "double-entry", SET_ASIDE, 1,
     lambda f: f.flush("H1", "2031-05-01 11:30:40", minutes=5.0)),
    ("readings", "double-entry", SET_ASIDE, 1,
     lambda f: f.reading("H1", "plate", looked(5).replace("07:30", "07:44"), 14.0)),
    ("fittings", "double-entry", SET_ASIDE, 1,
     lambda f: f.fitting("H1", "plate", "2031-04-01 00:10")),
    ("fittings", "fitted-twice", DOUBTFUL, 1,
     lambda f: f.fitting("H1", "plate", "2031-04-01 00:40")),
    ("berths", "berths-at-once", DOUBTFUL, 1, lambda f: f.berth("H1", "B")),
    ("outings", "outings-overlap", DOUBTFUL, 1, lambda f: f.outing("H1", "2031-05-01 10:00")),
    ("bookings", "bookings-overlap", DOUBTFUL, 1,
     lambda f: f.booking("H1", "2031-07-01 09:00", "2031-07-01 12:00").booking(
         "H1", "2031-07-01 11:00", "2031-07-01 14:00")),
    # hours
    ("outings", "engine-hours-negative", SET_ASIDE, 1, lambda f: f.outing("H1", LATE, share=-0.9)),
    ("outings", "engine-hours-over-outing", SET_ASIDE, 1,
     lambda f: f.outing("H1", LATE, share=1.11)),
    ("bookings", "engine-hours-over-hire", SET_ASIDE, 1,
     lambda f: f.booking("H1", "2031-07-01 09:00", "2031-07-01 11:00", engine_hours=20.0)),
    ("outings", "engine-hours-unknown", NOTE, 1,
     lambda f: f.outing("H1", LATE, engine_hours=None)),
    ("outings", "outing-over-a-day", DOUBTFUL, 1, lambda f: f.outing("H1", LATE, hours=26.0)),
    ("outings", "outing-over-three-days", SET_ASIDE, 1, lambda f: f.outing("H1", LATE, hours=73.0)),
    ("flushes", "flush-minutes-impossible", SET_ASIDE, 1,
     change("flushes", minutes=-5.0)),
    # water
    ("water_samples", "temperature-impossible", SET_ASIDE, 1,
     lambda f: f.sample("E", LATE, temperature_c=61.0)),
    ("water_samples", "salinity-impossible", SET_ASIDE, 1,
     lambda f: f.sample("E", LATE, salinity_g_per_kg=-1.0)),
    ("water_samples", "conductivity-impossible", SET_ASIDE, 1,
     lambda f: f.sample("E", LATE, conductivity_ms_per_cm=42900.0)),
    ("moorings", "water-against-samples", NOTE, 1, change("moorings", water="fresh")),
    ("moorings", "no-water-samples", NOTE, 1, drop("water_samples")),
    # alloys
    ("hulls", "magnesium-in-salt", DOUBTFUL, 1,
     lambda f: f.fitting("H1", "plate", LATE, alloy="magnesium")),
    ("hulls", "alloys-mixed", NOTE, 1, lambda f: f.fitting("H1", "plate", LATE, alloy="aluminium")),
    ("fittings", "alloy-not-as-listed", NOTE, 1,
     lambda f: f.fitting("H1", "plate", LATE, alloy="aluminium")),
    ("hulls", "zinc-in-fresh", NOTE, 1, lambda f: f.berth("H1", "L", since="2031-06-20")),
    # flushes
    ("flushes", "flush-without-outing", NOTE, 1, lambda f: f.flush("H1", "2031-06-30 10:00")),
    ("flushes", "flush-during-outing", NOTE, 1, lambda f: f.flush("H1", "2031-05-01 10:00")),
    ("outings", "flush-log-silent", NOTE, 84, drop("flushes")),
    # meters
    ("outings", "meter-went-back", NOTE, 1,
     lambda f: f.outing("H1", LATE, meter_hours=900.0).outing(
         "H1", "2031-06-26 09:00", meter_hours=1.8)),
    ("outings", "meter-against-hours", NOTE, 1,
     lambda f: f.outing("H1", LATE, meter_hours=100.0).outing(
         "H1", "2031-06-26 09:00", meter_hours=109.0)),
    ("outings", "meter-stuck", NOTE, 1,
     lambda f: [f.outing("H1", f"2031-06-{26 + n} 09:00", meter_hours=5.0) for n in range(4)]),
    # anodes out and in
    ("readings", "left-empty", NOTE, 1,
     lambda f: f.rows["readings"][-1].update(removed=True, read_at="2031-06-08 07:30")),
    ("readings", "fitting-not-recorded", NOTE, 1,
     lambda f: f.rows["readings"][0].update(removed=True)),
    ("readings", "removed-twice", DOUBTFUL, 1,
     lambda f: [row.update(removed=True) for row in f.rows["readings"][:4:2]]),
    ("readings", "read-as-fitted", NOTE, 1,
     lambda f: f.fitting("H1", "plate", "2031-06-25 08:00").reading(
         "H1", "plate", "2031-06-25 08:00", 15.0)),
    # silence
    ("hulls", "never-out", NOTE, 1,
     lambda f: f.hull("H2", in_service="2031-04-01").berth("H2", "E")),
    ("hulls", "anode-unread", NOTE, 1, drop("readings")),
]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize(
    ("log", "rule", "severity", "rows", "spoil"),
    FAULTS,
    ids=[f"{log}-{rule}" for log, rule, *_ in FAULTS],
)
def test_a_fault_is_found_and_counted(
    tmp_path: Path, log: str, rule: str, severity: str, rows: int, spoil: Spoil
) -> None:
    fleet = sound_fleet()
    spoil(fleet)
    assert said(fleet, tmp_path).get((log, rule)) == (severity, rows)


def test_day_and_month_that_fit_their_entry_the_other_way_round_are_doubted(tmp_path: Path) -> None:
    fleet = sound_fleet()
    for row in fleet.rows["readings"]:
        row["entered_at"] = row["read_at"]
    # the look of 3 June, entered that day, written down as 6 March
    fleet.reading("H1", "plate", "2031-03-06 08:00", 13.2, entered_at="2031-06-03 09:00")
    assert said(fleet, tmp_path)["readings", "day-month-swapped"] == ("doubtful", 1)


def test_old_rows_typed_in_late_are_not_taken_for_swapped_dates(tmp_path: Path) -> None:
    fleet = sound_fleet()
    for row in fleet.rows["readings"]:
        row["entered_at"] = "2031-06-28"
    assert ("readings", "day-month-swapped") not in said(fleet, tmp_path)


def test_five_hulls_in_one_minute_are_ticked_in_bulk_and_four_are_not(tmp_path: Path) -> None:
    for hulls in (4, 5):
        fleet = usual_fleet(hulls)
        for number in range(1, hulls + 1):
            fleet.outing(f"H{number}", "2031-05-01 09:00").flush(f"H{number}", "2031-05-01 18:00")
        findings = said(fleet, tmp_path / f"{hulls}")
        assert findings.get(("flushes", "ticked-in-bulk")) == (None if hulls == 4 else ("note", 5))


def test_a_hull_idle_while_the_rest_works_is_noted_and_a_winter_is_not(tmp_path: Path) -> None:
    for name, days in (("season", 60), ("winter", 5)):
        fleet = usual_fleet(3)
        for hull_id in ("H1", "H2"):
            fleet.season(hull_id, "2031-04-02", days).outing(hull_id, "2031-06-10 09:00")
        fleet.season("H3", "2031-04-02", 5).outing("H3", "2031-06-10 09:00")
        findings = said(fleet, tmp_path / name)
        assert findings.get(("hulls", "idle-in-season")) == (("note", 1) if days == 60 else None)


def test_flushes_not_done_are_rows_and_keep_the_log_from_being_silent(tmp_path: Path) -> None:
    fleet = sound_fleet()
    for row in fleet.rows["flushes"]:
        row["done"] = "could-not"
    assert ("outings", "flush-log-silent") not in said(fleet, tmp_path)


def test_hours_within_five_percent_and_a_tenth_are_believed(tmp_path: Path) -> None:
    fleet = sound_fleet().outing("H1", LATE, engine_hours=2.19)
    assert ("outings", "engine-hours-over-outing") not in said(fleet, tmp_path)


def test_of_two_equal_rows_the_one_entered_first_is_kept(tmp_path: Path) -> None:
    fleet = sound_fleet()
    for moment, entry in (("2031-06-26 12:00", "late"), ("2031-06-26 08:00", "early")):
        cells = {"entered_at": moment, "entry_id": entry}
        fleet.reading("H1", "plate", "2031-06-26 07:30", 12.6, **cells)
    entry_ids = checked(fleet, tmp_path).readings["entry_id"].dropna()
    assert entry_ids.tolist() == ["early"]


def test_magnesium_in_salt_is_told_as_a_stop(tmp_path: Path) -> None:
    fleet = sound_fleet().fitting("H1", "plate", LATE, alloy="magnesium")
    findings = checked(fleet, tmp_path).findings.set_index("rule")
    assert findings.loc["magnesium-in-salt", "what_to_do"].startswith("Stop:")
