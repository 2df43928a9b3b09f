"""How far bookings and habit told the hours that were run, learned on the fleet's own past."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.optimize import nnls

from corrosion.common import Floats

HABIT_DAYS = 28
WEEK_DAYS, YEAR_WEEKS = 7, 52
LEAST_HULLS, LEAST_WEEK_H = 3, 0.5
"""Hulls at work, and hours of each, without which a week tells nothing of what they share."""
BY_HABIT: Final = np.array([0.0, 1.0])
FEW_WEEKS = 8
"""Weeks on record that are believed by half."""


@dataclass(frozen=True)
class Rule:
    """Expected hours are `booked` times those booked plus `habit` times the hull's habit.

    Attributes
    ----------
    booked, habit : float, shares
    own, common : float, squared error: own * expected + common * expected ** 2
    own_unbooked, common_unbooked : float, the same where no book tells and habit alone is left
    full : float, booked hours a day, fleet-wide, of the last weeks, which tells a book not yet full
    stormy, stormy_unbooked : float, squared share by which the whole fleet's week strays from what
        is expected
    """

    booked: float
    habit: float
    own: float
    common: float
    own_unbooked: float
    common_unbooked: float
    full: float
    stormy: float = 0.0
    stormy_unbooked: float = 0.0


def windows(
    daily: Floats, booked: Floats, length: int, known: np.ndarray | None = None
) -> tuple[Floats, Floats, Floats]:
    """Return actual, booked and habitual hours of past windows, each flat.

    Parameters
    ----------
    daily, booked : ndarray, shape (hulls, days), the last day last
    length : int, days of a window
    known : ndarray of bool, shape (hulls, days), windows with a day not on record are left out

    Returns
    -------
    tuple of three ndarray, hull by hull within window by window
    """
    days = daily.shape[1]
    starts = list(range(days - length, HABIT_DAYS - 1, -length))[: max(1, 84 // length)]
    if not starts:
        none = np.zeros(0)
        return none, none, none
    actual = [daily[:, s : s + length].sum(axis=1) for s in starts]
    book = [booked[:, s : s + length].sum(axis=1) for s in starts]
    habit = [daily[:, s - HABIT_DAYS : s].mean(axis=1) * length for s in starts]
    complete = np.ones(len(starts) * len(daily), dtype=bool)
    if known is not None:
        complete = np.concatenate([known[:, s : s + length].all(axis=1) for s in starts])
    return (
        np.concatenate(actual)[complete],
        np.concatenate(book)[complete],
        np.concatenate(habit)[complete],
    )


def learn(daily: Floats, booked: Floats, known: np.ndarray | None = None) -> Rule:
    """Learn from the past how bookings and habit told the hours that followed.

    Parameters
    ----------
    daily, booked : ndarray, shape (hulls, days), engine hours run and booked, the last day last
    known : ndarray of bool, same shape, days that are on record; all of them when None

    Returns
    -------
    Rule
    """
    actual, book, habit = windows(daily, booked, 14, known)
    weights = BY_HABIT
    if book.sum() > 0:
        scale = 1 / np.sqrt(book + habit + 1.0)
        weights, _ = nnls(np.column_stack([book, habit]) * scale[:, None], actual * scale)
    own, common = _split(_errors(daily, booked, weights, known))
    own_unbooked, common_unbooked = _split(_errors(daily, booked, BY_HABIT, known))
    full = float(booked[:, -HABIT_DAYS:].sum() / HABIT_DAYS)
    return Rule(
        float(weights[0]), float(weights[1]), own, common, own_unbooked, common_unbooked, full,
        stormy_weeks(daily, booked, weights, known),
        stormy_weeks(daily, booked, BY_HABIT, known),
    )  # fmt: skip


def stormy_weeks(
    daily: Floats, booked: Floats, weights: Floats, known: np.ndarray | None = None
) -> float:
    """Learn by how much the fleet's weeks stray together: what hulls share, not what each does.

    Hulls that stray each for itself leave no covariance between them, however many outings a hull
    has; a week of storm leaves one. The weeks about a week stand for what was usual then, so that
    the season is no storm. A few weeks say little and count for as much.

    Parameters
    ----------
    daily, booked : ndarray, shape (hulls, days), engine hours run and booked, the last day last
    weights : ndarray, shape (2,), of booked and habitual hours, as learned
    known : ndarray of bool, same shape, days that are on record; all of them when None

    Returns
    -------
    float, squared share of the expected hours of a week; 0 where nothing is shared
    """
    days = daily.shape[1]
    starts = np.arange(days - WEEK_DAYS - HABIT_DAYS, HABIT_DAYS - 1, -WEEK_DAYS)[:YEAR_WEEKS]
    covariance, products, weeks = 0.0, 0.0, 0
    for start in starts:
        about = np.r_[
            start - HABIT_DAYS : start, start + WEEK_DAYS : start + WEEK_DAYS + HABIT_DAYS
        ]
        week = slice(start, start + WEEK_DAYS)
        usual = WEEK_DAYS * daily[:, about].mean(axis=1)
        expected = weights[0] * booked[:, week].sum(axis=1) + weights[1] * usual
        written = np.ones(len(daily), bool) if known is None else known[:, week].all(axis=1)
        at_work = written & (expected > LEAST_WEEK_H)
        if at_work.sum() < LEAST_HULLS:
            continue
        strayed = (daily[:, week].sum(axis=1) - expected)[at_work]
        due = expected[at_work]
        covariance += strayed.sum() ** 2 - (strayed**2).sum()
        products += due.sum() ** 2 - (due**2).sum()
        weeks += 1
    shared = max(covariance / products, 0.0) if products > 0 else 0.0
    return float(min(shared, 1.0) * weeks / (weeks + FEW_WEEKS))


def _errors(
    daily: Floats, booked: Floats, weights: Floats, known: np.ndarray | None
) -> list[tuple[float, float]]:
    """Return mean expected hours and squared error over them, for a week and for four."""
    errors = []
    for length in (7, 28):
        actual, book, habit = windows(daily, booked, length, known)
        expected = weights[0] * book + weights[1] * habit
        used = expected > 0.5
        if used.sum() >= 5:
            mean = float(expected[used].mean())
            errors.append((mean, float(((actual - expected)[used] ** 2).mean()) / mean))
    return errors


def _split(errors: list[tuple[float, float]]) -> tuple[float, float]:
    """Split squared errors over the mean into a part of each outing and a part of the hull."""
    if len(errors) < 2 or errors[1][0] <= errors[0][0]:
        return (errors[0][1] if errors else 2.0), 0.04
    (short, short_error), (long, long_error) = errors
    common = float(np.clip((long_error - short_error) / (long - short), 0.0025, 0.5))
    return float(np.clip(short_error - common * short, 0.05, 20.0)), common
