"""The mark of what is left says what its words say, past the limit too, and in any ink."""

import math
import re
from types import SimpleNamespace

import pytest

from corrosion.reports.metal_left import MetalLeft, draw, in_words, metal_left


def anode(worn: float, low: float, high: float, last: float = math.nan) -> MetalLeft:
    row = SimpleNamespace(worn=worn, worn_low=low, worn_high=high, last_worn=last)
    return metal_left(row)


@pytest.mark.parametrize(
    ("metal", "words"),
    [
        (anode(0.69, 0.62, 0.76), "31 % left (24 to 38 %)"),
        (anode(0.993, 0.93, 1.04), "1 % left (none to 7 %)"),
        (anode(1.31, 1.25, 1.38), "none left, past its limit"),
        (anode(1.02, 0.96, 1.08), "none left (none to 4 %)"),
        (anode(0.0, -0.01, 0.004), "as new"),
        (anode(math.nan, math.nan, math.nan), "not known"),
    ],
)
def test_words_say_what_is_left_and_its_range(metal: MetalLeft, words: str) -> None:
    assert in_words(metal) == words


def widths(svg: str) -> list[float]:
    return [float(width) for width in re.findall(r'<rect [^>]*width="([\d.]+)"', svg)]


def test_more_metal_is_a_longer_bar() -> None:
    worn_down = [widths(draw(anode(w, w - 0.05, w + 0.05)))[1] for w in (0.1, 0.5, 0.9, 1.2)]
    assert worn_down == sorted(worn_down, reverse=True)
    assert len(set(worn_down)) == 4


def test_what_is_past_the_limit_is_crossed_out_and_what_is_not_is_not() -> None:
    assert "eaten" in draw(anode(1.2, 1.1, 1.3))
    assert "eaten" not in draw(anode(0.99, 0.9, 1.1))


def test_a_wider_range_has_more_stripes_and_none_seen_has_neither() -> None:
    def stripes(svg: str) -> int:
        return svg.count("V17")

    assert stripes(draw(anode(0.5, 0.3, 0.7))) > stripes(draw(anode(0.5, 0.45, 0.55))) > 0
    unseen = draw(anode(math.nan, math.nan, math.nan))
    assert stripes(unseen) == 0
    assert "dasharray" in unseen


def test_the_last_look_is_marked_only_where_it_saw_a_size() -> None:
    assert "l3.5 6h-7z" in draw(anode(0.5, 0.4, 0.6, last=0.45))
    assert "l3.5 6h-7z" not in draw(anode(0.5, 0.4, 0.6))


def test_it_takes_the_ink_of_its_text_but_for_the_cross_so_that_grey_paper_shows_it() -> None:
    colours = set(re.findall(r'(?:fill|stroke)="([^"]+)"', draw(anode(1.2, 1.1, 1.3, 1.1))))
    assert colours == {"none", "currentColor", "#c9500a"}
