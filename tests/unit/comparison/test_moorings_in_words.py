"""What the page on moorings says of lives, and draws of water: tables checked by hand."""

import numpy as np
import pandas as pd
import pytest

from corrosion.comparison.moorings import Share
from corrosion.comparison.moorings.saying import lasts, long_first, share
from corrosion.reports import charts


@pytest.mark.parametrize(
    ("value", "words"),
    [(0.34, "a third"), (0.5, "half"), (0.11, "a tenth"), (0.7, "two thirds"), (0.97, "all"),
     (0.05, "1 / 20")],
)  # fmt: skip
def test_shares_are_said_as_easy_fractions(value: float, words: str) -> None:
    assert share(value) == words


def test_lives_are_compared_in_a_sentence_with_the_range() -> None:
    assert lasts(Share(0.34, 0.26, 0.41), "Estuary", "Lake") == (
        "an anode at Estuary lasts about a third as long as at Lake (a quarter to two fifths)"
    )
    assert lasts(Share(0.04, 0.03, 0.05), "Estuary", "Lake") == (
        "an anode at Lake lasts about 25 times as long as at Estuary (20 to 33 times)"
    )
    assert long_first(Share(0.04, 0.03, 0.05))


def test_moorings_that_cannot_be_told_apart_are_not_told_apart() -> None:
    sentence = lasts(Share(0.8, 0.5, 1.2), "Estuary", "Lake")
    assert sentence.startswith("the logs cannot tell Estuary from Lake")


def test_the_water_picture_tells_measured_from_worked_out() -> None:
    record = pd.DataFrame(
        {
            "label": "A",
            "at": pd.to_datetime(["2031-05-01", "2031-05-02"]),
            "salinity": [20.0, 21.0],
            "how": ["measured", "from conductivity"],
            "temperature_c": [12.0, np.nan],
        }
    )
    figure = charts.water_over_time(record)
    assert {trace.name: len(trace.x) for trace in figure.data} == {
        "measured": 1, "from conductivity": 1, "temperature": 1,
    }  # fmt: skip
