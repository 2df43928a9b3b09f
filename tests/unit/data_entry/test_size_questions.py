"""Sizes that somebody types: what is asked about before they are written."""

import pandas as pd
import pytest

from corrosion.data_entry import (
    Desk,
    next_question,
)
from tests.unit.data_entry.desk_cases import after, asked, reading

NOW = pd.Timestamp("2031-06-01 12:00", tz="UTC")


def test_a_size_that_fits_raises_no_question(desk: Desk) -> None:
    made = reading(desk, "6,95")
    assert next_question(made, desk) is None
    assert made.main.cells["size_mm"] == 6.95
    assert made.main.cells["as_typed"] == "Size 6,95 mm"


def test_an_inch_typed_for_millimetres_is_asked_about_and_not_converted(desk: Desk) -> None:
    question = asked(reading(desk, "0.274"), desk)
    assert question.name == "inch-for-mm"
    # 1 inch is 25.4 mm exactly: NIST SP 811 (2008), Appendix B.8
    inches = after(question, "Inches").main.cells
    assert inches["size_mm"] == pytest.approx(0.274 * 25.4, abs=1e-4)
    assert inches["as_typed"] == "Size 0.274 mm"
    assert after(question, "As typed").main.cells["size_mm"] == 0.274


def test_the_answer_is_kept_in_the_row(desk: Desk) -> None:
    made = after(asked(reading(desk, "0.274"), desk), "Inches")
    assert str(made.main.cells["answered"]).startswith("inch-for-mm: Inches")
    assert next_question(made, desk) is None


def test_millimetres_typed_where_the_caliper_is_set_to_inches_are_asked_about(desk: Desk) -> None:
    question = asked(reading(desk, "6.95", unit="in"), desk)
    assert question.name == "converted-twice"
    assert after(question, "Millimetres").main.cells["size_mm"] == pytest.approx(6.95, abs=1e-3)


@pytest.mark.parametrize("text", ["695", "69.5", "0.695"])
def test_a_lost_decimal_point_is_asked_about(desk: Desk, text: str) -> None:
    question = asked(reading(desk, text), desk)
    assert question.name == "decimal-point-lost"
    assert after(question, "The point moved").main.cells["size_mm"] == pytest.approx(6.95)


def test_half_of_the_diameter_is_asked_about_as_the_radius(desk: Desk) -> None:
    question = asked(reading(desk, "3.5"), desk)
    assert question.name == "radius-for-diameter"
    assert after(question, "The radius").main.cells["size_mm"] == 7.0


def test_what_is_gone_is_asked_about_as_depth(desk: Desk) -> None:
    question = asked(reading(desk, "2.0"), desk)
    assert question.name == "depth-for-remaining"
    assert after(question, "The depth").main.cells["size_mm"] == 7.0


def test_a_size_that_fits_the_neighbour_is_asked_about(desk: Desk) -> None:
    expected = desk.expected_of("H1", "pencil")
    assert expected is not None
    question = asked(reading(desk, f"{expected[0]:.2f}", position="plate"), desk)
    assert question.name in {"other-position", "decimal-point-lost"}
    if question.name == "other-position":
        assert after(question, "It was pencil").main.cells["position"] == "pencil"


def test_a_new_anode_that_nobody_wrote_down_is_asked_about_and_written_with_it(desk: Desk) -> None:
    made = after(asked(reading(desk, "9.0"), desk), "Yes, now")
    assert [row.log for row in made.rows] == ["readings", "fittings"]
    assert made.rows[1].cells["fitted_at"] == NOW
