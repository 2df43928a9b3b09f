"""Plans of a few hulls, and the jobs that they come to."""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import strategies as st

from corrosion.records.settings import Bay, Settings
from corrosion.workshop.plan.options import NONE
from corrosion.workshop.plan.programme import Programme
from corrosion.workshop.plan.solving import Solved, solve
from tests.plan_cases import Anode, Work


@dataclass(frozen=True)
class Job:
    """A pull-out as it was planned."""

    hull: str
    day: int
    bay: int
    hours: float


def planned(work: Work) -> list[Job]:
    programme = work.programme()
    return jobs(programme, solve(programme))


def jobs(programme: Programme, solved: Solved) -> list[Job]:
    columns = programme.columns
    return [
        Job(programme.options[columns.option[c]].case.hull_id, int(columns.day[c]),
            int(columns.bay[c]), float(columns.hours[c]))
        for c in solved.chosen
        if columns.day[c] != NONE
    ]  # fmt: skip


bays = st.builds(
    Bay,
    mooring_id=st.sampled_from(["E", "L"]),
    weekdays=st.sampled_from([(0,), (1, 3), (0, 2, 4)]),
    hulls_per_day=st.sampled_from([None, 1, 2]),
    hours_per_day=st.sampled_from([2.0, 3.5, 8.0]),
)

WORKDAYS = (0, 1, 2, 3, 4)
WORN = (Anode(days_left=1.0, worn=0.99),)


def worn_hulls(count: int) -> dict[str, tuple[Anode, ...]]:
    return {f"H{number}": WORN for number in range(1, count + 1)}


def days_of(visits: list[Job]) -> list[int]:
    return sorted(job.day for job in visits)


def one_bay(**cells: object) -> Settings:
    given: dict[str, object] = {"weekdays": WORKDAYS, "hulls_per_day": 2, "hours_per_day": 8.0}
    return Settings(bays=(Bay("E", **(given | cells)),), unplanned_per_week=0)  # type: ignore[arg-type]
