"""Each rule of the plan by itself, and that no plan of four hulls is cheaper than the one made."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date, time

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.records.settings import Bay, DaysOff, Mechanic, Settings
from corrosion.workshop.plan.conflict import say_conflict
from corrosion.workshop.plan.options import NONE
from corrosion.workshop.plan.programme import Programme
from corrosion.workshop.plan.solving import Solved, solve
from tests.plan_cases import Anode, Work, day

WORKDAYS = (0, 1, 2, 3, 4)
WORN = (Anode(days_left=1.0, worn=0.99),)
FRESH = (Anode(days_left=400.0, worn=0.05),)


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
            int(columns.place[c]), float(columns.hours[c]))
        for c in solved.chosen
        if columns.day[c] != NONE
    ]  # fmt: skip


def worn_hulls(count: int) -> dict[str, tuple[Anode, ...]]:
    return {f"H{number}": WORN for number in range(1, count + 1)}


def days_of(found: list[Job]) -> list[int]:
    return sorted(job.day for job in found)


def one_bay(**cells: object) -> Settings:
    given: dict[str, object] = {"weekdays": WORKDAYS, "hulls_per_day": 2, "hours_per_day": 8.0}
    return Settings(bays=(Bay("E", **(given | cells)),), unplanned_per_week=0)  # type: ignore[arg-type]


def test_worn_hulls_come_out_at_once_and_fresh_ones_stay() -> None:
    found = planned(Work({"H1": WORN, "H2": FRESH}, one_bay()))
    assert [(job.hull, job.day) for job in found] == [("H1", 0)]


def test_a_bay_takes_no_more_hulls_a_day_than_it_can() -> None:
    assert days_of(planned(Work(worn_hulls(5), one_bay()))) == [0, 0, 1, 1, 2]


def test_a_bay_works_no_longer_a_day_than_it_can() -> None:
    # haul 0.75 h, access 0.5 h, swap 0.25 h: 1.5 h a hull, so two fit into 3 h
    found = planned(Work(worn_hulls(3), one_bay(hulls_per_day=None, hours_per_day=3.0)))
    assert days_of(found) == [0, 0, 1]


def test_a_job_longer_than_the_bays_day_is_not_done() -> None:
    assert planned(Work(worn_hulls(1), one_bay(hours_per_day=1.0))) == []


def test_a_bay_works_on_its_weekdays_alone() -> None:
    assert days_of(planned(Work(worn_hulls(3), one_bay(weekdays=(2, 4))))) == [2, 2, 4]


def test_two_bays_take_twice_as_many_and_each_job_fits_into_its_own() -> None:
    bays = (Bay("E", WORKDAYS, None, 2.0), Bay("E", WORKDAYS, None, 2.0))
    found = planned(Work(worn_hulls(3), Settings(bays=bays, unplanned_per_week=0)))
    # 1.5 h a hull: two bays of 2 h take two a day, though 4 h would do for 2.7
    assert days_of(found) == [0, 0, 1]
    assert len({(job.day, job.bay) for job in found}) == 3


def test_nobody_comes_out_on_days_off_neither_everywhere_nor_at_one_mooring() -> None:
    fleet = Settings(
        bays=(Bay("E", WORKDAYS, 2), Bay("L", WORKDAYS, 2)),
        days_off=(DaysOff(day(0), day(1)), DaysOff(day(2), day(2), "E")),
    )
    found = planned(Work(worn_hulls(2), fleet, mooring={"H1": "E", "H2": "L"}))
    assert {job.hull: job.day for job in found} == {"H1": 3, "H2": 2}


def test_a_mooring_with_slip_windows_works_inside_them_alone() -> None:
    windows = pd.DataFrame(
        {
            "mooring_id": ["E", "E"],
            "opens": pd.to_datetime(["2031-06-03 06:00", "2031-06-05 12:00"], utc=True),
            "closes": pd.to_datetime(["2031-06-03 07:00", "2031-06-05 16:00"], utc=True),
        }
    )
    found = planned(Work(worn_hulls(3), one_bay(hours=(time(6), time(18))), windows=windows))
    # an hour on Tuesday is too short for 1.5 h of work; four hours on Thursday do for two hulls
    assert days_of(found) == [3, 3]


def test_a_booked_hull_waits_for_its_first_free_day() -> None:
    assert days_of(planned(Work(worn_hulls(1), one_bay(), booked={"H1": [0, 1, 2]}))) == [3]


def test_the_manager_holds_a_hull_back() -> None:
    assert planned(Work(worn_hulls(1), one_bay(), skipped={"H1": range(7)})) == []


def test_a_slot_a_week_is_kept_for_the_unplanned() -> None:
    bays = (Bay("E", (0,), 2),)
    for kept, count in ((0, 2), (1, 1)):
        fleet = Settings(bays=bays, unplanned_per_week=kept)
        assert len(planned(Work(worn_hulls(3), fleet))) == count


def test_a_week_with_a_single_slot_is_still_used() -> None:
    fleet = Settings(bays=(Bay("E", (0,), 1),), unplanned_per_week=1)
    assert days_of(planned(Work(worn_hulls(2), fleet))) == [0]


def test_a_pin_may_use_the_kept_slot() -> None:
    fleet = Settings(bays=(Bay("E", (0,), 1),), unplanned_per_week=1)
    found = planned(Work({"H1": WORN, "H2": FRESH}, fleet, pins={"H2": day(0)}))
    assert [(job.hull, job.day) for job in found] == [("H2", 0)]


def test_mechanics_hours_are_shared_by_the_moorings_they_go_to() -> None:
    fleet = Settings(
        bays=(Bay("E", WORKDAYS, 2), Bay("L", WORKDAYS, 2)),
        mechanics=(Mechanic("day shift", (), WORKDAYS, 2.0, (day(1),)),),
    )
    found = planned(Work(worn_hulls(2), fleet, mooring={"H1": "E", "H2": "L"}))
    # 1.5 h each: one a day, none on the day off
    assert days_of(found) == [0, 2]


def test_a_mechanic_works_only_at_his_moorings() -> None:
    fleet = Settings(
        bays=(Bay("E", WORKDAYS, 2), Bay("L", WORKDAYS, 2)),
        mechanics=(Mechanic("day shift", ("L",)),),
    )
    found = planned(Work(worn_hulls(2), fleet, mooring={"H1": "E", "H2": "L"}))
    assert [job.hull for job in found] == ["H2"]


def stocked(stock: dict[str, object], lead_days: float = 3.0) -> Settings:
    return Settings(
        bays=(Bay("E", WORKDAYS, 2), Bay("L", WORKDAYS, 2)), unplanned_per_week=0,
        stock=stock, lead_days=lead_days,  # type: ignore[arg-type]
    )  # fmt: skip


def test_a_part_that_is_not_in_stock_is_waited_for() -> None:
    worn = (Anode(days_left=1.0, worn=0.99, part="P1"),)
    found = planned(Work({"H1": worn, "H2": worn}, stocked({"P1": 1})))
    assert days_of(found) == [0, 3]


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


def test_a_pin_holds_though_another_day_is_cheaper() -> None:
    found = planned(Work({"H1": WORN, "H2": FRESH}, one_bay(), pins={"H1": day(3), "H2": day(1)}))
    assert {job.hull: job.day for job in found} == {"H1": 3, "H2": 1}


@pytest.mark.parametrize(
    ("work", "rule"),
    [
        (Work(worn_hulls(1), one_bay(), booked={"H1": [2]}, pins={"H1": day(2)}), "on hire"),
        (Work(worn_hulls(1), one_bay(), pins={"H1": day(5)}), "does not work on that weekday"),
        (Work(worn_hulls(1), one_bay(hours_per_day=0.5), pins={"H1": day(2)}), "takes longer"),
        (Work(worn_hulls(1), Settings(bays=(Bay("L"),)), pins={"H1": day(2)}), "no bay serves E"),
        (
            Work(worn_hulls(2), one_bay(hulls_per_day=1), pins={"H1": day(2), "H2": day(2)}),
            "the bay takes no more hulls that day",
        ),
        (
            Work(worn_hulls(2), one_bay(hours_per_day=2.0), pins={"H1": day(2), "H2": day(2)}),
            "the bay has no hours left that day",
        ),
    ],
)
def test_a_pin_that_does_not_fit_names_the_rule_and_the_nearest_plan(work: Work, rule: str) -> None:
    programme = work.programme()
    said = say_conflict(programme, solve(programme))
    assert rule in said
    assert "nearest plan" in said


def test_the_nearest_plan_is_near_the_pin() -> None:
    work = Work(worn_hulls(1), one_bay(), booked={"H1": [3]}, pins={"H1": day(3)})
    programme = work.programme()
    solved = solve(programme)
    assert "takes it out on Wed 4 Jun" in say_conflict(programme, solved)
    assert days_of(jobs(programme, solved)) == [2]


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
    found = planned(Work({"H1": maybe, "H2": past}, fleet, weeks=2))
    assert {job.hull: job.day for job in found} == {"H2": 0, "H1": 7}


def test_the_week_before_a_closed_one_does_its_share() -> None:
    hulls = {f"H{n}": (Anode(9.0, worn=0.9, sd=0.03),) for n in range(1, 5)}
    fleet = Settings(
        bays=(Bay("E", WORKDAYS, 2),), days_off=(DaysOff(day(7), day(20), None, "holiday"),)
    )
    assert {job.day < 7 for job in planned(Work(hulls, fleet, weeks=4))} == {True}


# --- laws ----------------------------------------------------------------------------------------

anodes = st.builds(
    Anode,
    days_left=st.sampled_from([0.0, 2.0, 5.0, 9.0, 20.0, 60.0]),
    worn=st.sampled_from([0.6, 0.8, 0.95]),
    sd=st.sampled_from([0.02, 0.1]),
    part=st.sampled_from([None, "P1", "P2"]),
    late_cost=st.sampled_from([500.0, 3000.0]),
)
pairs = st.tuples(anodes, anodes).map(
    lambda two: (two[0], Anode(**(two[1].__dict__ | {"position": "other", "group": "manifold"})))
)
bays = st.builds(
    Bay,
    mooring_id=st.sampled_from(["E", "L"]),
    weekdays=st.sampled_from([(0,), (1, 3), (0, 2, 4)]),
    hulls_per_day=st.sampled_from([None, 1, 2]),
    hours_per_day=st.sampled_from([2.0, 3.5, 8.0]),
)
one_shift = Mechanic("day shift", (), WORKDAYS, 4.0)
two_shifts = (Mechanic("a", ("E",), WORKDAYS, 2.5), Mechanic("b", (), (0, 1), 3.0))
crews = st.sampled_from([(), (one_shift,), two_shifts])
fleets = st.builds(
    Settings,
    bays=st.lists(bays, min_size=1, max_size=2).map(tuple),
    unplanned_per_week=st.sampled_from([0, 1]),
    stock=st.sampled_from([{}, {"P1": 1}, {"P1": {"E": 1}, "P2": 0}]),
    lead_days=st.sampled_from([2.0, 30.0]),
    mechanics=crews,
)
HULLS = ("H1", "H2", "H3", "H4")
away = st.fixed_dictionaries({hull: st.lists(st.integers(0, 6), max_size=4) for hull in HULLS})
works = st.builds(
    Work,
    hulls=st.fixed_dictionaries(
        {hull: st.one_of(anodes.map(lambda a: (a,)), pairs) for hull in HULLS}
    ),
    settings=fleets,
    mooring=st.fixed_dictionaries({hull: st.sampled_from(["E", "L"]) for hull in HULLS}),
    booked=away,
    hire=st.fixed_dictionaries(
        {"H1": st.lists(st.sampled_from([0.0, 60.0, 200.0]), min_size=7, max_size=7)}
    ),
)


def within_capacity(programme: Programme, chosen: list[int]) -> bool:
    """Count by hand, with nothing of the programme's own rows: is this plan allowed?"""
    columns, setting = programme.columns, programme.setting
    hulls: Counter[object] = Counter()
    hours: Counter[object] = Counter()
    for c in chosen:
        if columns.day[c] != NONE:
            key = (int(columns.place[c]), int(columns.day[c]))
            hulls[key] += 1
            hours[key] += float(columns.hours[c])
    for (bay, at), count in hulls.items():  # type: ignore[misc]
        place = setting.yard.places[bay]
        if count > place.hulls[at] or hours[bay, at] > place.hours[at] + 1e-9:
            return False
    return (
        slots_kept(programme, chosen)
        and later_weeks_fit(programme, chosen)
        and crews_suffice(programme, chosen)
        and parts_suffice(programme, chosen)
    )


def slots_kept(programme: Programme, chosen: list[int]) -> bool:
    setting, columns = programme.setting, programme.columns
    kept = setting.yard.unplanned
    for mooring in ("E", "L"):
        places = setting.yard.at(mooring)
        near = [c for c in chosen if columns.day[c] != NONE and programme.mooring[c] == mooring]
        slots = sum(place.hulls.sum() for place in places)
        time_h = sum(place.hours.sum() for place in places)
        if kept and np.isfinite(slots) and len(near) > max(slots - kept, min(slots, 1)):
            return False
        most = np.inf if np.isfinite(slots) or not kept else max(time_h - 3.0 * kept, time_h / 2)
        if sum(columns.hours[near]) > most + 1e-9:
            return False
    return True


def later_weeks_fit(programme: Programme, chosen: list[int]) -> bool:
    setting, columns = programme.setting, programme.columns
    for mooring in ("E", "L"):
        places = setting.yard.at(mooring)
        slots = sum(place.hulls.sum() for place in places)
        time_h = sum(place.hours.sum() for place in places)
        for week in range(6):
            there = [
                c for c in chosen if columns.later[c] == week and programme.mooring[c] == mooring
            ]
            if not places:
                continue
            if np.isfinite(slots) and len(there) > max(
                slots - setting.yard.unplanned, min(slots, 1)
            ):
                return False
            if sum(columns.hours[there]) > time_h + 1e-9:
                return False
    return True


def crews_suffice(programme: Programme, chosen: list[int]) -> bool:
    """By the marriage condition: any set of moorings has the hours of all who go to one of them."""
    crews, columns = programme.setting.yard.crews, programme.columns
    if not crews:
        return True
    for at in range(len(programme.setting.horizon.days)):
        for places in ({"E"}, {"L"}, {"E", "L"}):
            need = sum(columns.hours[c] for c in chosen
                       if columns.day[c] == at and programme.mooring[c] in places)  # fmt: skip
            have = sum(crew.hours[at] for crew in crews
                       if not crew.moorings or crew.moorings & places)  # fmt: skip
            if need > have + 1e-9:
                return False
    return True


def parts_suffice(programme: Programme, chosen: list[int]) -> bool:
    stock, columns = programme.setting.stock, programme.columns
    used: Counter[tuple[str, str]] = Counter()
    for c in chosen:
        if columns.day[c] == NONE:
            continue
        option = programme.options[columns.option[c]]
        fresh = option.best.replace[columns.choice[c]]
        for part, new in zip(option.case.part_numbers, fresh, strict=True):
            if new and part is not None and stock.short(part, day(int(columns.day[c]))):
                used[part, str(programme.mooring[c])] += 1
    for part in stock.arrives:
        over = sum(
            max(used[part, place] - stock.at.get(part, {}).get(place, 0), 0) for place in ("E", "L")
        )
        if over > stock.common.get(part, 0):
            return False
    return True


def cheapest(programme: Programme) -> float:
    """Try every assignment of every hull to every one of its times."""
    columns = programme.columns
    own = [np.flatnonzero(columns.option == number) for number in range(len(programme.options))]
    cost, best = np.round(columns.cost, 2), np.inf
    tails = [sum(cost[each].min() for each in own[n:]) for n in range(len(own) + 1)]

    def go_on(number: int, chosen: list[int], spent: float) -> None:
        nonlocal best
        if spent + tails[number] >= best:
            return
        if number == len(own):
            best = spent
            return
        for column in sorted(own[number], key=lambda c: cost[c]):
            if within_capacity(programme, [*chosen, int(column)]):
                go_on(number + 1, [*chosen, int(column)], spent + cost[column])

    go_on(0, [], 0.0)
    return best


@settings(max_examples=25, deadline=None)
@given(works)
def test_no_plan_of_four_hulls_is_cheaper(work: Work) -> None:
    programme = work.programme()
    solved = solve(programme)
    chosen = [int(c) for c in solved.chosen]
    assert within_capacity(programme, chosen)
    assert Counter(programme.columns.option[chosen]) == dict.fromkeys(range(4), 1)
    spent = np.round(programme.columns.cost, 2)[chosen].sum()
    assert spent == pytest.approx(cheapest(programme), rel=2e-4, abs=0.02)


@settings(max_examples=20, deadline=None)
@given(works)
def test_no_hull_comes_out_while_it_is_booked_or_while_its_bay_is_closed(work: Work) -> None:
    bays_of = {
        mooring: [b for b in work.settings.bays if b.mooring_id == mooring] for mooring in "EL"
    }
    for job in planned(work):
        assert job.day not in work.booked[job.hull]
        own = bays_of[work.mooring[job.hull]]
        assert any(day(job.day).weekday() in bay.weekdays for bay in own)


@settings(max_examples=20, deadline=None)
@given(works, st.sampled_from(HULLS), st.integers(0, 6))
def test_a_pin_holds_or_the_plan_says_why_not(work: Work, hull: str, number: int) -> None:
    pin: date = day(number)
    pinned = Work(work.hulls, work.settings, work.mooring, work.booked, pins={hull: pin})
    programme = pinned.programme()
    solved = solve(programme)
    found = {job.hull: job.day for job in jobs(programme, solved)}
    said = say_conflict(programme, solved)
    assert (found.get(hull) == number) == (said == "")
    assert said == "" or hull in said
