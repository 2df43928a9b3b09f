"""Facts about the chance that entries are missing."""

import numpy as np
import pandas as pd
import pytest

from corrosion.forecast.silence import (
    Expected,
    arrived_by_age,
    had_rested,
    missing,
    silent_chance,
    thinning,
)

ON_H = 24.0 * 23000
NONE = np.zeros(12)


def _dated(delays_h: np.ndarray) -> pd.DataFrame:
    ended = pd.to_datetime((ON_H - 24 * (30 + np.arange(delays_h.size) % 100)) * 3600, unit="s")
    ended = pd.Series(ended, dtype="datetime64[us]").dt.tz_localize("UTC")
    return pd.DataFrame({"ended": ended, "entered_at": ended + pd.to_timedelta(delays_h, unit="h")})


def test_a_mooring_silent_for_weeks_of_hires_was_not_written_up() -> None:
    each = np.full(12, 12.0)
    assert silent_chance(each, each, each, 0.0) > 0.98


def test_a_silence_without_hires_may_be_rest() -> None:
    each = np.full(12, 12.0)
    assert 0.6 < silent_chance(each, NONE, each, 0.0) < 0.95


def test_a_mooring_that_has_rested_as_long_before_is_taken_to_rest() -> None:
    each = np.full(12, 12.0)
    assert silent_chance(each, NONE, each, 0.4) == 0.0


def test_where_nothing_was_due_nothing_is_missing() -> None:
    assert silent_chance(NONE, NONE, np.full(12, 12.0), 0.0) == 0.0


def test_one_hull_alone_lies_still_rather_than_unwritten() -> None:
    assert silent_chance(np.array([12.0]), np.zeros(1), np.array([12.0]), 0.0) == 0.0


def test_the_chance_of_silence_rises_with_the_hires_that_went_by() -> None:
    due = [silent_chance(np.full(4, n), np.full(4, n), np.full(4, n), 0.0) for n in (1, 3, 9, 20)]
    assert due == sorted(due)
    assert due[-1] > due[0]


def test_past_rests_are_counted_after_the_record_began() -> None:
    daily = np.concatenate([np.zeros(50), np.tile([1.0, 1.0, 0.0, 0.0, 0.0], 20)])
    assert had_rested(daily, 3) == pytest.approx(0.2, abs=0.02)
    assert had_rested(daily, 4) == 0.0


def test_delays_are_read_off_when_past_outings_were_entered() -> None:
    share = arrived_by_age(_dated(np.tile([12.0, 60.0, 84.0, 132.0], 50)), ON_H, 7)
    assert share == pytest.approx([0.25, 0.25, 0.5, 0.75, 0.75, 1.0, 1.0])


def test_an_import_in_one_sitting_tells_no_delay() -> None:
    outings = _dated(np.full(80, 12.0))
    outings["entered_at"] = pd.Timestamp("2032-12-01", tz="UTC")
    assert arrived_by_age(outings, ON_H, 7) is None


def test_outings_that_thin_out_towards_today_are_late() -> None:
    due = np.full(21, 40.0)
    written = due * np.clip((20.5 - np.arange(21)) / 10, 0, 1)
    share, chance = thinning(written, due, 0.1)
    assert chance == 1.0
    assert share[:10] == pytest.approx((np.arange(10) + 0.5) / 10, abs=0.051)


def test_a_usual_quiet_week_is_not_late() -> None:
    written = np.full(21, 40.0)
    written[-7:] = 34.0
    assert thinning(written, np.full(21, 40.0), 0.15)[1] == 0.0


def test_what_is_on_record_is_not_filled_in_again() -> None:
    due = Expected(np.full((2, 4), 1.8), np.full((2, 4), 1.8), 1.8)
    written = np.array([[1.8] * 4, [0.0] * 4])
    share = np.array([0.2, 0.5, 1.0, 1.0])
    hours = missing(due, written, share, 1.0)
    assert np.all(hours[0] == 0.0)
    assert np.all(hours[1, :2] == 0.0)
    assert 0.5 * 1.8 < hours[1, 2] < hours[1, 3] < 1.8


def test_on_average_hires_not_yet_written_are_filled_in_whole() -> None:
    rng = np.random.default_rng(3)
    out = rng.random((4000, 1)) < 0.9
    come = rng.random((4000, 1)) < 0.4
    due = Expected(np.full((4000, 1), 0.9 * 2), np.full((4000, 1), 0.9 * 2), 2.0)
    hours = missing(due, 2.0 * (out & come), np.array([0.4]), 1.0)
    assert hours.sum() == pytest.approx(2.0 * (out & ~come).sum(), rel=0.12)
