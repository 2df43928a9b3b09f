"""Figures of flushing and habits: every row is drawn, named, and keeps its interval."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from corrosion.reports import charts

SHARES = pd.DataFrame(
    {
        "label": ["All hulls", "At the estuary"],
        "share": [0.25, 0.2],
        "low": [0.16, 0.0],
        "high": [0.34, 0.3],
        "raw": [0.38, np.nan],
    }
)


def texts(figure):
    return [note.text for note in figure.layout.annotations]


@pytest.mark.parametrize("dark", [False, True])
def test_each_share_is_named_and_drawn_with_its_interval(dark):
    figure = charts.shares_saved(SHARES, dark=dark)
    assert texts(figure) == ["adjusted", *SHARES["label"]]
    dots = figure.data[0]
    np.testing.assert_allclose(dots.x - dots.error_x.arrayminus, SHARES["low"])
    np.testing.assert_allclose(dots.x + dots.error_x.array, SHARES["high"])


def test_nothing_saved_is_the_left_edge_and_crosses_no_name() -> None:
    figure = charts.shares_saved(SHARES)
    assert figure.layout.xaxis.range[0] == 0.0
    assert figure.layout.xaxis.range[1] > np.nanmax(SHARES[["high", "raw"]])
    worse = SHARES.assign(low=[-0.2, 0.0])
    assert charts.shares_saved(worse).layout.xaxis.range[0] < -0.2


def test_the_raw_comparison_is_another_shape_and_says_its_name():
    raw = charts.shares_saved(SHARES).data[1]
    assert raw.marker.symbol == "diamond-open"
    assert [text.strip() for text in raw.text] == ["raw", ""]


def test_states_begin_at_nothing_and_keep_their_order():
    table = SHARES.drop(columns="raw")
    figure = charts.wear_by_state(table)
    assert figure.layout.xaxis.rangemode == "tozero"
    assert list(figure.data[0].x) == list(table["share"])


def test_the_band_of_delays_goes_there_and_back():
    table = pd.DataFrame(
        {"within_h": [1.0, 4.0], "share_saved": [0.3, 0.2], "low": [0.2, 0.1], "high": [0.4, 0.3]}
    )
    band, line = charts.by_delay(table).data
    assert list(band.x) == [1.0, 4.0, 4.0, 1.0]
    assert list(band.y) == [0.4, 0.3, 0.1, 0.2]
    assert list(line.y) == [0.3, 0.2]


def test_each_policy_has_its_letter():
    table = pd.DataFrame(
        {
            "letter": ["A", "B", "C"],
            "policy": ["one", "two", "three"],
            "hours": [10.0, 20.0, 30.0],
            "anodes": [1.0, 2.0, 3.0],
            "anodes_low": [0.5, 1.0, 2.0],
            "anodes_high": [1.5, 3.0, 4.0],
        }
    )
    drawn = charts.cost_of_policies(table).data[0]
    assert [text.strip("<b>/") for text in drawn.text] == ["A", "B", "C"]
    assert len(drawn.textposition) == 3
