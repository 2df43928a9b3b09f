"""Facts that constants stand for: each moves a decision, and a slip in it would pass unseen.

Where a value is common practice or a choice of this program, that is said; nothing here is a
published rate.
"""

import numpy as np
import pandas as pd
import pytest
from scipy.stats import chi2

from corrosion.exposure import flush_matching, life_starts, outings
from corrosion.exposure.water import FREEZING_C, temperature_ahead
from corrosion.forecast import usage_regression
from corrosion.forecast.season import SEASON_DAYS, SEASON_SPREAD, season_spread
from corrosion.life_model import design, fitting, peer_comparison, priors, robust_weights
from corrosion.life_model.habits import SHOWN
from corrosion.workshop.plan import hire

ON = pd.Timestamp("2031-07-01", tz="UTC")
ON_H = ON.timestamp() / 3600.0


def warmth_ahead(days: float) -> float:
    """What is left, so many days on, of a departure of the last three weeks; its share."""
    at = pd.date_range(ON - pd.Timedelta(days=728), ON, freq="7D")
    usual = 15.0 - 6.0 * np.cos(2 * np.pi * np.asarray(at.day_of_year) / 365.25)
    lately = np.asarray(at > ON - pd.Timedelta(days=21))
    ids = pd.Index(["E"])
    calm, warm = (
        temperature_ahead(
            pd.DataFrame({"mooring_id": "E", "sampled_at": at, "temperature_c": usual + by}),
            ids,
            ON_H,
            np.array([0.0, 24.0 * days]),
        )
        for by in (0.0, 3.0 * lately)
    )
    gap = (warm - calm)[0]
    return float(gap[1] / gap[0])


def test_a_departure_from_the_seasons_warmth_fades_to_a_third_in_a_month() -> None:
    # a choice of this program: what a warm month tells of the next
    assert warmth_ahead(30.0) == pytest.approx(np.exp(-1.0), abs=0.06)
    assert warmth_ahead(7.0) > 0.7


def test_passages_that_stay_flooded_are_let_in_once_in_four_thousand_where_there_are_none() -> None:
    # Self & Liang 1987, half of chi-square with one degree; the level is a choice
    by_chance = 0.5 * chi2.sf(2.0 * fitting.FLOODED_GAIN, 1)
    assert 1 / 5000 < by_chance < 1 / 3000


def test_a_mooring_is_expected_to_be_like_its_water() -> None:
    spreads = priors.priors(
        pd.DataFrame({"layout": [], "position": []}),
        pd.DataFrame({"circuit": [], "state": [], "water": []}),
        ["E"],
        pd.DataFrame({"fitted": [], "listed": [], "water": []}),
    )
    mooring = next(spread for spread in spreads if spread.name == "mooring E")
    assert mooring.mean == 0.0
    # two in three moorings of one water lie within a quarter of each other (common practice)
    assert np.exp(mooring.sd) == pytest.approx(1.28, abs=0.02)


def test_habit_is_four_weeks_so_that_every_weekday_counts_alike() -> None:
    assert usage_regression.HABIT_DAYS % 7 == 0
    assert usage_regression.HABIT_DAYS == 28


def test_wear_that_comes_and_goes_is_taken_for_a_third_more_uneven_than_the_looks_show() -> None:
    # the looks that are left are those of anodes that were not pulled early
    assert pytest.approx(1.3) == peer_comparison.UNEVEN


def test_a_season_strays_by_a_quarter_and_not_at_once() -> None:
    spread = season_spread(np.array([0.0, 7.0, SEASON_DAYS, 3650.0]))
    assert spread[-1] == pytest.approx(SEASON_SPREAD, rel=0.05)
    assert spread[1] < 0.02
    assert pytest.approx(0.25) == SEASON_SPREAD
    assert (np.diff(spread) > 0).all()


def test_water_is_never_colder_than_it_freezes() -> None:
    # sea water of 35 g/kg freezes at -1.9 C (PSS-78 papers, from memory)
    assert pytest.approx(-1.9, abs=0.2) == FREEZING_C


def test_an_engine_is_taken_to_run_most_of_an_outing_where_nobody_wrote_how_long() -> None:
    # 0.80 to 0.92 of the outing, common practice, no source
    assert 0.80 <= outings.USUAL_ENGINE_SHARE <= 0.92


def test_a_flush_belongs_to_a_return_from_half_an_hour_before_it_was_written_down() -> None:
    assert flush_matching.FLUSH_SLACK_H == 0.5


def test_a_stop_within_a_working_day_is_short_and_a_fortnight_without_a_flush_row_is_no_log() -> (
    None
):
    assert flush_matching.SHORT_STOP_H == 8.0
    assert flush_matching.LOG_KEPT_WITHIN_H == 14 * 24.0
    assert flush_matching.BULK_HULLS == 5


def test_old_anode_out_and_new_one_in_within_a_quarter_of_a_day_are_one_visit() -> None:
    assert life_starts.SAME_VISIT_H == 6.0


def test_a_verdict_is_good_to_a_tenth_of_the_allowance_and_a_range_by_eye_to_its_edges() -> None:
    # "by-eye half gone is good to 15 points", common practice, no source; a verdict has one edge
    assert pytest.approx(0.10) == design.VERDICT_ERROR
    assert pytest.approx(0.05) == design.RANGE_EDGE


def test_no_look_pulls_the_fit_by_more_than_three_standard_deviations() -> None:
    assert robust_weights.OUTLIER == 3.0


def test_a_states_wear_is_told_from_none_once_in_a_hundred_where_there_is_none() -> None:
    # Self & Liang 1987, case 5: half of chi-square with one degree
    assert 0.5 * chi2.sf(SHOWN, 1) == pytest.approx(0.01, rel=0.01)


def test_forty_hulls_hear_at_most_one_false_call_a_month() -> None:
    a_month = peer_comparison.FALSE_A_MONTH + peer_comparison.FALSE_STILL_A_MONTH
    assert a_month <= 1.0


def test_lost_hire_is_learned_on_whole_weeks() -> None:
    assert hire.HIRE_LEARNED_DAYS % 7 == 0
