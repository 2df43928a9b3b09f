"""No plan of four hulls is cheaper, none breaks a rule: laws, by brute force."""

from __future__ import annotations

from collections import Counter
from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.records.settings import Mechanic, Settings
from corrosion.workshop.plan.conflict import say_conflict
from corrosion.workshop.plan.options import NONE
from corrosion.workshop.plan.programme import Programme
from corrosion.workshop.plan.solving import solve
from tests.plan_cases import Anode, Work, day
from tests.unit.workshop.planned_jobs import bays, jobs, planned

pytestmark = pytest.mark.slow

WORKDAYS = (0, 1, 2, 3, 4)
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
            key = (int(columns.bay[c]), int(columns.day[c]))
            hulls[key] += 1
            hours[key] += float(columns.hours[c])
    for (bay, at), count in hulls.items():  # type: ignore[misc]
        capacity = setting.yard.bays[bay]
        if count > capacity.hulls[at] or hours[bay, at] > capacity.hours[at] + 1e-9:
            return False
    return (
        slots_kept(programme, chosen)
        and later_weeks_fit(programme, chosen)
        and crews_suffice(programme, chosen)
        and parts_suffice(programme, chosen)
    )


def slots_kept(programme: Programme, chosen: list[int]) -> bool:
    setting, columns = programme.setting, programme.columns
    reserve = setting.yard.unplanned
    for mooring in ("E", "L"):
        places = setting.yard.at(mooring)
        near = [c for c in chosen if columns.day[c] != NONE and programme.mooring[c] == mooring]
        slots = sum(bay.hulls.sum() for bay in places)
        time_h = sum(bay.hours.sum() for bay in places)
        if reserve and np.isfinite(slots) and len(near) > max(slots - reserve, min(slots, 1)):
            return False
        most = (
            np.inf if np.isfinite(slots) or not reserve else max(time_h - 3.0 * reserve, time_h / 2)
        )
        if sum(columns.hours[near]) > most + 1e-9:
            return False
    return True


def later_weeks_fit(programme: Programme, chosen: list[int]) -> bool:
    setting, columns = programme.setting, programme.columns
    for mooring in ("E", "L"):
        places = setting.yard.at(mooring)
        slots = sum(bay.hulls.sum() for bay in places)
        time_h = sum(bay.hours.sum() for bay in places)
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
            max(used[part, mooring] - stock.at.get(part, {}).get(mooring, 0), 0)
            for mooring in ("E", "L")
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
    days = {job.hull: job.day for job in jobs(programme, solved)}
    conflict = say_conflict(programme, solved)
    assert (days.get(hull) == number) == (conflict == "")
    assert conflict == "" or hull in conflict
