"""Turnbull's estimate obeys its own laws."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.comparison.survival import life_curve
from corrosion.comparison.turnbull import turnbull
from tests.curves import sound_at

bracket = st.tuples(st.integers(0, 30), st.integers(0, 15), st.booleans())


def _arrays(rows):
    low = np.array([float(a) for a, _, _ in rows])
    high = np.array([np.inf if runs else float(a + w) for a, w, runs in rows])
    return low, high


def test_brackets_that_only_touch_do_not_overlap():
    table = turnbull([1.0, 2.0], [2.0, 3.0])
    assert table[["after", "to"]].to_numpy().tolist() == [[1, 2], [2, 3]]
    assert table["share"].tolist() == pytest.approx([0.5, 0.5])


def test_mass_goes_to_the_innermost_interval_alone():
    table = turnbull([0.0, 2.0, 1.0], [10.0, 4.0, 3.0])
    assert table[["after", "to", "share"]].to_numpy().tolist() == [[2, 3, 1]]


def test_an_exact_life_is_an_interval_of_no_length():
    table = turnbull([5.0, 0.0], [5.0, 4.0])
    assert table[["after", "to"]].to_numpy().tolist() == [[0, 4], [5, 5]]


def test_a_running_life_keeps_its_mass_beyond_its_last_look():
    table = turnbull([0.0, 3.0], [2.0, np.inf])
    assert table["sound"].tolist() == pytest.approx([0.5, 0.0])
    assert table["to"].iloc[-1] == np.inf


def test_a_watch_that_began_late_stands_for_those_it_could_not_have_seen():
    # one worn at 5 when both were watched; the one that came in at 10 hides as many before it
    table = turnbull([5.0, 15.0, 20.0], [5.0, 15.0, 20.0], entry=[0.0, 0.0, 10.0])
    assert table["share"].tolist() == pytest.approx([1 / 2, 1 / 4, 1 / 4])


@settings(max_examples=60, deadline=None)
@given(st.lists(bracket, min_size=1, max_size=20))
def test_masses_are_shares_that_add_up_to_one(rows):
    table = turnbull(*_arrays(rows))
    assert (table["share"] >= 0.0).all()
    assert table["share"].sum() == pytest.approx(1.0, abs=1e-6)
    assert (table["after"] <= table["to"]).all()
    # innermost intervals do not overlap
    assert (table["after"].to_numpy()[1:] >= table["to"].to_numpy()[:-1]).all()


@settings(max_examples=40, deadline=None)
@given(st.lists(bracket, min_size=2, max_size=20))
def test_no_mass_moved_elsewhere_would_fit_better(rows):
    # Gentleman and Geyer (Biometrika 81, 1994): the slope towards each interval is at most n
    low, high = _arrays(rows)
    table = turnbull(low, high)
    point = low == high
    after, to = table["after"].to_numpy(), table["to"].to_numpy()
    begins = low[:, None] <= after
    # an exact interval [t, t] is not inside (t, b]
    begins &= ~((after == to) & ~point[:, None] & (low[:, None] == after))
    inside = begins & (to <= high[:, None])
    slope = (inside / (inside @ table["share"].to_numpy())[:, None]).sum(axis=0)
    assert slope.max() <= len(rows) * (1.0 + 1e-3)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 40), st.booleans()), min_size=1, max_size=25))
def test_exact_lives_give_kaplan_meier(rows):
    end = np.array([float(t) for t, _ in rows])
    high = np.where([worn for _, worn in rows], end, np.inf)
    table = turnbull(end, high)
    lives = pd.DataFrame({"hull_id": "H", "entry": 0.0, "low": end, "high": high})
    curve = life_curve(lives)
    for step in table.itertuples():
        if np.isfinite(step.to):
            assert step.sound == pytest.approx(sound_at(curve, step.to)["all"], abs=1e-6)
