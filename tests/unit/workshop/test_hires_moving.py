"""Hires that move: laws of the assignment, and that none of a few hulls is cheaper."""

from __future__ import annotations

from itertools import product

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.workshop.plan.hires.book import HireBook, HireTerms
from corrosion.workshop.plan.hires.half_hours import start_times
from corrosion.workshop.plan.hires.moving import CANCELLED, Closed, Moved, move_hires
from corrosion.workshop.plan.hires.releasing import free_a_window, price_releases, stopped_until
from corrosion.workshop.plan.hires.visits import Visit

MOVE, TURN = 10.0, 0.5


def book_of(
    hires: list[tuple[int, float, float]], hulls: int, *, reserve: int = 0, may_move: bool = True,
    fixed: tuple[int, ...] = (), takes: tuple[bool, ...] | None = None,
    hour_cost: tuple[float, ...] | None = None,
) -> HireBook:  # fmt: skip
    """Lay out a book of hires (hull, from, to) of one kind at one mooring, all dear to cancel."""
    order = sorted(hires, key=lambda hire: hire[1])
    count = len(order)
    return HireBook(
        pd.Index([f"H{n}" for n in range(hulls)]), np.full(hulls, "E\nkind", dtype=object),
        np.full(hulls, "E", dtype=object), np.full(hulls, "kind", dtype=object),
        np.array(takes if takes is not None else [True] * hulls),
        np.array(hour_cost if hour_cost is not None else [0.0] * hulls),
        np.array([h for h, _, _ in order], np.intp), np.array([a for _, a, _ in order], float),
        np.array([b for _, _, b in order], float), np.isin(np.arange(count), fixed),
        np.full(count, 150.0), np.full(count, 2.0), np.arange(count, dtype=np.intp), -1.0,
        HireTerms(may_move, MOVE, 1.5, TURN, ()), np.full(hulls, reserve, np.intp),
    )  # fmt: skip


def cost_of(book: HireBook, to: np.ndarray) -> float:
    moved = (to != book.hull) & (to != CANCELLED)
    return float(book.cancel[to == CANCELLED].sum() + MOVE * moved.sum())


def broken(book: HireBook, closed: list[Closed], to: np.ndarray) -> str:
    """Say which rule an assignment breaks; empty where it breaks none."""
    for a in range(to.size):
        if to[a] == CANCELLED:
            continue
        if to[a] != book.hull[a] and (book.fixed[a] or not book.takes[to[a]]):
            return "a hire went where it may not"
        for each in closed:
            turn = TURN if each.visit else 0.0
            ends = book.end_h[a] + turn
            if each.hull == to[a] and each.start_h < ends and each.end_h + turn > book.start_h[a]:
                return "a hull sails while it is in the bay or stopped"
        for b in range(a + 1, to.size):
            apart = book.start_h[b] >= book.end_h[a] + TURN or (
                book.start_h[a] >= book.end_h[b] + TURN
            )
            if to[b] == to[a] and not apart:
                return "two hires at once on a hull"
    return ""


@st.composite
def yards(draw: st.DrawFn) -> tuple[HireBook, list[Closed]]:
    """Draw hulls with hires that do not overlap on a hull, and a visit or a stop."""
    hulls = draw(st.integers(2, 4))
    hires: list[tuple[int, float, float]] = []
    for hull in range(hulls):
        at = 8.0
        for _ in range(draw(st.integers(0, 3))):
            at += draw(st.sampled_from([0.5, 1.0, 2.0]))
            length = draw(st.sampled_from([1.0, 2.0]))
            hires.append((hull, at, at + length))
            at += length
    begins = draw(st.sampled_from([8.0, 9.5, 11.0, 13.0]))
    closed = [Closed(0, begins, begins + draw(st.sampled_from([1.5, 3.0])), True)]
    if draw(st.booleans()):
        closed.append(Closed(1, -1.0, np.inf, False))
    fixed = tuple(draw(st.sets(st.integers(0, max(len(hires) - 1, 0)), max_size=1)))
    return book_of(hires, hulls, fixed=fixed, reserve=draw(st.integers(0, 1))), closed


@settings(max_examples=40, deadline=None)
@given(yards())
def test_no_hire_overlaps_and_no_closed_hull_sails(drawn: tuple[HireBook, list[Closed]]) -> None:
    book, closed = drawn
    to = move_hires(book, closed).to
    assert to.shape == book.hull.shape
    assert broken(book, closed, to) == ""


@settings(max_examples=40, deadline=None)
@given(yards())
def test_the_reserve_is_never_given_away_where_the_book_had_kept_it(
    drawn: tuple[HireBook, list[Closed]],
) -> None:
    book, closed = drawn
    to, hulls, reserve = move_hires(book, closed).to, len(book.hull_ids), int(book.reserve[0])
    changed = to != book.hull
    for moment in np.unique(book.start_h):
        at_sea = (book.start_h <= moment) & (book.end_h > moment)
        if not changed[at_sea].any() or at_sea.sum() > hulls - reserve:
            continue  # nothing was decided then, or the desk had given it away before
        out = {each.hull for each in closed if each.start_h <= moment < each.end_h}
        could_stay = sum(
            not any(
                each.hull == book.hull[n]
                and each.start_h < book.end_h[n] + TURN * each.visit
                and each.end_h + TURN * each.visit > book.start_h[n]
                for each in closed
            )
            for n in np.flatnonzero(at_sea)
        )
        most = max(hulls - len(out) - reserve, could_stay)
        assert (at_sea & (to != CANCELLED)).sum() <= most


def test_no_hire_that_can_stay_is_called_off_to_keep_the_reserve() -> None:
    # one hull in the bay, one stopped, one to be kept free: the third keeps its own hire
    book = book_of([(2, 9.0, 11.0)], 3, reserve=1)
    closed = [Closed(0, 8.0, 12.0, True), Closed(1, -1.0, np.inf, False)]
    assert move_hires(book, closed).to.tolist() == [2]
    busy = book_of([(0, 9.0, 11.0), (2, 9.0, 11.0)], 3, reserve=1)
    assert move_hires(busy, closed).to.tolist() == [CANCELLED, 2]


def cheapest(book: HireBook, closed: list[Closed]) -> float:
    """Try every assignment, without a reserve."""
    best = np.inf
    hulls = len(book.hull_ids)
    for choice in product((CANCELLED, *range(hulls)), repeat=book.hull.size):
        to = np.array(choice, dtype=np.intp)
        if cost_of(book, to) < best and not broken(book, closed, to):
            best = cost_of(book, to)
    return best


@pytest.mark.parametrize("seed", range(12))
def test_no_assignment_of_four_hulls_and_six_hires_is_cheaper(seed: int) -> None:
    draw = np.random.default_rng(seed)
    hires = []
    for hull in range(4):
        at = 8.0
        for _ in range(int(draw.integers(1, 3)) if len(hires) < 5 else 0):
            at += 0.5 * float(draw.integers(1, 5))
            hires.append((hull, at, at + 2.0))
            at += 2.0
    book = book_of(hires[:6], 4, fixed=(0,))
    closed = [Closed(int(draw.integers(4)), 9.0, 12.0, True)]
    moved = move_hires(book, closed)
    assert moved.proven
    assert broken(book, closed, moved.to) == ""
    assert cost_of(book, moved.to) == pytest.approx(cheapest(book, closed))


def test_a_hire_moves_along_a_chain_where_no_sister_is_free_for_it_at_once() -> None:
    # H1 is out from 11 to 13; H2 is free then: H1's hire goes to H2, H0's to H1
    book = book_of([(0, 9.0, 11.0), (1, 11.0, 13.0), (2, 8.0, 10.0)], 3, takes=(True, True, True))
    to = move_hires(book, [Closed(0, 8.0, 12.0, True)]).to
    assert CANCELLED not in to
    assert broken(book, [Closed(0, 8.0, 12.0, True)], to) == ""


def test_a_promised_hull_keeps_its_hire_or_the_hire_is_cancelled() -> None:
    book = book_of([(0, 9.0, 11.0)], 2, fixed=(0,))
    assert move_hires(book, [Closed(0, 8.0, 12.0, True)]).to.tolist() == [CANCELLED]


def test_where_hires_may_not_move_they_are_cancelled() -> None:
    book = book_of([(0, 9.0, 11.0)], 2, may_move=False)
    assert move_hires(book, [Closed(0, 8.0, 12.0, True)]).to.tolist() == [CANCELLED]


def test_the_reserve_is_kept_free() -> None:
    # two hulls, one in the bay, one kept free: nobody can take the hire
    book = book_of([(0, 9.0, 11.0)], 2, reserve=1)
    assert move_hires(book, [Closed(0, 8.0, 12.0, True)]).to.tolist() == [CANCELLED]


def test_a_hire_goes_to_the_sister_that_can_afford_the_hours() -> None:
    book = book_of([(0, 9.0, 11.0)], 3, hour_cost=(0.0, 3.0, 1.0))
    assert move_hires(book, [Closed(0, 8.0, 12.0, True)]).to.tolist() == [2]


def test_a_stopped_hull_has_no_hire_until_its_visit_ends() -> None:
    book = book_of([(0, 9.0, 11.0), (0, 33.0, 35.0)], 2)
    to = move_hires(book, [Closed(0, -1.0, 30.0, True)]).to
    assert to.tolist() == [1, 0]


def test_hires_far_from_any_closed_hull_stay() -> None:
    hires = [(n, 24.0 * d + 9.0, 24.0 * d + 11.0) for d in range(10) for n in range(3)]
    book = book_of(hires, 4)
    moved = move_hires(book, [Closed(1, 24.0 * 4 + 8.0, 24.0 * 4 + 12.0, True)])
    changed = np.flatnonzero(moved.to != book.hull)
    assert [float(book.start_h[n]) for n in changed] == [24.0 * 4 + 9.0]
    assert isinstance(moved, Moved)


def test_a_visit_that_fits_between_two_hires_displaces_none() -> None:
    releases = price_releases(book_of([(0, 8.0, 10.0), (0, 14.0, 16.0)], 1))
    freed = free_a_window(releases, 0, 8.0, 17.0, 3.0)
    assert (freed.start_h, freed.cost) == (10.5, 0.0)
    assert free_a_window(releases, 0, 8.0, 17.0, 3.5).cost > 0.0


def test_freeing_a_hull_costs_a_move_where_a_sister_is_free_else_the_hire() -> None:
    alone = price_releases(book_of([(0, 8.0, 17.0)], 1))
    sister = price_releases(book_of([(0, 8.0, 17.0)], 2))
    assert free_a_window(alone, 0, 8.0, 17.0, 2.0).cost == 150.0
    assert free_a_window(sister, 0, 8.0, 17.0, 2.0).cost == MOVE
    assert stopped_until(sister, 0, 100.0) == MOVE
    assert stopped_until(sister, 0, 8.0) == 0.0


def test_no_start_where_the_work_is_longer_than_the_bay_is_open() -> None:
    releases = price_releases(book_of([], 1))
    assert free_a_window(releases, 0, 8.0, 10.0, 3.0).cost == np.inf


@settings(max_examples=40, deadline=None)
@given(st.lists(st.sampled_from([1.0, 1.4, 2.5]), min_size=1, max_size=3), st.integers(1, 2))
def test_visits_of_a_bay_follow_one_another_within_its_hours(work: list[float], bays: int) -> None:
    releases = price_releases(book_of([(0, 10.0, 12.0)], len(work)))
    visits = [Visit(n, n % bays, hours, 8.0, 17.0) for n, hours in enumerate(work)]
    starts = start_times(visits, releases, np.inf)
    for n, visit in enumerate(visits):
        assert 8.0 <= starts[n] <= 17.0 - visit.work_h + 1e-9
        assert starts[n] * 2 == pytest.approx(round(starts[n] * 2))
        for m in range(n):
            if visits[m].bay == visit.bay:
                first, last = sorted((n, m), key=lambda k: starts[k])
                assert starts[first] + visits[first].work_h <= starts[last] + 1e-9
    assert not 8.5 < starts[0] + visits[0].work_h + TURN - 10.0 < 4.0  # the hire is not displaced


def test_one_mechanic_does_one_visit_at_a_time() -> None:
    releases = price_releases(book_of([], 2))
    visits = [Visit(0, 0, 2.0, 8.0, 17.0), Visit(1, 1, 2.0, 8.0, 17.0)]
    alone, two = start_times(visits, releases, 1.0), start_times(visits, releases, 2.0)
    assert sorted(two.tolist()) == [8.0, 8.0]
    assert sorted(alone.tolist()) == [8.0, 10.0]
