"""Wear that rose some weeks ago: found at its size, with a spread that is one, by any looks."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd
import pytest

from corrosion.life_model.peer_comparison.rises import rises
from corrosion.life_model.peer_comparison.spans import FleetLooks

ON_H, HULLS, ANODES, HULL_SD, ANODE_SD, ERROR_SD = 4800.0, 300, 3, 0.2, 0.15, 0.03
DAY = 0.006
"""Usual wear a day, as a share of the allowance."""


def drawn_fleet(
    seed: int, ratio: float, since_days: float, looked_ago: Sequence[float]
) -> FleetLooks:
    """Hulls and anodes with paces of their own, read with an error; wear rises so long ago."""
    draw = np.random.default_rng(seed)
    hull = np.repeat(np.arange(HULLS), ANODES)
    pace = draw.normal(1.0, HULL_SD, HULLS)[hull] * draw.normal(1.0, ANODE_SD, hull.size)
    ago = np.array([ON_H / 24, *looked_ago])
    rose = np.clip(since_days - ago, 0.0, None)
    usual = DAY * (ago[0] - ago)
    worn = pace[:, None] * (usual + (ratio - 1.0) * DAY * rose)
    read = worn + draw.normal(0.0, ERROR_SD, worn.shape) * (ago < ago[0])
    looks = pd.DataFrame(
        {
            "life": np.repeat(np.arange(hull.size), ago.size),
            "worn": read.ravel(),
            "clock": np.tile(usual, hull.size),
            "error": np.tile(np.where(ago < ago[0], ERROR_SD**2, 0.0), hull.size),
            "at_h": np.tile(ON_H - 24.0 * ago, hull.size),
        }
    )
    outside = np.tile([True, False, True], HULLS)
    berth = np.zeros(HULLS, np.intp)
    position = np.tile(np.arange(ANODES), HULLS)
    return FleetLooks(looks, hull, position, outside, berth, 1e-6, ANODE_SD)


def seen_since(fleet: FleetLooks, days: int, outside: bool = False) -> pd.DataFrame:
    table = rises(fleet, np.arange(fleet.hull.size), ON_H, HULL_SD)
    return table[(table["days"] == days) & (table["outside"] == outside)]


@pytest.mark.parametrize("ratio", [1.0, 2.6])
@pytest.mark.parametrize("looked_ago", [(120, 60, 40, 3), (120, 60, 40, 17, 10, 3), (90, 36, 1)])
@pytest.mark.parametrize("outside", [False, True])
def test_a_rise_is_found_at_its_size_with_a_spread_that_holds(
    ratio: float, looked_ago: Sequence[float], outside: bool
) -> None:
    seen = seen_since(drawn_fleet(7, ratio, 35, looked_ago), 35, outside)
    assert len(seen) == HULLS
    assert np.average(seen["rise"], weights=1 / seen["sd"] ** 2) == pytest.approx(ratio, abs=0.15)
    # the spread allows for wear that comes more unevenly than here; a pace that is not the usual
    # one carries over to what rose, so that a rise strays by it once more
    apart = ((seen["rise"] - ratio) / seen["sd"]).std()
    assert 0.6 < apart < 1.0 + HULL_SD * (ratio - 1.0)


def test_close_looks_say_more_than_the_last_of_them_alone() -> None:
    few = seen_since(drawn_fleet(3, 2.6, 21, (120, 60, 40, 1)), 21)
    close = seen_since(drawn_fleet(3, 2.6, 21, (120, 60, 40, 15, 8, 1)), 21)
    assert close["sd"].median() <= few["sd"].median() * 1.001


def test_a_rise_after_the_day_that_is_asked_for_is_seen_as_less_of_one() -> None:
    seen = seen_since(drawn_fleet(5, 2.6, 21, (120, 60, 40, 1)), 35)
    assert 1.5 < seen["rise"].mean() < 2.4


def test_hulls_without_a_look_since_the_day_say_nothing() -> None:
    fleet = drawn_fleet(5, 2.6, 35, (120, 60, 20))
    assert seen_since(fleet, 14).empty
    assert len(seen_since(fleet, 28)) == HULLS


def test_a_hull_without_any_anode_outside_says_nothing_of_its_berth() -> None:
    fleet = drawn_fleet(5, 2.6, 35, (120, 60, 2))
    inside = FleetLooks(fleet.looks, fleet.hull, fleet.position, fleet.outside & (fleet.hull > 9),
                        fleet.berth, fleet.process, fleet.anode_sd)  # fmt: skip
    assert set(seen_since(inside, 35, True)["hull"]) == {*range(10, HULLS)}
