"""Programmes asked again within one planning: the same answer, found once."""

import numpy as np
import pytest

from corrosion.workshop.plan import rows as programme
from corrosion.workshop.plan.rows import Answered, Rows, cheapest

COST = np.array([3.0, 1.0, 2.0])


def one_of_three(at_least: float) -> Rows:
    rows = Rows()
    rows.add([0, 1, 2], [1.0, 1.0, 1.0], at_least, 3.0)
    return rows


def test_what_was_asked_before_is_not_solved_again(monkeypatch: pytest.MonkeyPatch) -> None:
    answered, solved = Answered(), []

    def counted(cost: np.ndarray, rows: Rows, time_limit_s: float) -> object:
        solved.append(rows)
        return cheapest(cost, rows, time_limit_s)

    monkeypatch.setattr(programme, "cheapest", counted)
    for at_least, chosen in ((1.0, [1]), (2.0, [1, 2]), (1.0, [1]), (2.0, [1, 2])):
        answer = answered.cheapest(COST, one_of_three(at_least), 1.0)
        assert answer is not None
        assert answer[0].tolist() == chosen
    assert len(solved) == 2
    other = answered.cheapest(COST[::-1].copy() - 2.5, one_of_three(1.0), 1.0)
    assert other is not None
    assert other[0].tolist() == [0, 1]
    assert len(solved) == 3


def test_what_cannot_be_solved_is_asked_again() -> None:
    answered = Answered()
    assert answered.cheapest(COST, one_of_three(4.0), 1.0) is None
    assert answered.cheapest(COST, one_of_three(4.0), 1.0) is None
