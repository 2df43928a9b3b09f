"""Weeks in which the whole fleet strays are learned from what hulls share, not from their luck."""

from __future__ import annotations

import numpy as np
import pytest

from corrosion.forecast.season import season_spread, shared_spread
from corrosion.forecast.usage_regression import BY_HABIT, FEW_WEEKS, stormy_weeks

HULLS, WEEKS, A_DAY_H = 24, 60, 1.2


def days_of(shares: np.ndarray, seed: int = 7) -> np.ndarray:
    """Hours of hulls that each go out by luck, in weeks that all are pulled so far."""
    outings = np.random.default_rng(seed).poisson(0.4 * np.repeat(shares, 7), (HULLS, 7 * WEEKS))
    return outings * A_DAY_H / 0.4


def storms(spread: float) -> np.ndarray:
    return np.exp(np.random.default_rng(3).normal(-(spread**2) / 2, spread, WEEKS))


def learned(daily: np.ndarray, booked: np.ndarray | None = None, **how: object) -> float:
    return stormy_weeks(daily, np.zeros_like(daily) if booked is None else booked, **how)  # type: ignore[arg-type]


def by_habit(daily: np.ndarray) -> float:
    return learned(daily, weights=BY_HABIT)


def test_hulls_that_stray_each_for_itself_share_nothing() -> None:
    assert np.sqrt(by_habit(days_of(np.ones(WEEKS)))) < 0.05


def test_the_season_is_no_storm() -> None:
    year = 1 + 0.5 * np.sin(np.arange(WEEKS) * 2 * np.pi / 52)
    assert np.sqrt(by_habit(days_of(year))) < 0.06


@pytest.mark.parametrize("spread", [0.3, 0.5])
def test_weeks_that_all_hulls_share_are_learned(spread: float) -> None:
    weeks = storms(spread)
    drawn = np.std(weeks[4:-4] / weeks[4:-4].mean())
    believed = 52 / (52 + FEW_WEEKS)
    assert np.sqrt(by_habit(days_of(weeks)) / believed) == pytest.approx(drawn, rel=0.25)


def test_a_book_that_tells_of_them_leaves_nothing_to_stray() -> None:
    daily = days_of(storms(0.5))
    assert learned(daily, daily, weights=np.array([1.0, 0.0])) == pytest.approx(0.0, abs=1e-9)


def test_few_weeks_few_hulls_and_days_not_on_record_say_little_or_nothing() -> None:
    daily = days_of(storms(0.5))
    assert by_habit(daily[:2]) == 0.0
    assert by_habit(daily[:, :28]) == 0.0
    assert learned(daily, weights=BY_HABIT, known=np.zeros(daily.shape, bool)) == 0.0
    assert by_habit(daily[:, -11 * 7 :]) < by_habit(daily)


def test_storms_even_out_ahead_but_habit_carries_those_behind() -> None:
    days = np.array([0.0, 7.0, 28.0])
    storm = np.full(3, 0.16)
    booked = shared_spread(days, storm, 0.0)
    assert booked[1] == pytest.approx(np.hypot(0.4, season_spread(days)[1]))
    assert booked[2] == pytest.approx(np.hypot(0.2, season_spread(days)[2]))
    habitual = shared_spread(days, storm, 1.0)
    assert habitual[2] ** 2 - booked[2] ** 2 == pytest.approx(0.16 / 4)
    assert shared_spread(days, np.zeros(3), 1.0) == pytest.approx(season_spread(days))
