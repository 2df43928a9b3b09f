"""A hire that waits for a look: what the look is worth, and what the plan says of it."""

from __future__ import annotations

import numpy as np
import pytest

from corrosion.records.settings import Settings
from corrosion.workshop.plan.hires.desk import Desk, Stop
from corrosion.workshop.plan.hires.looking_first import (
    hires_that_wait,
    say_look_first,
    worth_of_look,
)
from tests.plan_cases import Anode, Work
from tests.unit.workshop.test_days_and_hires import HULLS, Yard
from tests.unit.workshop.test_hires_moving import MOVE, book_of


def desk(passes: float, *, look_first: bool = True) -> Desk:
    """H0 has a hire a day for three days; a sister is free for the first two of them."""
    work = Work({name: (Anode(60.0),) for name in HULLS}, Settings(), weeks=2)
    busy = [(n, 57.0, 60.0) for n in (1, 2, 3)]
    hires = [(0, 9.0, 12.0), (0, 33.0, 36.0), (0, 57.0, 60.0), *busy]
    stop = Stop(
        ("past-limit-likely",), {"pencil": ("past-limit-likely",)}, look_first, "worn", passes
    )
    opened = Yard(work, book_of(hires, 4), {"H0": stop}).ground(hires_count=True).setting.desk
    assert opened is not None
    return opened


def test_a_look_saves_what_the_hires_cost_that_stay_as_often_as_it_passes() -> None:
    assert worth_of_look(desk(0.4), "H0", 48.0) == pytest.approx(0.4 * 2 * MOVE)
    assert worth_of_look(desk(0.4), "H0", np.inf) == pytest.approx(0.4 * (2 * MOVE + 150.0))
    assert worth_of_look(desk(0.0), "H0", np.inf) == 0.0


def test_the_next_hire_waits_and_no_other() -> None:
    opened = desk(0.4)
    waits = hires_that_wait(opened)
    assert [float(opened.book.start_h[n]) for n in waits.values()] == [9.0]
    assert hires_that_wait(desk(0.4, look_first=False)) == {}


def test_the_worth_is_said_with_its_chance_and_left_out_where_it_is_none() -> None:
    sentence = say_look_first(desk(0.4), "H0", 48.0, "EUR")
    assert sentence.startswith("look at pencil first: worn. Passes: it sails.")
    assert "worth about EUR 8, its minutes not counted: 2 in 5 that it passes" in sentence
    assert "worth" not in say_look_first(desk(0.0), "H0", 48.0, "EUR")
