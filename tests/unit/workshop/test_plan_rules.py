"""Each rule of the plan by itself, and that no plan of four hulls is cheaper than the one made."""

from __future__ import annotations

from datetime import time

import pandas as pd

from corrosion.records.settings import Bay, DaysOff, Mechanic, Settings
from corrosion.workshop.plan.options import NONE
from corrosion.workshop.plan.solving import solve
from tests.plan_cases import Anode, Work, day
from tests.unit.workshop.planned_jobs import days_of, jobs, one_bay, planned, worn_hulls

WORKDAYS = (0, 1, 2, 3, 4)
WORN = (Anode(days_left=1.0, worn=0.99),)
FRESH = (Anode(days_left=400.0, worn=0.05),)


def test_worn_hulls_come_out_at_once_and_fresh_ones_stay() -> None:
    visits = planned(Work({"H1": WORN, "H2": FRESH}, one_bay()))
    assert [(job.hull, job.day) for job in visits] == [("H1", 0)]


def test_a_bay_takes_no_more_hulls_a_day_than_it_can() -> None:
    assert days_of(planned(Work(worn_hulls(5), one_bay()))) == [0, 0, 1, 1, 2]


def test_a_bay_works_no_longer_a_day_than_it_can() -> None:
    # haul 0.75 h, access 0.5 h, swap 0.25 h: 1.5 h a hull, so two fit into 3 h
    visits = planned(Work(worn_hulls(3), one_bay(hulls_per_day=None, hours_per_day=3.0)))
    assert days_of(visits) == [0, 0, 1]


def test_a_job_longer_than_the_bays_day_is_not_done() -> None:
    assert planned(Work(worn_hulls(1), one_bay(hours_per_day=1.0))) == []


def test_a_bay_works_on_its_weekdays_alone() -> None:
    assert days_of(planned(Work(worn_hulls(3), one_bay(weekdays=(2, 4))))) == [2, 2, 4]


def test_two_bays_take_twice_as_many_and_each_job_fits_into_its_own() -> None:
    bays = (Bay("E", WORKDAYS, None, 2.0), Bay("E", WORKDAYS, None, 2.0))
    visits = planned(Work(worn_hulls(3), Settings(bays=bays, unplanned_per_week=0)))
    # 1.5 h a hull: two bays of 2 h take two a day, though 4 h would do for 2.7
    assert days_of(visits) == [0, 0, 1]
    assert len({(job.day, job.bay) for job in visits}) == 3


def test_nobody_comes_out_on_days_off_neither_everywhere_nor_at_one_mooring() -> None:
    fleet = Settings(
        bays=(Bay("E", WORKDAYS, 2), Bay("L", WORKDAYS, 2)),
        days_off=(DaysOff(day(0), day(1)), DaysOff(day(2), day(2), "E")),
    )
    visits = planned(Work(worn_hulls(2), fleet, mooring={"H1": "E", "H2": "L"}))
    assert {job.hull: job.day for job in visits} == {"H1": 3, "H2": 2}


def test_a_mooring_with_slip_windows_works_inside_them_alone() -> None:
    windows = pd.DataFrame(
        {
            "mooring_id": ["E", "E"],
            "opens": pd.to_datetime(["2031-06-03 06:00", "2031-06-05 12:00"], utc=True),
            "closes": pd.to_datetime(["2031-06-03 07:00", "2031-06-05 16:00"], utc=True),
        }
    )
    visits = planned(Work(worn_hulls(3), one_bay(hours=(time(6), time(18))), windows=windows))
    # an hour on Tuesday is too short for 1.5 h of work; four hours on Thursday do for two hulls
    assert days_of(visits) == [3, 3]


def test_a_slot_a_week_is_kept_for_the_unplanned() -> None:
    bays = (Bay("E", (0,), 2),)
    for reserve, count in ((0, 2), (1, 1)):
        fleet = Settings(bays=bays, unplanned_per_week=reserve)
        assert len(planned(Work(worn_hulls(3), fleet))) == count


def test_a_week_with_a_single_slot_is_still_used() -> None:
    fleet = Settings(bays=(Bay("E", (0,), 1),), unplanned_per_week=1)
    assert days_of(planned(Work(worn_hulls(2), fleet))) == [0]


def test_mechanics_hours_are_shared_by_the_moorings_they_go_to() -> None:
    fleet = Settings(
        bays=(Bay("E", WORKDAYS, 2), Bay("L", WORKDAYS, 2)),
        mechanics=(Mechanic("day shift", (), WORKDAYS, 2.0, (day(1),)),),
    )
    visits = planned(Work(worn_hulls(2), fleet, mooring={"H1": "E", "H2": "L"}))
    # 1.5 h each: one a day, none on the day off
    assert days_of(visits) == [0, 2]


def test_a_mechanic_works_only_at_his_moorings() -> None:
    fleet = Settings(
        bays=(Bay("E", WORKDAYS, 2), Bay("L", WORKDAYS, 2)),
        mechanics=(Mechanic("day shift", ("L",)),),
    )
    visits = planned(Work(worn_hulls(2), fleet, mooring={"H1": "E", "H2": "L"}))
    assert [job.hull for job in visits] == ["H2"]


def stocked(stock: dict[str, object], lead_days: float = 3.0) -> Settings:
    return Settings(
        bays=(Bay("E", WORKDAYS, 2), Bay("L", WORKDAYS, 2)), unplanned_per_week=0,
        stock=stock, lead_days=lead_days,  # type: ignore[arg-type]
    )  # fmt: skip


def test_a_part_that_is_not_in_stock_is_waited_for() -> None:
    worn = (Anode(days_left=1.0, worn=0.99, part="P1"),)
    visits = planned(Work({"H1": worn, "H2": worn}, stocked({"P1": 1})))
    assert days_of(visits) == [0, 3]


def test_a_part_that_nobody_counted_is_taken_to_be_there() -> None:
    worn = (Anode(days_left=1.0, worn=0.99, part="P2"),)
    assert days_of(planned(Work({"H1": worn}, stocked({"P1": 0})))) == [0]


def test_parts_lie_where_they_lie_and_come_from_the_common_store_beside() -> None:
    worn = (Anode(days_left=1.0, worn=0.99, part="P1"),)
    hulls = {f"H{n}": worn for n in range(1, 5)}
    where = {"H1": "E", "H2": "E", "H3": "L", "H4": "L"}
    moves = pd.DataFrame({"part_number": ["P1"], "mooring_id": [None], "pieces": [1.0]})
    fleet = stocked({"P1": {"E": 1}}, lead_days=4.0)
    early = [job for job in planned(Work(hulls, fleet, where, moves=moves)) if job.day < 4]
    assert len(early) == 2
    assert any(where[job.hull] == "E" for job in early)


def test_without_its_neighbours_part_a_hull_still_comes_out() -> None:
    pair = (
        Anode(days_left=1.0, worn=0.99, part="P1"),
        Anode(days_left=10.0, worn=0.9, part="P2", position="other"),
    )
    work = Work({"H1": pair}, stocked({"P1": 1, "P2": 0}, lead_days=30.0))
    programme = work.programme()
    (job,) = jobs(programme, solve(programme))
    best = programme.options[0].best
    assert job.day == 0
    assert best.replace[best.choice[0]].tolist() == [True, False]


def test_a_scarce_part_goes_to_the_hull_that_needs_it_most() -> None:
    # by itself H1 would change both; the one P2 in stock is worth more on H2
    lead, other = Anode(1.0, worn=0.99, part="P1"), Anode(25.0, worn=0.6, part="P2", position="b")
    hulls = {"H1": (lead, other), "H2": (Anode(0.5, worn=0.99, part="P2"),)}
    programme = Work(hulls, stocked({"P1": 9, "P2": 1}, lead_days=30.0)).programme()
    chosen = [int(c) for c in solve(programme).chosen if programme.columns.day[c] != NONE]
    assert len(chosen) == 2
    first, second = (
        programme.options[programme.columns.option[c]].best.replace[programme.columns.choice[c]]
        for c in chosen
    )
    assert first.tolist() == [True, False]
    assert second.tolist() == [True]


def test_an_anode_past_its_limit_is_not_left_behind_to_save_its_price() -> None:
    past = Anode(0.01, worn=0.999, sd=1e-3)
    near = Anode(9.0, worn=0.9, position="b", group="manifold")
    (option,) = Work({"H1": (past, near)}, one_bay()).programme().options
    assert option.best.replace[option.best.choice[:5], 0].all()


def test_without_hulls_to_pull_there_is_an_empty_plan() -> None:
    programme = Work({"H1": FRESH}, one_bay()).programme()
    solved = solve(programme)
    assert jobs(programme, solved) == []
    assert solved.proven


def test_a_hull_comes_out_by_its_pull_by_though_money_alone_would_wait() -> None:
    # lateness is nearly free, so only the tolerated risk asks for it
    anode = Anode(days_left=6.0, worn=0.9, sd=0.02, late_cost=60.0)
    work = Work({"H1": (anode,)}, one_bay(), weeks=3)
    setting = work.setting()
    pull_by = setting.ahead.when_chance(0, 0.1)
    (job,) = planned(work)
    assert 0 < job.day <= pull_by


def test_where_the_bay_is_too_small_the_hull_in_more_danger_goes_first() -> None:
    hulls = {"H1": (Anode(3.0, worn=0.95, sd=0.05),), "H2": (Anode(1.0, worn=0.95, sd=0.05),)}
    fleet = one_bay(weekdays=(0,), hulls_per_day=1)
    assert {job.hull: job.day for job in planned(Work(hulls, fleet, weeks=2))} == {"H2": 0, "H1": 7}


def test_an_anode_past_its_limit_goes_before_a_dearer_one_that_may_be() -> None:
    past = (Anode(0.01, worn=0.999, sd=1e-3, late_cost=700.0),)
    maybe = (Anode(2.0, worn=0.97, sd=0.03, late_cost=6000.0),)
    fleet = one_bay(weekdays=(0,), hulls_per_day=1)
    visits = planned(Work({"H1": maybe, "H2": past}, fleet, weeks=2))
    assert {job.hull: job.day for job in visits} == {"H2": 0, "H1": 7}


def test_the_week_before_a_closed_one_does_its_share() -> None:
    hulls = {f"H{n}": (Anode(9.0, worn=0.9, sd=0.03),) for n in range(1, 5)}
    fleet = Settings(
        bays=(Bay("E", WORKDAYS, 2),), days_off=(DaysOff(day(7), day(20), None, "holiday"),)
    )
    assert {job.day < 7 for job in planned(Work(hulls, fleet, weeks=4))} == {True}
