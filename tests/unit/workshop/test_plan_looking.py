"""What a look is worth before an anode is replaced."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.records.settings import Bay, Settings
from corrosion.workshop.plan.cases import Case
from corrosion.workshop.plan.looking import Look, after_reading, worth_of_looks
from corrosion.workshop.plan.prospects import Prospects
from tests.plan_cases import Anode, Work


def hull(anode: Anode, part_cost: float) -> tuple[Case, Prospects]:
    work = Work({"H1": (anode,)}, Settings(bays=(Bay("E"),)))
    setting = work.setting()
    case = work.options(setting)[0].case
    return replace(case, part=np.array([part_cost])), setting.ahead


def looks(sd: float, part_cost: float, error: float = 0.03, at: float = 1.0) -> list[Look]:
    case, ahead = hull(Anode(days_left=25.0, worn=0.75, sd=sd), part_cost)
    return worth_of_looks(case, ahead, at, np.array([True]), np.array([error]), 0)


def test_an_anode_that_is_known_well_is_not_worth_a_look() -> None:
    assert looks(sd=0.005, part_cost=300.0) == []


def test_a_dear_part_on_an_anode_that_nobody_knows_is_measured_first() -> None:
    (look,) = looks(sd=0.25, part_cost=300.0)
    assert look.worth > 10.0
    assert 0.0 < look.chance < 1.0
    assert 0.0 < look.worn < 1.0


def test_a_cheap_part_is_replaced_without_more_ado() -> None:
    dear, cheap = looks(sd=0.25, part_cost=300.0), looks(sd=0.25, part_cost=1.0)
    assert (cheap[0].worth if cheap else 0.0) < dear[0].worth


def test_after_a_reading_the_anode_is_known_as_well_as_the_caliper_reads() -> None:
    _, ahead = hull(Anode(days_left=25.0, worn=0.75, sd=0.3), 20.0)
    read = after_reading(ahead, 0, 0.04, 0.5)
    assert read.worn[0, 0] == pytest.approx(0.5)
    assert read.sd[0, 0] == pytest.approx(0.3 * 0.04 / np.hypot(0.3, 0.04))
    assert read.chance[0, 7] < ahead.chance[0, 7]


@settings(max_examples=25, deadline=None)
@given(
    st.floats(0.05, 0.3), st.floats(1.0, 400.0), st.floats(0.01, 0.1), st.floats(0.0, 20.0)
)  # fmt: skip
def test_a_look_is_never_offered_at_a_loss_and_stays_a_chance(
    sd: float, part_cost: float, error: float, at: float
) -> None:
    for look in looks(sd, part_cost, error, at):
        assert look.worth > 0.0
        assert 0.0 < look.chance < 1.0
