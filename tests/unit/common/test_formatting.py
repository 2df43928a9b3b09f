"""What is said on screens and sheets: odds, ranges, dates, names."""

from datetime import date
from zoneinfo import ZoneInfo

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from corrosion.common import formatting

NEW_YORK = ZoneInfo("America/New_York")


@pytest.mark.parametrize(
    ("share", "expected"),
    [
        (0.125, "1 in 8"),
        (0.104, "1 in 10"),
        (0.031, "1 in 30"),
        (0.012, "1 in 80"),
        (1 / 3, "1 in 3"),
        (0.41, "2 in 5"),
        (0.5, "1 in 2"),
        (0.74, "3 in 4"),
        (0.91, "9 in 10"),
        (0.96, "19 in 20"),
        (0.0, "under 1 in 100"),
        (1.0, "over 99 in 100"),
        (None, "not known"),
        (float("nan"), "not known"),
    ],
)
def test_a_chance_is_said_as_odds(share, expected):
    assert formatting.chance(share) == expected


def _as_share(odds: str) -> float:
    part, whole = odds.replace("under ", "").replace("over ", "").split(" in ")
    return int(part) / int(whole)


@given(st.floats(0.01, 0.99))
def test_odds_stay_within_a_fifth_of_the_chance_or_of_its_opposite(share):
    shown = _as_share(formatting.chance(share))
    assert abs(shown - share) <= 0.2 * share + 1e-9
    assert abs(shown - share) <= 0.08


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_larger_chance_is_never_said_as_smaller_odds(one, other):
    low, high = sorted([one, other])
    assert _as_share(formatting.chance(low)) <= _as_share(formatting.chance(high)) + 1e-12


@given(st.floats(0, 1))
def test_no_chance_is_said_as_nothing_or_as_certain(share):
    assert 0 < _as_share(formatting.chance(share)) < 1


@pytest.mark.parametrize(
    ("share", "expected"),
    [(0.84, "84 %"), (0.9999, "99 %"), (1.0, "past its limit"), (-0.1, "as new"), (0.012, "1 %")],
)
def test_worn_never_reaches_the_limit_by_rounding(share, expected):
    assert formatting.worn(share) == expected


def test_high_is_above_what_the_fleet_tolerates_and_has_a_shape():
    assert formatting.level(0.11, 0.10) == "▲ High"
    assert formatting.level(0.10, 0.10) == "● Watch"
    assert formatting.level(0.01, 0.10) == "▽ Low"
    assert formatting.level(None, 0.10) == "? Not known"


@pytest.mark.parametrize(
    ("value", "expected"),
    [(20.4, "20"), (1.26, "1.3"), (0.0412, "0.041"), (1284, "1\u202f300"), (0, "0"), (9.96, "10")],
)
def test_numbers_carry_two_significant_digits(value, expected):
    assert formatting.number(value) == expected


@pytest.mark.parametrize(
    ("ends", "expected"),
    [
        ((12.2, 20.4, 31.0), "12 to 31 h, most likely 20"),
        ((12.2, 20.4, None), "12 h or more"),
        ((12.2, None, 31.0), "12 to 31 h"),
        ((12.2, 12.3, 12.4), "about 12 h"),
        ((None, 3.0, 4.0), "not known"),
    ],
)
def test_a_range_is_said_with_its_middle(ends, expected):
    assert formatting.span(*ends, "h") == expected


@pytest.mark.parametrize(
    ("ends", "expected"),
    [
        ((12.9, 20.4, 31.0), "12 to 31 days, most likely 20"),
        ((0.0, 3.2, 9.0), "up to 9 days, most likely 3"),
        ((0.0, 0.0, 4.0), "probably at its limit now"),
        ((0.0, 0.0, 0.0), "at or past its limit now"),
        ((60.0, float("inf"), float("inf")), "60 days or more"),
        ((600.0, 900.0, 1500.0), "600 days or more"),
        ((1100.0, 1500.0, 2300.0), "more than two years"),
        ((0.0, 40.0, float("nan")), "from today on; when is not known"),
    ],
)
def test_days_left_are_rounded_down_and_never_zero(ends, expected):
    assert formatting.days_left(*ends) == expected


def test_sizes_are_said_in_the_unit_of_the_caliper():
    assert formatting.size(7.2) == "7.2 mm"
    assert formatting.size(7.25) == "7.25 mm"
    # 1 inch is 25.4 mm exactly: NIST SP 811 (2008), Appendix B.8
    assert formatting.size(25.4, "in") == "1.000 in"
    assert formatting.size(None) == "not measured"


def test_a_moment_is_said_in_the_time_zone_of_the_fleet():
    late = pd.Timestamp("2031-06-15T01:30", tz="UTC")
    assert formatting.day(late, NEW_YORK) == "Sat 14 Jun 2031"
    assert formatting.moment(late, NEW_YORK) == "Sat 14 Jun 2031, 21:30"


def test_a_plain_date_is_not_moved_by_a_time_zone():
    assert formatting.day(date(2031, 6, 15), NEW_YORK, year=False) == "Sun 15 Jun"
    assert formatting.day(pd.NaT, NEW_YORK) == "not known"
    assert formatting.moment(None, NEW_YORK) == "not known"


@pytest.mark.parametrize(
    ("last", "expected"),
    [
        (date(2031, 6, 14), "today"),
        (date(2031, 6, 10), "today"),
        (date(2031, 6, 19), "Thu 19 Jun"),
        (date(2032, 1, 2), "Fri 2 Jan 2032"),
        (date(2034, 7, 11), "not within a year"),
        (None, "not known"),
    ],
)
def test_a_deadline_is_no_finer_than_it_can_be_known(last, expected):
    late_on_the_14th = pd.Timestamp("2031-06-15T01:30", tz="UTC")
    assert formatting.deadline(last, late_on_the_14th, NEW_YORK) == expected


def test_counts_and_lists_read_as_a_sentence():
    assert formatting.count(1, "hull") == "1 hull"
    assert formatting.count(3, "entry", "entries") == "3 entries"
    assert formatting.listed(["H01"]) == "H01"
    assert formatting.listed(["H01", "H02", "H03"]) == "H01, H02 and H03"
    assert formatting.listed([f"H0{n}" for n in range(1, 9)], most=2) == "H01, H02 and 6 more"
    assert formatting.listed([]) == ""


def test_a_name_with_markdown_in_it_shows_as_written():
    assert formatting.plain("![x](http://y)") == r"\!\[x\]\(http\://y\)"
    assert formatting.plain("H07\n# big") == r"H07 \# big"


@pytest.mark.parametrize(
    ("part", "expected"),
    [
        (0.254, "25 %"),
        (0.0, "nothing"),
        (0.004, "under 1 %"),
        (0.997, "over 99 %"),
        (-0.12, "-12 %"),
        (None, "not known"),
    ],
)
def test_a_share_is_said_in_whole_per_cent_and_never_as_nought_or_all(
    part: float | None, expected: str
) -> None:
    assert formatting.share(part) == expected


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (0.16, 0.34, "16 to 34 %"),
        (0.0, 0.08, "nothing to 8 %"),
        (0.2, 0.2, "20 %"),
        (None, 0.3, "not known"),
    ],
)
def test_a_range_of_shares_says_its_unit_once(
    low: float | None, high: float | None, expected: str
) -> None:
    assert formatting.share_span(low, high) == expected


def test_a_label_keeps_its_words_and_loses_its_markup():
    assert formatting.label("As typed: 7.2 mm (clean)") == "As typed: 7.2 mm (clean)"
    assert formatting.label("![x](http://y)") == r"!\[x\](http\://y)"
    assert formatting.label(":smile: www.y") == r"\:smile: www\.y"


def test_a_middle_outside_its_range_is_never_called_the_likeliest() -> None:
    assert formatting.span(39, 76, 64, "h") == "39 to 64 h"
    assert formatting.span(39, 50, 64, "h") == "39 to 64 h, most likely 50"


@pytest.mark.parametrize(
    ("low", "likely", "high", "expected"),
    [
        (14_230, 19_100, 27_400, "EUR 14\u202f000 to 27\u202f000, most likely 19\u202f000"),
        (96, 98, 104, "EUR 96 to 100, most likely 98"),
        (98.2, 98.3, 98.4, "about EUR 98"),
        (12, 14, None, "EUR 12 or more"),
        (None, 14, 20, "not known"),
    ],
)
def test_a_currency_stands_before_its_range(low, likely, high, expected):
    assert formatting.span(low, likely, high, "", "EUR") == expected
