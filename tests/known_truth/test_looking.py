"""The study of looking: its rules look as often as they say, and its sums are those of its rows."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from tests.known_truth.season.look_summary import by_kind, told
from tests.known_truth.season.looking import Seen, every, look_cost
from tests.known_truth.season.truth import places
from tests.known_truth.season.worlds import Prices, World, draw_world
from tests.known_truth.season.yard import open_yard


@pytest.fixture(scope="module")
def world() -> World:
    return draw_world("hot_in_season", 1, hulls=8, weeks=12)


def test_a_rule_looks_at_each_hull_every_so_many_days(world: World) -> None:
    first = int(world.first_h / 24)
    seen: dict[str, list[int]] = {}
    for week in range(world.weeks):
        for day, hull, _ in every(14)(None, None, world, first + 7 * week, Seen()):
            seen.setdefault(hull, []).append(day)
    assert set(seen) == {hull.hull_id for hull in world.fleet.hulls}
    assert all(set(np.diff(days)) == {14} for days in seen.values())


def test_the_hot_berth_begins_in_the_season_and_acts_on_anodes_fitted_since(world: World) -> None:
    hot = [each for each in world.fleet.strays if each.kind == "hot-berth"]
    assert hot
    assert world.first_h < hot[0].from_h < world.last_h
    stray = hot[0]
    place = next(
        each
        for each in places(world)
        if each.hull.hull_id == stray.hull_id and stray.acts_on(each.hull, each.position)
    )
    anode = place.fit(1, world.first_h)
    calm, after = (
        anode.worn_at(stray.from_h + h) - anode.worn_at(stray.from_h + h - 240.0) for h in (0, 240)
    )
    assert after > 1.5 * calm


def test_covers_are_paid_for_once_and_each_anode_by_its_minutes(world: World) -> None:
    yard = open_yard(world)
    hull = yard.places[0].hull.hull_id
    first = yard.places[yard.by_hull[hull][0]].position
    one, opened = look_cost(yard, hull, (first.position,), Prices())
    assert opened == 1
    assert one == pytest.approx(45.0 * (0.5 + 5 / 60) + 4.0 * (first.circuit == 0))
    whole, groups = look_cost(yard, hull, None, Prices())
    assert groups == 2
    assert whole > 2 * 45.0 * 0.5


def test_seasons_are_put_beside_each_other_and_summed() -> None:
    usual = {"near": 10, "covered": 9, "hot": 1.0, "told_berth": 28.0, "unbonded": 0}
    usual |= {"still_told": 0, "still_by_third": 0, "still_shown": 0}
    rows = [
        usual | {"kind": "k", "seed": seed, "policy": policy, "looks": n, "past_days": past,
                 "cost": cost}
        for seed in (1, 2)
        for policy, n, past, cost in (("schedule", 40, 2.0, 60.0), ("21", 100, 5.0, 100.0))
    ]  # fmt: skip
    table = by_kind(pd.DataFrame(rows), draws=20)
    assert table["fewer looks"].tolist() == ["60 % (60 to 60)"] * 2
    assert table["fewer days past"].tolist() == ["3 (3 to 3)"] * 2
    assert table["cheaper"].tolist() == ["40 % (40 to 40)"] * 2
    assert table["seasons"].tolist() == [2, 2]
    schedule = told(pd.DataFrame(rows)).set_index("policy").loc["schedule"]
    assert schedule["due before"].startswith("0.900")
    assert schedule["hot berths told within 35 days"] == "2 of 2"
