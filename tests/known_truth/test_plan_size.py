"""A plan of 120 simulated hulls, and their looks: how sure, and how long it took."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

import pytest

from corrosion.forecast.appraisal import Appraisal, appraise
from corrosion.records.settings import Bay, Mechanic
from corrosion.workshop.looks import schedule_looks
from corrosion.workshop.plan import make_plan
from tests.known_truth.simulator import simulate, write
from tests.known_truth.simulator.plans import STANDARD

pytestmark = pytest.mark.slow
WORKDAYS = (0, 1, 2, 3, 4)


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Appraisal:
    fleet = simulate("standard", 71, replace(STANDARD, hulls=120, days=260))
    folder: Path = write(fleet, tmp_path_factory.mktemp("large"))
    return appraise(folder)


def with_bays(large: Appraisal, bay: Bay, *crew: Mechanic) -> Appraisal:
    """The same fleet with such a bay at every mooring."""
    moorings = sorted(set(large.forecast.hulls["mooring_id"]))
    bays = tuple(replace(bay, mooring_id=mooring) for mooring in moorings)
    settings = replace(large.logbook.settings, bays=bays, mechanics=crew)
    logbook = replace(large.checked.logbook, settings=settings)
    return replace(large, checked=replace(large.checked, logbook=logbook))


@pytest.mark.parametrize(
    ("bay", "crew"),
    [
        (Bay("", WORKDAYS, 2, 8.0), ()),
        (Bay("", (1, 3), 2, 6.0), ()),
        (Bay("", WORKDAYS, 2, 8.0), (Mechanic("day shift", (), WORKDAYS, 8.0),)),
    ],
    ids=["two a day", "two days a week, overloaded", "one mechanic for all moorings"],
)
def test_a_large_fleet_is_planned_within_one_per_cent_in_seconds(
    large: Appraisal, bay: Bay, crew: tuple[Mechanic, ...]
) -> None:
    fleet = with_bays(large, bay, *crew)
    assert len(large.forecast.hulls) > 100
    begun_s = time.process_time()  # a busy neighbour must not fail it
    plan = make_plan(fleet)
    took_s = time.process_time() - begun_s
    assert plan.gap <= 0.01
    assert took_s < 10.0  # of the processor; 7 s alone
    assert len(plan.pulls) > 10


def test_the_looks_of_a_large_fleet_are_scheduled_in_three_seconds(large: Appraisal) -> None:
    plan = make_plan(large)
    begun_s = time.process_time()
    looks = schedule_looks(large, plan)
    took_s = time.process_time() - begun_s
    assert len(looks.table) == len(large.forecast.anodes)
    assert took_s < 3.0
    print(f"{len(looks.table)} anodes in {took_s:.2f} s")
