"""The simulated fleet: its physics against closed forms, its logs against its answer sheet."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import gsw
import numpy as np
import pandas as pd
import pyarrow.parquet as pq
import pytest

from corrosion.records.checks import Checked, check_logs
from corrosion.records.logbook import read_fleet
from demo_fleet import yard
from demo_fleet.clock import Calendar
from demo_fleet.ledger import Ledger
from demo_fleet.maker import DEFAULT_SEED, Fleet, make_fleet, write_fleet
from demo_fleet.policy import share_saved
from demo_fleet.salt import conductivity_ms_per_cm
from demo_fleet.scenario import HARBOUR, smaller, without_stories
from demo_fleet.season import Habits
from demo_fleet.writing import in_file_order, write_logs

HOME = Path(__file__).parents[3] / "demo_fleet"
CALM = yard.Physics(hull_spread=0.0, anode_spread=0.0, process_spread=0.0)


@pytest.fixture(scope="module")
def fleet() -> Fleet:
    return make_fleet()


@pytest.fixture(scope="module")
def faults(fleet: Fleet) -> pd.DataFrame:
    return fleet.ledger.table(fleet.tables)


@pytest.fixture(scope="module")
def checked() -> Checked:
    return check_logs(read_fleet(HOME / "logs"))


def one_hull(start_h: list[float], end_h: list[float], flush_h: list[float]) -> yard.Use:
    start, end = np.array(start_h), np.array(end_h)
    berths = yard.Berthing(np.array([0.0]), np.array([0]), np.array([True]), ("north",))
    water = np.zeros(len(start), dtype=np.int64)
    return yard.Use("H01", start, end, 0.8 * (end - start), water, np.array(flush_h), berths)


def exposed(use: yard.Use, hours: int = 240) -> yard.Exposure:
    return yard.expose(use, np.array([0]), 25.0, np.arange(hours + 1.0))


# ---- physics ------------------------------------------------------------------------------------


def test_wet_hours_until_a_flush_follow_the_drying_law() -> None:
    wet = exposed(one_hull([10.2], [12.2], [22.2])).wet_h.sum()
    assert wet == pytest.approx(25.0 * (1 - np.exp(-10.0 / 25.0)), rel=1e-12)


def test_wet_hours_are_those_of_a_numerical_integral() -> None:
    use = one_hull([3.3, 9.4, 40.0], [5.1, 11.7, 42.0], [12.0, 60.5])
    seconds = (np.arange(240 * 3600) + 0.5) / 3600.0
    pace = np.zeros_like(seconds)
    for end, until in ((5.1, 9.4), (11.7, 12.0), (42.0, 60.5)):
        inside = (seconds >= end) & (seconds < until)
        pace[inside] = np.exp(-(seconds[inside] - end) / 25.0)
    hourly = pace.reshape(240, 3600).mean(axis=1)
    np.testing.assert_allclose(exposed(use).wet_h[:, 0], hourly, atol=2e-4)


def test_a_flush_before_the_return_changes_nothing() -> None:
    early, never = one_hull([10.0], [12.0], [11.0]), one_hull([10.0], [12.0], [])
    np.testing.assert_array_equal(exposed(early).wet_h, exposed(never).wet_h)


def test_hours_afloat_and_under_way_add_up_to_the_calendar() -> None:
    exposure = exposed(one_hull([3.3, 9.4], [5.1, 11.7], []))
    np.testing.assert_allclose((exposure.lying_h + exposure.under_way_h).sum(axis=1), 1.0)
    assert exposure.running_h.sum() == pytest.approx(0.8 * (1.8 + 2.3))


def test_a_hull_that_never_went_out_has_no_engine_wear() -> None:
    states = yard.by_state_mm(exposed(one_hull([], [], [])), "engine", CALM)
    assert sum(mm.sum() for mm in states.values()) == 0.0


def test_flooded_passages_wear_with_the_hours_afloat() -> None:
    flooded = replace(CALM, rates={**CALM.rates, "salt": yard.Rates(0, 0, 0.012, 0.0024)})
    states = yard.by_state_mm(exposed(one_hull([], [], [])), "engine", flooded)
    assert states["afloat"].sum() == pytest.approx(0.0024 * 10)


def test_wear_never_goes_back_and_has_the_promised_mean_and_spread() -> None:
    rng = np.random.default_rng(1)
    steps = np.full(200, 1.0 / 200)
    paths = np.array([yard.wear_path(steps, 0.05, rng) for _ in range(2000)])
    assert (np.diff(paths, axis=1) >= 0).all()
    assert paths[:, -1].mean() == pytest.approx(1.0, abs=4 * 0.05 / np.sqrt(2000))
    assert paths[:, -1].std() == pytest.approx(0.05, rel=0.08)


def test_without_chance_wear_is_the_expected_wear() -> None:
    steps = np.array([0.1, 0.0, 0.3])
    path = yard.wear_path(steps, 0.0, np.random.default_rng(1))
    np.testing.assert_allclose(path, [0.0, 0.1, 0.1, 0.4])


def test_a_diameter_loses_twice_its_surface() -> None:
    button = HARBOUR.positions_of("outboard")[0]
    rod = replace(button, gauge="diameter")
    twice = 2 * yard.share_per_surface_mm(button, CALM)
    assert yard.share_per_surface_mm(rod, CALM) == pytest.approx(twice)


@pytest.mark.slow
def test_estuary_lives_are_those_that_the_scenario_was_drawn_for() -> None:
    # invented data: about 160 engine hours for a jacket pencil, 440 to 560 for a block button
    calm = make_fleet(1, without_stories(HARBOUR), CALM, faults=None)
    hours: dict[str, list[float]] = {"jacket-pencil": [], "block-button-upper": []}
    for truth, record in zip(calm.truths, calm.records, strict=True):
        run_h = np.cumsum(truth.use.engine_h)
        for life in record.lives:
            crossing = life.crossing_h()
            if truth.hull.mooring_id == "estuary" and np.isfinite(crossing):
                spent = np.interp([life.fitted_h, crossing], truth.use.end_h, run_h)
                hours.get(life.position.position, []).append(float(np.diff(spent)[0]))
    assert 140 < np.median(hours["jacket-pencil"]) < 190
    assert 430 < np.median(hours["block-button-upper"]) < 570


def test_conductivity_is_that_of_gsw() -> None:
    # gsw 3.6, PSS-78; absolute salinity taken as S 35.16504/35
    salinity, temperature = np.array([3.0, 8.0, 26.0, 33.0]), np.array([5.0, 20.0, 12.0, 17.0])
    practical = salinity * 35.0 / 35.16504
    expected = gsw.C_from_SP(practical, temperature, 0.0)
    np.testing.assert_allclose(conductivity_ms_per_cm(salinity, temperature), expected, rtol=1e-6)


@pytest.mark.parametrize("day", [0, 100, 195, 196, 197, 300, 349, 350, 351, 420])
def test_the_calendar_agrees_with_the_time_zone(day: int) -> None:
    calendar = Calendar(HARBOUR.first_day, HARBOUR.timezone, 430)
    stamp = calendar.stamps(calendar.hours([day], 7.5))[0]
    there = pd.Timestamp(HARBOUR.first_day) + pd.Timedelta(days=day, hours=7.5)
    expected = datetime(*there.timetuple()[:6], tzinfo=ZoneInfo(HARBOUR.timezone))
    assert stamp == pd.Timestamp(expected)
    assert calendar.day_of(calendar.hours([day], 7.5))[0] == day


# ---- flushing -----------------------------------------------------------------------------------


def test_flushing_saves_nothing_where_salt_does_not_stay() -> None:
    rates = {w: replace(r, unflushed_mm_per_h=0.0) for w, r in yard.Physics().rates.items()}
    dry = make_fleet(3, smaller(HARBOUR, 10), yard.Physics(rates=rates), faults=None)
    assert share_saved(dry.truths, dry.world, only_possible=False) == 0.0


def test_flushing_saves_little_where_everybody_flushes() -> None:
    tidy = Habits(flush_share=1.0, flush_drop_when_busy=0.0, late_flush_share=0.0)
    never = Habits(flush_share=-1.0, flush_drop_when_busy=0.0)
    lone = replace(without_stories(HARBOUR), groups=HARBOUR.groups[:2])
    saved = [
        share_saved(made.truths, made.world, only_possible=False)
        for made in (make_fleet(3, lone, habits=h, faults=None) for h in (tidy, never))
    ]
    assert saved[0] < 0.02
    assert 0.4 < saved[1] < 0.7


@pytest.mark.slow
def test_hulls_afloat_where_no_hose_reaches_are_never_flushed_in_season(fleet: Fleet) -> None:
    for truth in fleet.truths:
        hull = truth.hull
        if (hull.mooring_id, hull.stays) == ("lagoon", "afloat"):
            afloat_until = fleet.world.calendar.hours(hull.lay_up_day, 6.0)
            assert not (truth.use.flush_h < afloat_until).any()


def test_hard_worked_hulls_are_flushed_less(fleet: Fleet) -> None:
    rows = [
        (t.hull.busy, len(t.use.flush_h) / len(t.use.end_h))
        for t in fleet.truths
        if t.hull.mooring_id == "estuary"
    ]
    assert np.corrcoef(np.array(rows).T)[0, 1] < -0.5


# ---- logs ---------------------------------------------------------------------------------------


@pytest.mark.slow
def test_the_same_seed_gives_the_same_rows_and_another_gives_others(fleet: Fleet) -> None:
    again, other = make_fleet(), make_fleet(DEFAULT_SEED + 1)
    for log, table in fleet.tables.items():
        pd.testing.assert_frame_equal(table, again.tables[log])
    assert not fleet.tables["outings"].equals(other.tables["outings"])


@pytest.mark.slow
def test_the_committed_logs_and_answers_are_what_the_maker_writes(tmp_path: Path) -> None:
    write_fleet(tmp_path / "logs", answers=tmp_path / "answers")
    written = sorted(p.relative_to(tmp_path) for p in tmp_path.rglob("*.*") if p.is_file())
    kept = [p for part in ("logs", "answers") for p in (HOME / part).rglob("*.*") if p.is_file()]
    assert sorted(p.relative_to(HOME) for p in kept) == written
    for path in written:
        if path.suffix == ".parquet":
            assert pq.read_table(HOME / path).equals(pq.read_table(tmp_path / path)), path
        else:
            assert (HOME / path).read_text("utf-8") == (tmp_path / path).read_text("utf-8"), path
    assert sum(p.stat().st_size for p in kept) < 6_000_000


@pytest.mark.slow
def test_writing_again_leaves_no_file_of_the_fleet_before(fleet: Fleet, tmp_path: Path) -> None:
    write_logs(tmp_path, fleet.tables, fleet.world.scenario)
    bare = make_fleet(faults=None)
    write_logs(tmp_path, bare.tables, bare.world.scenario)
    assert not list(tmp_path.rglob("*sheet*"))
    assert not list(tmp_path.rglob("*tablet*"))


def test_the_fleet_is_marked_as_simulated_and_ends_on_a_monday_morning() -> None:
    logbook = read_fleet(HOME / "logs")
    local = logbook.on.tz_convert(logbook.settings.timezone)
    assert logbook.settings.simulated
    assert (local.day_name(), local.hour) == ("Monday", 7)


def test_nothing_but_bookings_lies_after_the_last_logged_moment(fleet: Fleet) -> None:
    last = fleet.world.calendar.stamps(np.array([fleet.world.end_h]))[0]
    for log, table in fleet.tables.items():
        if log != "bookings":
            for column in table.select_dtypes("datetimetz"):
                assert not (table[column] > last).any(), f"{log} {column}"
    ahead = fleet.tables["bookings"]["starts"] - last
    assert pd.Timedelta(weeks=5) < ahead.max() <= pd.Timedelta(weeks=6)


def test_outings_of_a_hull_never_overlap_and_run_less_than_they_last(fleet: Fleet) -> None:
    for truth in fleet.truths:
        use = truth.use
        assert (use.start_h[1:] > use.end_h[:-1]).all()
        assert (use.engine_h < use.end_h - use.start_h).all()


def test_a_season_is_worked_as_the_scenario_says(fleet: Fleet) -> None:
    for truth in fleet.truths:
        if truth.hull.last_day == HARBOUR.horizon_days:
            first = truth.use.end_h < 24 * 230
            assert 250 < truth.use.engine_h[first].sum() < 430


def test_entries_are_signed_by_roles_alone(fleet: Fleet) -> None:
    roles = {"dock, early shift", "dock, late shift", "workshop", "spreadsheet"}
    for table in fleet.tables.values():
        if "entered_by" in table:
            assert set(table["entered_by"]) <= roles


def test_a_smaller_fleet_keeps_its_moorings() -> None:
    made = make_fleet(5, smaller(HARBOUR, 10), faults=None)
    assert len(made.tables["hulls"]) == 10
    assert set(made.tables["berths"]["mooring_id"]) == {"estuary", "lagoon", "lake"}
    assert made.ledger.rows == []


# ---- answer sheet -------------------------------------------------------------------------------


def test_an_anode_is_at_its_limit_when_it_crosses(fleet: Fleet) -> None:
    crossed = 0
    for life in (life for record in fleet.records for life in record.lives):
        at = life.crossing_h()
        if np.isfinite(at) and at > life.fitted_h:
            limit = life.position.limit_size_mm
            assert life.size_mm(at) == pytest.approx(limit, abs=1e-9)
            assert life.size_mm(at - 2.0) >= limit
            crossed += 1
    assert crossed > 50


def test_lives_at_a_position_follow_each_other(fleet: Fleet) -> None:
    for record in fleet.records:
        lives = sorted(record.lives, key=lambda life: (life.position.position, life.number))
        for old, new in pairwise(lives):
            if old.position == new.position:
                assert old.fitted_h < old.removed_h == new.fitted_h


def test_the_last_morning_gives_a_manager_something_to_do() -> None:
    lives = pd.read_parquet(HOME / "answers" / "lives.parquet")
    sheet = json.loads((HOME / "answers" / "answers.json").read_text("utf-8"))
    left = lives.loc[lives["current"], "crossing_at"] - pd.Timestamp(sheet["last_logged_moment"])
    assert 3 <= (left <= pd.Timedelta(0)).sum() <= 9
    assert 5 <= left.between(pd.Timedelta(0), pd.Timedelta(days=21)).sum() <= 15


def test_the_painted_plate_does_not_wear_and_the_wrong_alloy_does(fleet: Fleet) -> None:
    end = np.array([fleet.world.end_h])
    found = {
        (life.hull_id, life.position.position): life
        for record in fleet.records
        for life in record.lives
        if np.isinf(life.removed_h)
    }
    painted, wrong = found["H03", "pump-plate"], found["H02", "pump-plate"]
    assert painted.worn(end)[0] < 0.01
    assert wrong.alloy == "magnesium"
    assert wrong.worn(end)[0] > 0.5


def test_every_kind_of_fault_is_on_the_sheet(faults: pd.DataFrame) -> None:
    assert set(faults["fault"]) == {
        *("corrected", "crust", "double-entry", "flush-all-at-18", "hours-longer-than-outing"),
        *("hours-unknown", "inches", "local-times", "lost-decimal-point", "meter-reset"),
        *("meter-stuck", "moved", "no-flush-log", "painted", "sold", "stray-current", "unread"),
        *("unrecorded-change", "voided", "wrong-alloy"),
    }


def test_every_fault_points_at_its_row_on_disk(faults: pd.DataFrame) -> None:
    logbook = read_fleet(HOME / "logs")
    for log, rows in faults.dropna(subset=["log_row"]).groupby("log"):
        there = logbook.history[str(log)].set_index("log_row").loc[rows["log_row"].astype(int)]
        assert list(there["entry_id"]) == list(rows["entry_id"])
        assert list(there["log_file"]) == list(rows["log_file"])


def test_the_ledger_refuses_a_column_that_it_has_not() -> None:
    with pytest.raises(TypeError, match="no such columns in the ledger: \\['colour'\\]"):
        Ledger().note("painted", "readings", "told", colour="red")


def test_readings_differ_from_the_truth_by_no_more_than_people_err(
    fleet: Fleet, faults: pd.DataFrame
) -> None:
    readings = fleet.tables["readings"]
    sound = readings[~readings["entry_id"].isin(faults["entry_id"])]
    error = (sound["size_mm"] - sound["true_size_mm"]).dropna()
    assert 0.10 < error.std() < 0.17
    assert abs(error.mean()) < 0.015


def test_unrecorded_changes_are_three_to_six_in_a_hundred(fleet: Fleet) -> None:
    changes = [life for r in fleet.records for life in r.lives if life.number > 1]
    assert 0.03 <= np.mean([not life.written for life in changes]) <= 0.06


# ---- what the log checks make of it -------------------------------------------------------------


@pytest.mark.parametrize(
    ("fault", "severity"),
    [
        ("double-entry", "set-aside"),
        ("hours-longer-than-outing", "set-aside"),
        ("lost-decimal-point", "set-aside"),
        ("inches", "set-aside"),
    ],
)
def test_rows_that_cannot_be_true_are_set_aside(
    checked: Checked, faults: pd.DataFrame, fault: str, severity: str
) -> None:
    wanted = faults[(faults["fault"] == fault) & faults["log_row"].notna()]
    objections = checked.objections[checked.objections["severity"] == severity]
    met = wanted.merge(objections, on=["log", "log_row"], how="left")
    missed = met.loc[met["rule"].isna(), "entry_id"]
    assert len(wanted) > 0
    assert missed.empty, f"{fault}: not set aside: {list(missed)}"


def test_corrections_stand_and_void_rows_do_not(faults: pd.DataFrame) -> None:
    logbook = read_fleet(HOME / "logs")
    readings = logbook.readings.set_index("entry_id")
    for wrong in faults[faults["fault"] == "corrected"].itertuples():
        assert wrong.entry_id not in readings.index
        now = readings[readings["corrects"] == wrong.entry_id]["size_mm"]
        assert list(now) == [float(wrong.truth)]
    void = faults[faults["fault"] == "voided"]["entry_id"]
    assert not logbook.outings["entry_id"].isin(void).any()


def test_the_silent_fortnight_and_the_bulk_ticks_are_noticed(
    checked: Checked, faults: pd.DataFrame
) -> None:
    objections = checked.objections.set_index("rule")
    silence = faults[faults["fault"] == "no-flush-log"].iloc[0]
    noticed = objections.loc[["flush-log-silent"], "log_row"]
    ended = checked.logbook.outings.set_index("log_row")["ended"].reindex(noticed)
    assert ended.between(silence["first_at"], silence["last_at"]).sum() > 100
    ticked = set(faults.loc[faults["fault"] == "flush-all-at-18", "log_row"])
    assert ticked <= set(objections.loc["ticked-in-bulk", "log_row"])


def test_most_unrecorded_changes_are_noticed_at_the_next_reading(
    checked: Checked, faults: pd.DataFrame
) -> None:
    rules = ["change-not-recorded", "change-seen-by-eye", "grew"]
    rows = checked.objections.loc[checked.objections["rule"].isin(rules), "log_row"]
    met = checked.logbook.readings.set_index("log_row").loc[rows, ["hull_id", "position"]]
    planted = faults.loc[faults["fault"] == "unrecorded-change", ["hull_id", "position"]]
    found = planted.merge(met.drop_duplicates(), on=["hull_id", "position"])
    assert len(found) >= 0.75 * len(planted)


def test_rows_of_a_file_are_in_the_order_of_entry(fleet: Fleet) -> None:
    rows = in_file_order(fleet.tables["readings"])
    entered = rows.groupby("_file")["entered_at"]
    assert entered.apply(lambda at: at.is_monotonic_increasing).all()
