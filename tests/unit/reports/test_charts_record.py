"""Said against happened, as marks and words on the picture."""

import numpy as np
import pandas as pd
import pytest

from corrosion.reports import charts

BANDS = pd.DataFrame(
    {
        "said": [0.001, 0.035, 0.085, 0.21, 0.38],
        "found": [0.0, 0.06, 0.0, 0.15, 0.2],
        "low": [0.0, 0.0, 0.0, 0.01, 0.01],
        "high": [0.003, 0.35, 0.19, 0.56, 0.63],
        "looks": [1404, 12, 18, 8, 7],
        "worn": [0, 1, 0, 2, 2],
    }
)
PHONE_PX, LETTER_PX = 300, 7
"""Width of the plot on a phone, and of a figure of 13 px with its share of the spaces."""


@pytest.mark.parametrize("dark", [False, True])
def test_counts_stand_under_their_bands_and_no_two_lie_on_each_other(dark: bool) -> None:
    figure = charts.said_and_found(BANDS, dark=dark)
    counts = next(trace for trace in figure.data if trace.mode == "text")
    assert list(counts.text) == ["0 of 1404", "1 of 12", "0 of 18", "2 of 8", "2 of 7"]
    assert list(counts.x) == BANDS["said"].tolist()
    assert max(counts.y) < BANDS["low"].min(), "no interval runs through them"
    low, high = figure.layout.xaxis.range
    centre = PHONE_PX * (np.array(counts.x) - low) / (high - low)
    half = LETTER_PX * np.array([len(text) for text in counts.text]) / 2
    for line in set(counts.y):
        at = np.flatnonzero(np.array(counts.y) == line)
        assert all((centre - half)[at[1:]] > (centre + half)[at[:-1]])


def test_the_words_of_the_line_stand_where_no_interval_runs() -> None:
    figure = charts.said_and_found(pd.concat([BANDS, BANDS.tail(1).assign(said=0.97)]))
    (note,) = figure.layout.annotations
    low, high = figure.layout.xaxis.range
    start = note.x - LETTER_PX * len(note.text) / PHONE_PX * (high - low)
    assert (note.text, note.xanchor) == ("as said", "right")
    assert not BANDS["said"].between(start, note.x).any()
    assert note.x < 0.97


def test_the_anode_that_does_not_protect_has_a_mark_of_its_own_beside_the_named_limit() -> None:
    last = pd.DataFrame(
        {
            "hull_id": ["H1", "H2"],
            "position": ["plate", "plate"],
            "potential_mv": [-985.0, -645.0],
        }
    )
    alloys = pd.DataFrame({"alloy": ["zinc"], "potential_v": [-1.03]})
    figure = charts.potentials(last, alloys, -800.0)
    sound, bare = figure.data
    assert (list(sound.y), list(bare.y)) == (["H1"], ["H2"])
    assert sound.marker.symbol != bare.marker.symbol
    words = {note.text.strip(): note for note in figure.layout.annotations}
    assert (words["◂ protected"].xanchor, words["not ▸"].xanchor) == ("right", "left")
    assert words["not ▸"].x == -800.0
