"""What a run remembers: by its inputs, with the steps on the way, one run back and no further."""

from __future__ import annotations

import numpy as np

from corrosion.common import Remembered


class _Counted:
    """Makes a new list each time it is asked, and counts."""

    def __init__(self) -> None:
        self.times = 0

    def __call__(self) -> list[int]:
        self.times += 1
        return [self.times]


def test_a_result_stands_while_its_inputs_do_and_is_forgotten_when_not_asked_for() -> None:
    last, make, table = Remembered(), _Counted(), np.zeros(3)
    for inputs, made in (((table, 1), 1), ((table, 1), 1), ((table, 2), 2), ((table.copy(), 2), 3)):
        with last.turned() as now:
            now.of("result", inputs, make)
        assert make.times == made
    with last.turned():
        pass  # a run that does not ask
    with last.turned() as now:
        now.of("result", (table, 2), make)
    assert make.times == 4


def test_a_step_on_the_way_is_kept_though_the_result_stood_and_did_not_ask_for_it() -> None:
    last, step, table = Remembered(), _Counted(), np.zeros(3)
    inner = np.ones(2)

    def asked_of(outer: int) -> list[int]:
        with last.turned() as now:
            return now.of("outer", (outer,), lambda: now.of("step", (inner, table), step))

    first = asked_of(1)
    assert asked_of(1) is first  # stood: the step was not asked
    assert asked_of(2) == [1]  # another result by the same step, which was kept meanwhile
    assert step.times == 1


def test_onward_hands_the_last_result_to_the_next_run() -> None:
    last: Remembered = Remembered()
    seen: list[int | None] = []

    def counted(before: int | None) -> int:
        seen.append(before)
        return 1 if before is None else before + 1

    for _ in range(3):
        with last.turned() as now:
            now.onward("count", counted)
    assert seen == [None, 1, 2]
