"""The mixed-integer programme of a plan, solved by HiGHS through `scipy.optimize.milp`."""

from __future__ import annotations

import time
from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from corrosion.plan.columns import NONE
from corrosion.plan.rules import RULES, Programme
from corrosion.water import Codes

CLOSE_ENOUGH = 1e-4
TIME_LIMIT_S = 4.0
CENT = 100.0


@dataclass(frozen=True)
class Solved:
    """What the programme chose.

    Attributes
    ----------
    chosen : ndarray of int, columns that are taken, ascending
    gap : float, how far at most a cheaper plan could be, as a share of the cost above the best
    proven : bool, no cheaper plan exists
    seconds : float
    """

    chosen: Codes
    gap: float
    proven: bool
    seconds: float


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
    count, variables = programme.columns.count, programme.variables
    if not count:
        return Solved(np.empty(0, dtype=np.intp), 0.0, True, 0.0)
    cost = np.zeros(variables)
    cost[:count] = np.round(CENT * programme.columns.cost)  # to the cent: noise decides nothing
    high = np.ones(variables)
    high[count:] = np.inf
    found = milp(
        cost,
        integrality=np.where(np.arange(variables) < count, 1, 0),
        bounds=Bounds(np.zeros(variables), high),
        constraints=_constraints(programme, without),
        options={"mip_rel_gap": gap, "time_limit": time_limit_s},
    )
    seconds = time.perf_counter() - begun
    if found.x is None:
        return Solved(_nobody(programme), 1.0, False, seconds)
    chosen = np.flatnonzero(np.round(found.x[:count]) == 1)
    left = float(found.mip_gap) if found.mip_gap is not None else 0.0
    left = min(max(left, 0.0), 1.0)
    return Solved(chosen, left, found.status == 0 and left <= CLOSE_ENOUGH, seconds)


def _constraints(programme: Programme, without: Collection[str]) -> list[LinearConstraint]:
    found = []
    for name, rule in RULES.items():
        rows = rule(programme) if name not in without else None
        if rows is not None and rows.low:
            matrix = rows.matrix(programme.variables).tocsr()
            found.append(LinearConstraint(matrix, np.array(rows.low), np.array(rows.high)))
    return found


def _nobody(programme: Programme) -> Codes:
    """Return the plan that pulls nobody, for want of a better one within the time."""
    columns = programme.columns
    stays = (columns.day == NONE) & (columns.later == NONE)
    return np.flatnonzero(stays)
