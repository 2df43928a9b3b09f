"""The study of a season: its truth depends on no policy, its rules hold, and the plan does well."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from tests.known_truth.season.compare import (
    SWEEP,
    Study,
    at_past_days,
    at_pull_outs,
    paired,
    season,
    summary,
)
from tests.known_truth.season.rules import is_booked, mooring_of
from tests.known_truth.season.run import by_rule, nobody, work_through
from tests.known_truth.season.truth import places
from tests.known_truth.season.worlds import Prices, World, draw_world, write_world
from tests.known_truth.season.yard import PullOut, Yard, logs_of, open_yard


@pytest.fixture(scope="module")
def world() -> World:
    return draw_world("standard", 1, hulls=8, weeks=10)


def test_the_season_begins_on_a_monday_and_ends_within_the_simulated_time(world: World) -> None:
    assert world.moment(world.first_h).weekday() == 0
    assert world.last_h < world.fleet.timelines[0].bound_h[-1]


def test_without_a_policy_anode_days_past_are_those_of_the_simulator(world: World) -> None:
    fleet = world.fleet
    leaves = {hull.hull_id: 24.0 * hull.leaves_day for hull in fleet.hulls}
    expected = sum(
        max(min(world.last_h, leaves[life.hull_id]) - max(life.crossing_h(), world.first_h), 0.0)
        for life in fleet.lives
        if life.removed_h > world.first_h and life.fitted_h <= world.first_h < leaves[life.hull_id]
    )
    late = [life for life in fleet.lives if life.fitted_h > world.first_h]
    joined = {life.hull_id for life in late} & {h.hull_id for h in fleet.hulls if h.joins_day > 210}
    assert not joined  # no hull joins in this season, so the two sums are of the same anodes
    assert work_through(world, nobody).past_days == pytest.approx(expected / 24.0, rel=1e-9)


def test_the_wear_of_an_anode_is_the_same_whoever_fits_it_and_in_whatever_order(
    world: World,
) -> None:
    first, again = places(world)[0], places.__wrapped__(world)[0]
    again.fit(2, world.first_h + 500.0)
    for number in (1, 2):
        one, other = (each.fit(number, world.first_h + 100.0) for each in (first, again))
        assert one.worn == pytest.approx(other.worn)


def test_a_new_anode_starts_at_nought_and_never_grows_back(world: World) -> None:
    anode = places(world)[0].fit(1, world.first_h + 100.0)
    assert anode.worn_at(anode.fitted_h) == 0
    assert (np.diff(anode.worn) >= 0).all()


def test_a_pull_out_resets_what_it_replaces_and_reads_all(world: World) -> None:
    yard = open_yard(world)
    hull = yard.places[0].hull.hull_id
    mine = [yard.places[at].position.position for at in yard.by_hull[hull]]
    day = int(world.first_h / 24) + 1
    yard.pull(PullOut(day, hull, (mine[0],)))
    assert len(yard.looks) == len(mine)
    assert [look.removed for look in yard.looks] == [name == mine[0] for name in mine]
    now = [yard.anodes[at].worn_at(24.0 * day + 7.5) for at in yard.by_hull[hull]]
    assert now[0] == 0
    assert all(worn > 0 for worn in now[1:])


def test_the_logs_of_a_season_are_the_history_and_what_was_done(world: World) -> None:
    yard = open_yard(world)
    before = {log: len(table) for log, table in logs_of(yard).items()}
    yard.pull(PullOut(int(world.first_h / 24), yard.places[0].hull.hull_id, ()))
    after = logs_of(yard)
    assert len(after["fittings"]) == before["fittings"]
    assert len(after["readings"]) > before["readings"]
    assert after["readings"]["read_at"].max() >= world.moment(world.first_h)


@pytest.mark.parametrize("rule", sorted(SWEEP))
def test_a_rule_keeps_to_the_bays_and_to_the_book(world: World, rule: str) -> None:
    seen: list[PullOut] = []

    def watched(yard: Yard, monday: int) -> list[PullOut]:
        week = by_rule(rule, float(SWEEP[rule][2]))(yard, monday)
        seen.extend(week)
        return week

    outcome = work_through(world, watched)
    assert outcome.refused == 0
    assert outcome.pull_outs == len(seen) > 0
    bays = [(mooring_of(world, each.hull_id, each.day), each.day) for each in seen]
    assert len(set(bays)) == len(bays)
    assert not any(is_booked(world, each.hull_id, each.day) for each in seen)


def test_what_breaks_the_book_or_a_bay_is_refused(world: World) -> None:
    first = int(world.first_h / 24)
    booked = next(
        (hull.hull_id, day)
        for hull in world.fleet.hulls
        for day in range(first, first + 5)
        if is_booked(world, hull.hull_id, day)
    )

    def careless(yard: Yard, monday: int) -> list[PullOut]:
        return [PullOut(booked[1], booked[0], ())] if monday == first else []

    outcome = work_through(world, careless)
    assert (outcome.pull_outs, outcome.refused) == (0, 1)


@pytest.mark.parametrize("rule", sorted(SWEEP))
def test_a_stricter_rule_pulls_out_more_and_leaves_less_past(world: World, rule: str) -> None:
    strict, lax = (work_through(world, by_rule(rule, SWEEP[rule][at])) for at in (2, -3))
    assert strict.pull_outs >= lax.pull_outs
    assert strict.past_days <= lax.past_days


def test_the_same_season_comes_out_the_same(world: World) -> None:
    once, again = (work_through(world, by_rule("reading", 0.6)) for _ in range(2))
    assert once == again


def test_a_world_is_written_with_bays_and_prices(world: World, tmp_path: Path) -> None:
    write_world(world, tmp_path, Prices())
    text = (tmp_path / "fleet.toml").read_text("utf-8")
    assert text.count("[[bays]]") == len(world.fleet.moorings)
    assert pd.read_parquet(tmp_path / "anode_positions")["late_cost"].notna().all()


CURVE = pd.DataFrame({"pull_outs": [0, 10, 20, 30], "past_days": [100.0, 60.0, 65.0, 5.0]})


def test_between_two_thresholds_a_rule_is_read_off_the_line_and_never_worse_than_before() -> None:
    assert at_pull_outs(CURVE, 5) == pytest.approx(80.0)
    assert at_pull_outs(CURVE, 20) == pytest.approx(60.0)
    assert at_past_days(CURVE, 60.0) == pytest.approx(10.0)
    assert np.isnan(at_past_days(CURVE, 1.0))


def test_the_table_has_a_row_a_kind_and_rule_with_its_interval() -> None:
    rows = [{"policy": "ours", "threshold": np.nan, "pull_outs": 10, "past_days": 5.0}]
    rows += [
        {"policy": rule, "threshold": t, "pull_outs": n, "past_days": p}
        for rule, t in (("calendar", 90.0), ("hours", 100.0), ("reading", 0.5))
        for n, p in ((0, 100.0), (20, 20.0))
    ]
    table = pd.concat(
        [pd.DataFrame(rows).assign(kind="k", fleet=fleet) for fleet in ("k-1", "k-2")]
    )
    pairs = paired(table)
    assert pairs["equal_past"].unique().tolist() == [60.0]
    summed = summary(pairs, draws=50)
    assert summed["more days past"].tolist() == ["55 (55 to 55)"] * 3
    assert summed["ours fewer"].tolist() == ["2 of 2"] * 3


@pytest.mark.slow
def test_the_plan_leaves_fewer_days_past_than_each_rule_at_as_many_pull_outs() -> None:
    seasons = [season("standard", seed, Study(hulls=10, weeks=9)) for seed in (1, 2)]
    table = pd.concat(seasons, ignore_index=True)
    assert table.loc[table["policy"] == "ours", "refused"].sum() == 0
    pairs = paired(table)
    for rule, rows in pairs.groupby("rule"):
        assert rows["ours_past"].sum() <= rows["equal_past"].sum(), rule
