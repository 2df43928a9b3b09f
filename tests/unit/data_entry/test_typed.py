"""What people type: numbers, units, clocks, and cells shown in a form and read again."""

from zoneinfo import ZoneInfo

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from corrosion.data_entry import columns_of, number, row_of, shown, size
from corrosion.records.logs import LOGS
from corrosion.records.settings import Settings

LISBON = ZoneInfo("Europe/Lisbon")


@pytest.mark.parametrize("text", ["7,25", "7.25", " 7.25 ", "+7.25", "7.25 mm", "7,25mm"])
def test_decimal_comma_and_point_say_the_same(text: str) -> None:
    assert size(text, "Size", "mm").value == 7.25


@pytest.mark.parametrize("text", ["1.234,5", "1,2,3", "abc", "7.2.1", "7 25", "--7", "1e3", "nan"])
def test_what_is_no_number_is_refused_with_what_was_typed(text: str) -> None:
    read = number(text, "Minutes")
    assert read.value is None
    assert text in read.wrong


def test_blank_is_unknown_and_not_wrong() -> None:
    assert number("  ", "Minutes") == size("", "Size", "mm")
    assert number("", "Minutes").value is None
    assert not number("", "Minutes").wrong


def test_an_inch_is_converted_once_and_the_typed_text_is_kept() -> None:
    # 1 inch is 25.4 mm exactly: NIST SP 811 (2008), Appendix B.8
    read = size("0,285", "Size", "in")
    assert read.value == 7.239
    assert read.as_typed == "0,285 in"


@pytest.mark.parametrize("text", ["0.285 in", '0.285"', "0.285 inch", "0.285in"])
def test_a_unit_behind_the_number_wins_over_the_unit_of_the_form(text: str) -> None:
    assert size(text, "Size", "mm").value == 7.239


@pytest.mark.parametrize(("text", "inches"), [("9/32", 9 / 32), ("1 1/4", 1.25), ("1-1/4", 1.25)])
def test_a_fractional_inch_is_read(text: str, inches: float) -> None:
    assert size(text, "Size", "in").value == pytest.approx(inches * 25.4, abs=1e-4)


def test_a_fraction_is_no_number_of_millimetres() -> None:
    assert "9/32" in size("9/32", "Size", "mm").wrong


def test_a_size_below_zero_is_refused() -> None:
    assert "below zero" in size("-3", "Size", "mm").wrong


def test_limits_of_a_field_are_said() -> None:
    assert "between 0 and 1440 min" in number("2000", "Minutes", "min", 0, 1440).wrong


@pytest.mark.slow
@given(st.text(max_size=20))
def test_no_text_breaks_the_reading_of_a_size(text: str) -> None:
    read = size(text, "Size", "mm")
    assert read.value is None or read.value >= 0


CELLS = {
    "id": "H 1",
    "text": "Ferry *Steps*",
    "word": "salt",
    "number": 7.239,
    "moment": pd.Timestamp("2031-06-01 08:05", tz="UTC"),
    "date": pd.Timestamp("2031-05-31 23:00", tz="UTC"),
    "flag": False,
}


@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("log", sorted(LOGS))
def test_a_row_shown_in_a_form_and_read_again_is_the_same_row(log: str, unit: str) -> None:
    settings = Settings(timezone=LISBON, length_unit=unit)
    before = {
        column.name: column.words[0] if column.words else CELLS[column.kind]
        for column in columns_of(log)
    }
    texts = {c.name: shown(c, before[c.name], settings) for c in columns_of(log)}
    made = row_of(log, texts, settings, before)
    assert not made.wrong
    assert dict(made.main.cells) == before


def test_a_date_alone_is_midnight_by_the_fleets_clock() -> None:
    settings = Settings(timezone=LISBON)
    texts = {"hull_id": "H1", "mooring_id": "E", "stays": "afloat", "since": "2031-06-01"}
    made = row_of("berths", texts, settings)
    assert made.main.cells["since"] == pd.Timestamp("2031-05-31 23:00", tz="UTC")


def test_a_required_field_that_is_empty_is_asked_for() -> None:
    assert row_of("hulls", {"hull_id": "H1"}, Settings()).wrong == (
        "Which engine and anode arrangement: fill it in.",
    )


def test_a_register_in_inches_is_kept_in_millimetres_with_the_typed_text() -> None:
    settings = Settings(length_unit="in")
    texts = {"layout": "jet", "position": "pencil", "circuit": "engine", "alloy": "zinc"}
    made = row_of(
        "anode_positions", texts | {"new_size_mm": "0.354", "limit_size_mm": "1/4"}, settings
    )
    assert made.main.cells["limit_size_mm"] == 6.35
    assert made.main.cells["as_typed"] == "new_size_mm 0.354 in; limit_size_mm 1/4 in"


def test_engine_hours_may_be_unknown_and_a_limit_may_not() -> None:
    outing = {"hull_id": "H1", "started": "2031-06-01 09:00", "ended": "2031-06-01 11:00"}
    assert not row_of("outings", outing, Settings()).wrong
    cells = {"layout": "jet", "position": "a", "circuit": "engine", "alloy": "zinc"}
    assert len(row_of("anode_positions", cells, Settings()).wrong) == 2
