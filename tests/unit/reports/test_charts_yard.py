"""The yard's pictures say the numbers of their tables."""

import numpy as np
import pandas as pd
import pytest

from corrosion.reports import charts

PARTS = pd.DataFrame(
    {
        "part_number": ["P-1", "P-2"],
        "need_13_low": [2, 0],
        "need_13": [4, 1],
        "need_13_high": [7, 3],
        "on_hand": [3.0, np.nan],
    }
)
COSTS = pd.DataFrame(
    {
        "mooring": ["Estuary", "Lake"],
        "hull_seasons": [10.0, 5.0],
        "parts": [200.0, 50.0],
        "labour": [900.0, np.nan],
        "looking": [100.0, 10.0],
        "lost_hire": [0.0, 0.0],
    }
)


@pytest.mark.parametrize("dark", [False, True])
def test_ranges_of_parts_start_and_end_where_the_table_says(dark: bool) -> None:
    ranges, on_hand = charts.parts_needed(PARTS, 13, dark=dark).data
    assert (np.asarray(ranges.x) - ranges.error_x.arrayminus).tolist() == [2, 0]
    assert (np.asarray(ranges.x) + ranges.error_x.array).tolist() == [7, 3]
    assert np.isnan(on_hand.x[1])


def test_bars_of_costs_are_a_hull_and_season_each_and_nought_has_none() -> None:
    figure = charts.costs_by_mooring(COSTS, "EUR")
    assert [bar.name for bar in figure.data] == ["parts", "changing", "looking"]
    assert list(figure.data[0].x) == [20.0, 10.0]
    assert len({bar.marker.pattern.shape for bar in figure.data}) == 3


def test_a_kind_of_cost_keeps_its_mark_whatever_else_cost_anything() -> None:
    whole = charts.costs_by_mooring(COSTS, "EUR").data[2].marker
    alone = charts.costs_by_mooring(COSTS.assign(parts=0.0), "EUR").data[1].marker
    assert (alone.color, alone.pattern.shape) == (whole.color, whole.pattern.shape)


def test_rules_are_drawn_in_the_order_of_the_table() -> None:
    table = pd.DataFrame(
        {
            "rule": ["a", "b"],
            "cost_low": [1.0, 2.0],
            "cost_likely": [2.0, 4.0],
            "cost_high": [3.0, 9.0],
        }
    )
    (ranges,) = charts.costs_by_rule(table, "EUR").data
    assert list(ranges.y) == ["a", "b"]
    assert list(ranges.x) == [2.0, 4.0]
