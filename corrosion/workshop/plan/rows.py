"""Rows of a linear programme while they are written down, and the cheapest choice under them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from corrosion.common import Codes, Floats
from corrosion.workshop.plan.silent_solver import nothing_printed

SOLVED = 1e-4
"""Share of the cost that HiGHS leaves open where it says that nothing cheaper exists."""


@dataclass
class Rows:
    """Rows of a linear programme while they are written down: low <= coefficients @ x <= high."""

    row: list[int] = field(default_factory=list)
    column: list[int] = field(default_factory=list)
    value: list[float] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)

    def add(self, columns: Iterable[int], values: Iterable[float], low: float, high: float) -> None:
        """Write one more row."""
        columns, values = list(columns), list(values)
        self.row += [len(self.low)] * len(columns)
        self.column += columns
        self.value += values
        self.low.append(low)
        self.high.append(high)

    def matrix(self, columns: int) -> coo_array:
        """Return the coefficients, shape (rows, columns)."""
        return coo_array((self.value, (self.row, self.column)), shape=(len(self.low), columns))

    def add_count(self, columns: Codes, low: float, high: float) -> None:
        """Write one more row: so many of some choices are taken."""
        self.add(columns, np.ones(columns.size), low, high)

    def add_below(self, more: Rows, offset: int) -> None:
        """Write rows below that were written over choices of their own, the first at `offset`."""
        self.row += [len(self.low) + row for row in more.row]
        self.column += [offset + column for column in more.column]
        self.value += more.value
        self.low += more.low
        self.high += more.high


Chosen = tuple[Codes, float]
"""Which choices are taken, ascending, and how much cheaper others could be at most."""


@dataclass(frozen=True)
class Answered:
    """Programmes that were solved to the end, by their whole content, within one planning.

    Most rounds ask most of the days again, word for word; the same answer need not be found twice.
    One that ran out of time is not kept: asked again, it may come to more.
    """

    _known: dict[tuple[bytes, ...], Chosen] = field(default_factory=dict)

    def cheapest(self, cost: Floats, rows: Rows, time_limit_s: float) -> Chosen | None:
        """Answer as the function `cheapest` does; at once, where it was asked before."""
        parts = (rows.row, rows.column, rows.value, rows.low, rows.high)
        content = (cost.tobytes(), *(np.asarray(part, dtype=float).tobytes() for part in parts))
        if content in self._known:
            return self._known[content]
        answer = cheapest(cost, rows, time_limit_s)
        if answer is not None and answer[1] <= SOLVED:
            self._known[content] = answer
        return answer


def cheapest(cost: Floats, rows: Rows, time_limit_s: float) -> Chosen | None:
    """Take the cheapest of choices that are taken or not, under some rows.

    Parameters
    ----------
    cost : ndarray, shape (n,), currency
    rows : Rows, over the n choices
    time_limit_s : float, s

    Returns
    -------
    tuple of ndarray of int and float, or None
        The choices that are taken, ascending, and how much cheaper others could be at most (share
        of the cost); None where nothing was found in time.
    """
    with nothing_printed():
        solved = milp(
            cost, integrality=np.ones(cost.size, dtype=np.intp), bounds=Bounds(0, 1),
            constraints=LinearConstraint(rows.matrix(cost.size), rows.low, rows.high),
            options={"time_limit": time_limit_s},
        )  # fmt: skip
    if solved.x is None:
        return None
    return np.flatnonzero(np.round(solved.x) == 1), float(solved.mip_gap or 0.0)
