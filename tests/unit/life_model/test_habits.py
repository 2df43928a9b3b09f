"""What each operating state costs: intervals that can reach nothing, and shares that add up."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from tempfile import TemporaryDirectory

import numpy as np
import pandas as pd
import pytest

from corrosion.common import hours_since_epoch
from corrosion.life_model.attribution import caused
from corrosion.life_model.fitting import Fit, fit_life
from corrosion.life_model.habits import told_apart, warmth, wear_of_states
from tests.chain import links_of
from tests.known_truth.simulator import KINDS, simulate, write

pytestmark = pytest.mark.slow

CONTRACT = ["circuit", "water", "state", "hours", "worn_per_100h", "low", "high"]


@cache
def fitted(kind: str = "standard", seed: int = 3):
    plan = replace(KINDS[kind], hulls=12, days=200, tail_days=1, start_day_of_year=(100, 100))
    fleet = simulate(kind, seed, plan)
    with TemporaryDirectory() as folder:
        chain = links_of(write(fleet, folder), fleet.end)
    return fit_life(chain.lives, chain.exposure), chain.checked.logbook.on


def table(kind: str = "standard"):
    fit, on = fitted(kind)
    return wear_of_states(fit, on)


def test_the_contracts_columns_come_first():
    assert list(table().columns)[: len(CONTRACT)] == CONTRACT


def test_every_interval_holds_its_estimate():
    rates = table()
    for low, middle, high in (
        ("low", "worn_per_100h", "high"),
        ("anodes_low", "anodes", "anodes_high"),
        ("share_low", "share", "share_high"),
    ):
        assert (rates[low] <= rates[middle]).all()
        assert (rates[middle] <= rates[high]).all()


def test_shares_of_the_wear_add_up_to_the_whole():
    assert table()["share"].sum() == pytest.approx(1.0)


def test_where_flushing_does_nothing_unflushed_hours_are_not_told_from_none():
    rates = table("null_flush").query("state == 'unflushed'")
    assert (rates["low"] == 0).all()
    assert (rates["share_low"] == 0).all()
    assert not rates["shown"].any()


def test_running_in_salt_water_is_plainly_seen_to_wear():
    rates = table().query("circuit == 'engine' and state == 'running' and water == 'salt'")
    assert rates["shown"].all()
    assert (rates["low"] > 0).all()


def test_twice_the_span_of_one_kind_of_use_wears_its_sum():
    fit, on = fitted()
    end = hours_since_epoch_of(on)
    first, second = caused(fit, end - 2000, end - 1000), caused(fit, end - 1000, end)
    whole = caused(fit, end - 2000, end)
    np.testing.assert_allclose(whole.by_hull, first.by_hull + second.by_hull, atol=1e-9)


def test_the_slope_by_a_states_own_rate_is_its_wear():
    fit, on = fitted()
    end = hours_since_epoch_of(on)
    wear = caused(fit, end - 2000, end)
    p = len(fit.model.design.positions)
    own = wear.slope[:, p : p + len(wear.total)]
    np.testing.assert_allclose(np.diag(own), wear.total, rtol=1e-5, atol=1e-9)
    np.testing.assert_allclose(own - np.diag(np.diag(own)), 0.0, atol=1e-9)


def test_warmth_is_said_with_an_interval_around_it():
    fit: Fit = fitted()[0]
    middle, low, high = warmth(fit)
    assert low < middle < high


def hours_since_epoch_of(on: pd.Timestamp) -> float:
    return float(hours_since_epoch(pd.DatetimeIndex([on]))[0])


def test_looks_tell_unflushed_hours_from_running_ones_and_a_fleet_without_looks_cannot():
    fit, _ = fitted()
    groups = fit.model.design.terms.groups
    by_looks = told_apart(fit)
    wet = (groups["state"] == "unflushed").to_numpy(bool)
    assert np.isnan(by_looks[~wet]).all()
    salt = wet & (groups["water"] == "salt").to_numpy(bool)
    # 12 hulls over 200 days, some flushed and some not: mostly by the looks
    assert (by_looks[salt] > 0.8).all()
    nothing = fit_life(replace(fit.lives, looks=fit.lives.looks.iloc[:0]), fit.exposure)
    assert told_apart(nothing)[wet] == pytest.approx(0.0, abs=1e-6)
