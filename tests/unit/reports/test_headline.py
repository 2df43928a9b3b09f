"""How many hulls, by when, if nobody acts."""

import numpy as np
import pandas as pd
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from corrosion.reports.headline import headline, hulls_expected, weeks_ahead

BY = pd.Timestamp("2031-06-16", tz="UTC")


def test_the_expected_number_agrees_with_scipys_binomial_for_equal_hulls():
    # scipy.stats.binom, reference library
    assert hulls_expected(np.full(38, 0.2), (0.1, 0.5, 0.9)) == tuple(
        int(stats.binom(38, 0.2).ppf(share)) for share in (0.1, 0.5, 0.9)
    )


def test_the_expected_number_agrees_with_scipys_poisson_binomial_for_unequal_hulls():
    # scipy.stats.poisson_binom, reference library
    risk = np.linspace(0.01, 0.97, 40)
    expected = [int(stats.poisson_binom.ppf(share, risk)) for share in (0.1, 0.5, 0.9)]
    assert list(hulls_expected(risk, (0.1, 0.5, 0.9))) == expected


@given(st.lists(st.floats(1e-6, 1 - 1e-6), max_size=60))
def test_the_range_is_in_order_and_no_larger_than_the_fleet(risk):
    low, likely, high = hulls_expected(np.array(risk), (0.1, 0.5, 0.9))
    assert 0 <= low <= likely <= high <= len(risk)


def test_hulls_over_the_tolerated_risk_and_past_their_limit_are_counted():
    hulls = pd.DataFrame({"hull_id": ["A", "B", "C"], "risk": [0.99, 0.10, 0.02]})
    anodes = pd.DataFrame(
        {
            "hull_id": ["A", "A", "B"],
            "flag": ["past-limit", "past-limit", ""],
            "worn": [1.02, 1.3, 0.5],
        }
    )
    not_judged = pd.DataFrame({"hull_id": ["D"], "reason": ["no reading"]})
    counts = headline(hulls, anodes, not_judged, BY, 0.10)
    assert (counts.judged, counts.not_judged, counts.over) == (3, 1, 1)
    assert counts.past["worn"].tolist() == [1.3, 1.02]
    assert counts.by == BY


def test_a_fleet_without_a_judged_hull_expects_none():
    empty = pd.DataFrame({"hull_id": [], "risk": [], "flag": [], "worn": []})
    counts = headline(empty, empty, empty, BY, 0.10)
    assert (counts.low, counts.likely, counts.high, counts.over) == (0, 0, 0, 0)


def test_weeks_ahead_read_the_chance_at_each_weeks_end_and_count_hires():
    on = pd.Timestamp("2031-06-07T23:30", tz="America/New_York")
    grid = np.array([0.0, 7.0, 14.0, 15.0])
    chance = np.array([[0.1, 0.2, 0.5, 0.6], [0.01, 0.01, 0.02, 0.02]])
    bookings = pd.DataFrame(
        {"hull_id": ["B", "B"], "starts": pd.to_datetime(["2031-06-16", "2031-06-05"], utc=True)}
    )
    ahead = weeks_ahead(pd.DataFrame({"hull_id": ["A", "B"]}), grid, chance, bookings, on)
    assert ahead["week"].tolist() == ["14 Jun", "21 Jun"] * 2
    assert ahead["chance"].tolist() == [0.2, 0.5, 0.01, 0.02]
    assert ahead["hires"].tolist() == [0, 0, 0, 1]
