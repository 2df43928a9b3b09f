"""The mixed-integer programme of a plan, solved by HiGHS through `scipy.optimize.milp`."""

from __future__ import annotations

import time
from collections.abc import Collection
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array, csr_array, vstack
from scipy.sparse.csgraph import connected_components

from corrosion.common import Codes, Floats
from corrosion.workshop.plan.options import NONE
from corrosion.workshop.plan.programme import Programme
from corrosion.workshop.plan.rules import RULES
from corrosion.workshop.plan.silent_solver import nothing_printed

CLOSE_ENOUGH = 1e-4
TIME_LIMIT_S = 3.0
LEAST_TIME_S = 0.3
SURE = 1e-6
AROUND_DAYS = 3
CENTS = 2


@dataclass(frozen=True)
class Solved:
    """What the programme chose.

    Attributes
    ----------
    chosen : ndarray of int, columns that are taken, ascending
    chosen_extra : ndarray of int, yes-or-no variables beyond the columns that are taken
    gap : float, how far at most a cheaper plan could be, as a share of the cost above the best
    proven : bool, no cheaper plan exists
    seconds : float
    """

    chosen: Codes
    gap: float
    proven: bool
    seconds: float
    chosen_extra: Codes = field(default_factory=lambda: np.empty(0, dtype=np.intp))


def solve(
    programme: Programme,
    without: Collection[str] = (),
    *,
    gap: float = CLOSE_ENOUGH,
    time_limit_s: float = TIME_LIMIT_S,
) -> Solved:
    """Choose the cheapest plan that keeps every rule.

    Parameters
    ----------
    programme : Programme
    without : names of rules (keys of `RULES`) to leave out
    gap : float, stop where a cheaper plan could be cheaper by this share at most
    time_limit_s : float, s

    Returns
    -------
    Solved
    """
    begun = time.perf_counter()
    count = programme.columns.count
    if not count:
        return Solved(np.empty(0, dtype=np.intp), 0.0, True, 0.0)
    whole = _whole(programme, without)
    parts = sorted(_apart(whole.matrix), key=len)
    values, best, least = np.zeros(programme.variables), 0.0, 0.0
    for number, part in enumerate(parts):
        left = time_limit_s - (time.perf_counter() - begun)
        part_answer = _solve_part(whole, part, gap, max(left, LEAST_TIME_S) / (len(parts) - number))
        if part_answer is None:
            return Solved(_pulls_nobody(programme), 1.0, False, time.perf_counter() - begun)
        values[part] = part_answer.values
        best, least = best + part_answer.cost, least + part_answer.least
    between = max(best - least, 0.0) / max(best, 1.0)
    chosen = np.flatnonzero(np.round(values[:count]) == 1)
    more = count + np.flatnonzero(
        (np.round(values[count:]) == 1) & programme.yes_or_no[count:]
    ).astype(np.intp)  # fmt: skip
    took = time.perf_counter() - begun
    return Solved(chosen, between, between <= CLOSE_ENOUGH, took, more)


@dataclass(frozen=True)
class _Whole:
    """All rows of a programme: low <= matrix @ x <= high, n variables."""

    matrix: csr_array
    low: Floats
    high: Floats
    cost: Floats
    whole: Codes
    most: Floats
    hull: Codes
    day: Codes


def _whole(programme: Programme, without: Collection[str]) -> _Whole:
    count, variables = programme.columns.count, programme.variables
    rows = [rule(programme) for name, rule in RULES.items() if name not in without]
    rows = [each for each in rows if each.low]
    cost = np.round(programme.costs, CENTS)  # noise decides nothing
    most = np.where(programme.yes_or_no, 1.0, np.inf)
    hull, day = np.full(variables, NONE), np.full(variables, NONE)
    hull[:count], day[:count] = programme.columns.option, programme.columns.day
    return _Whole(
        csr_array(vstack([each.matrix(variables) for each in rows])),
        np.concatenate([each.low for each in rows]),
        np.concatenate([each.high for each in rows]),
        cost,
        programme.yes_or_no.astype(np.intp),
        most,
        hull,
        day,
    )


def _apart(matrix: csr_array) -> list[Codes]:
    """Split the variables where no rule ties them together, such as moorings that share nothing."""
    rows, variables = matrix.shape
    joint = coo_array(matrix)
    graph = coo_array(
        (np.ones(joint.nnz), (joint.row, rows + joint.col)), shape=(rows + variables,) * 2
    )
    label = connected_components(graph, directed=False)[1][rows:]
    order = np.argsort(label, kind="stable")
    return np.split(order, np.flatnonzero(np.diff(label[order])) + 1)


@dataclass(frozen=True)
class _Found:
    """A choice of values, what it costs, and what no choice can cost less than."""

    values: Floats
    cost: float
    least: float


def _solve_part(whole: _Whole, part: Codes, gap: float, time_limit_s: float) -> _Found | None:
    """Solve one part; None where nothing was found in time.

    First without whole numbers, which is quick; then in whole numbers on the days around those.
    That is often the best there is, and always a plan to fall back upon; only where it cannot be
    shown to be close enough is the whole programme gone through.
    """
    begun, high = time.perf_counter(), whole.most[part]
    relaxed = _milp(whole, part, high, 0.0, time_limit_s, whole_numbers=False)
    if relaxed is None:
        return _milp(whole, part, high, gap, time_limit_s)
    around = np.where(_around(whole, part, relaxed.values), high, 0.0)
    near = _milp(whole, part, around, gap, max(time_limit_s / 2, LEAST_TIME_S))
    if near is not None and near.cost - relaxed.cost <= gap * max(near.cost, 1.0):
        return _Found(near.values, near.cost, relaxed.cost)
    left = max(time_limit_s - (time.perf_counter() - begun), LEAST_TIME_S)
    full = _milp(whole, part, high, gap, left)
    answers = [each for each in (near, full) if each is not None]
    if not answers:
        return None
    best = min(answers, key=lambda each: each.cost)
    least = relaxed.cost if full is None else max(relaxed.cost, full.least)
    return _Found(best.values, best.cost, least)


def _around(whole: _Whole, part: Codes, values: Floats) -> npt.NDArray[np.bool_]:
    """Say which choices lie within a few days of what was chosen, and all that are no days."""
    hull, day = whole.hull[part], whole.day[part]
    open_columns: npt.NDArray[np.bool_] = day == NONE
    for at in np.flatnonzero((values > SURE) & (day != NONE)):
        open_columns |= (hull == hull[at]) & (np.abs(day - day[at]) <= AROUND_DAYS)
    return open_columns


def _milp(
    whole: _Whole, part: Codes, high: Floats, gap: float, time_limit_s: float, *,
    whole_numbers: bool = True,
) -> _Found | None:  # fmt: skip
    matrix = whole.matrix[:, part]
    rows = np.flatnonzero(np.diff(matrix.indptr))
    with nothing_printed():
        result = milp(
            whole.cost[part],
            integrality=whole.whole[part] if whole_numbers else None,
            bounds=Bounds(np.zeros(part.size), high),
            constraints=LinearConstraint(matrix[rows], whole.low[rows], whole.high[rows]),
            options={"mip_rel_gap": gap, "time_limit": time_limit_s},
        )
    if result.x is None:
        return None
    bound = result.fun if result.mip_dual_bound is None else min(result.mip_dual_bound, result.fun)
    return _Found(np.asarray(result.x), float(result.fun), float(bound))


def _pulls_nobody(programme: Programme) -> Codes:
    """Return the plan that pulls nobody, for want of a better one within the time."""
    columns = programme.columns
    stays = (columns.day == NONE) & (columns.later == NONE)
    return np.flatnonzero(stays)
