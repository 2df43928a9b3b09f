"""The simulated fleet: its physics against closed forms, its logs against its answer sheet."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path

import numpy as np
import pandas as pd
import pyarrow.parquet as pq
import pytest

from corrosion.records.logbook import read_fleet
from demo_fleet.maker import DEFAULT_SEED, Fleet, make_fleet, write_fleet
from demo_fleet.scenario import HARBOUR, smaller
from demo_fleet.writing import in_file_order, write_logs

pytestmark = pytest.mark.slow

HOME = Path(__file__).parents[3] / "demo_fleet"


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


def test_the_same_seed_gives_the_same_rows_and_another_gives_others(fleet: Fleet) -> None:
    again, other = make_fleet(), make_fleet(DEFAULT_SEED + 1)
    for log, table in fleet.tables.items():
        pd.testing.assert_frame_equal(table, again.tables[log])
    assert not fleet.tables["outings"].equals(other.tables["outings"])


def test_the_committed_logs_and_answers_are_what_the_maker_writes(tmp_path: Path) -> None:
    write_fleet(tmp_path / "logs", answers=tmp_path / "answers")
    written = sorted(p.relative_to(tmp_path) for p in tmp_path.rglob("*.*") if p.is_file())
    committed = [
        p for part in ("logs", "answers") for p in (HOME / part).rglob("*.*") if p.is_file()
    ]
    assert sorted(p.relative_to(HOME) for p in committed) == written
    for path in written:
        if path.suffix == ".parquet":
            assert pq.read_table(HOME / path).equals(pq.read_table(tmp_path / path)), path
        else:
            assert (HOME / path).read_text("utf-8") == (tmp_path / path).read_text("utf-8"), path
    assert sum(p.stat().st_size for p in committed) < 6_000_000


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
    in_place = {
        (life.hull_id, life.position.position): life
        for record in fleet.records
        for life in record.lives
        if np.isinf(life.removed_h)
    }
    painted, wrong = in_place["H03", "pump-plate"], in_place["H02", "pump-plate"]
    assert painted.worn(end)[0] < 0.01
    assert wrong.alloy == "magnesium"
    assert wrong.worn(end)[0] > 0.5


def test_rows_of_a_file_are_in_the_order_of_entry(fleet: Fleet) -> None:
    rows = in_file_order(fleet.tables["readings"])
    entered = rows.groupby("_file")["entered_at"]
    assert entered.apply(lambda at: at.is_monotonic_increasing).all()
