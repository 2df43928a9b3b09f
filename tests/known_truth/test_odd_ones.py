"""Odd hulls and anodes are called out in time, and sound ones are left alone, on unseen fleets.

Bounds are this project's own; the whole study is `python -m tests.known_truth.odd`.
"""

from __future__ import annotations

from functools import cache

import pytest

from tests.known_truth.odd import TELLING, Told, ask
from tests.known_truth.simulator import simulate

pytestmark = pytest.mark.slow

SEEDS = (21, 22)
MOST_FALSE_A_MONTH = 1.0
"""False calls that 40 hulls may have in 30 days."""


@cache
def told(kind: str, seed: int) -> Told:
    return ask(simulate(kind, seed), every_days=42)


@pytest.mark.parametrize("seed", SEEDS)
def test_hulls_with_2_6_times_their_sisters_wear_are_called_out(seed):
    strays = told("hot_hulls", seed).strays
    assert len(strays) == 2
    assert strays["ever"].all()


@pytest.mark.parametrize("seed", SEEDS)
def test_anodes_that_do_not_wear_are_called_out_once_their_sisters_have_worn(seed):
    strays = told("unbonded", seed).strays
    assert len(strays) == 3
    assert strays["ever"].all()
    telling = strays[(strays["due_worn"] >= 2 * TELLING) & strays["in_time"].notna()]
    assert telling["in_time"].all()


@pytest.mark.parametrize("kind", ["hot_hulls", "unbonded"])
@pytest.mark.parametrize("seed", SEEDS)
def test_sound_hulls_and_anodes_are_left_alone(kind, seed):
    exam = told(kind, seed)
    assert len(exam.false) <= MOST_FALSE_A_MONTH * exam.months
