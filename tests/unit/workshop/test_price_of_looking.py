"""What looking costs a year against how often one looks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from corrosion.workshop.looks.price_of_looking import _Class, _draw, _live, _sums

USUAL = _Class(
    rate=1 / 90, spread=0.2, walk=0.002, error=0.04, price=15.0, late=20.0, renewal=110.0,
    level=0.05, tolerated=0.1, stray=70.0,
)  # fmt: skip


def yearly(each: _Class, interval: float | None) -> dict[str, float]:
    return _sums(_live(each, _draw(each), interval), each)


def test_lives_are_looked_at_as_often_as_was_said() -> None:
    assert yearly(USUAL, 14.0)["looks"] == pytest.approx(365.25 / 14.0, rel=0.2)
    assert yearly(USUAL, np.inf)["looks"] == 0


def test_too_often_and_never_both_cost_more_than_some_interval_between() -> None:
    costs = {days: yearly(USUAL, days)["cost"] for days in (7.0, 28.0, 42.0, np.inf)}
    assert min(costs[28.0], costs[42.0]) < costs[7.0]
    assert min(costs[28.0], costs[42.0]) < costs[np.inf]


def test_where_money_alone_decides_the_schedule_is_as_cheap_as_the_best_interval() -> None:
    free = replace(USUAL, stray=1e6, tolerated=0.999)
    best = min(yearly(free, days)["cost"] for days in (14.0, 21.0, 28.0, 42.0, 56.0, 84.0))
    assert yearly(free, None)["cost"] < 1.03 * best


def test_the_guard_before_the_tolerated_risk_costs_looks_and_saves_lateness() -> None:
    guarded, free = yearly(USUAL, None), yearly(replace(USUAL, stray=1e6, tolerated=0.999), None)
    assert guarded["looks"] > free["looks"]
    assert guarded["late"] < free["late"]


def test_dearer_looks_are_taken_less_often_by_the_schedule() -> None:
    free = replace(USUAL, stray=1e6, tolerated=0.999)
    assert yearly(replace(free, price=200.0), None)["looks"] < yearly(free, None)["looks"]


def test_a_life_that_is_known_costs_its_renewal_and_what_lateness_its_level_allows() -> None:
    sure = replace(USUAL, spread=0.01, walk=1e-6, error=0.001)
    lived = yearly(sure, np.inf)
    assert lived["cost"] - lived["late"] == pytest.approx(110.0 * 365.25 / 90.0, rel=0.05)
    assert lived["late"] < 0.1 * lived["cost"]
