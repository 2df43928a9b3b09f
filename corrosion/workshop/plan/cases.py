"""One hull as a case to be decided: its anodes, what they cost, and when each is due by itself.

What a pull-out is worth is judged over the long run. Whatever is renewed (the haul, the access to a
group, the anode) comes round again after a typical time, so a day by which its next turn is put off
is worth its cost over that time. Pulling early throws that away; pulling late risks an anode past
its limit.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
import numpy.typing as npt
import pandas as pd

from corrosion.common import Codes, Floats
from corrosion.workshop.plan.prices import MEASURE_MINUTES, Prices
from corrosion.workshop.plan.prospects import LEAST_LIFE_DAYS, Prospects

Flags = npt.NDArray[np.bool_]
ALL_SUBSETS_UP_TO = 7
LEAST_LEVEL = 1e-3


@dataclass(frozen=True)
class Case:
    """One hull, its k anodes in access order, in g groups that share dismantling.

    Attributes
    ----------
    hull_id : str
    rows : ndarray of int, shape (k,), rows of `Prospects`
    group : ndarray of int, shape (k,)
    outside : bool ndarray, shape (k,), wetted by the water the hull lies in: in sight once hauled
    late : ndarray, shape (k,), currency a day past the limit
    part, seal, swap_h : ndarray, shape (k,), currency, currency, h
    access_h : ndarray, shape (g,), h
    haul_h, wage, hire : float, h, currency per h, usual hire lost in a day (currency)
    part_numbers : tuple of str or None, shape (k,)
    due : ndarray, shape (k,), days ahead on which it would be worth a visit by itself
    mid : ndarray, shape (k,), days ahead on which it is expected at its limit
    level : ndarray, shape (k,), chance of being at the limit at which it is due
    ready : ndarray, shape (k,), days ahead from which a scarce part is there, 0 of others
    overdue : float, currency a day for what is left behind past the tolerated risk, by its chance
    unit_rate, group_rate, visit_rate : what a day's delay of its next turn saves, currency
    """

    hull_id: str
    rows: Codes
    group: Codes
    outside: Flags
    late: Floats
    part: Floats
    seal: Floats
    swap_h: Floats
    access_h: Floats
    haul_h: float
    wage: float
    hire: float
    part_numbers: tuple[str | None, ...]
    due: Floats
    mid: Floats
    level: Floats
    ready: Floats
    overdue: float
    unit_rate: Floats
    group_rate: Floats
    visit_rate: float

    @property
    def unit(self) -> Floats:
        """Return what one new anode costs with its seal and the time to swap it, shape (k,)."""
        return self.part + self.seal + self.wage * self.swap_h

    @property
    def visit(self) -> float:
        """Return what a visit costs before any anode is touched: haul, and hire usually lost."""
        return self.wage * self.haul_h + self.hire

    def opened(self, replace: Flags) -> Flags:
        """Return which groups are opened, shape (s, g), for choices of shape (s, k)."""
        groups = np.arange(self.access_h.size)
        return np.asarray((replace[:, :, None] & (self.group[:, None] == groups)).any(axis=1))

    def measured(self, replace: Flags) -> Flags:
        """Return which anodes are in reach and stay: they are measured, shape (s, k)."""
        return ~replace & (self.opened(replace)[:, self.group] | self.outside)

    def hours(self, replace: Flags) -> Floats:
        """Return the work of each choice, h, shape (s,)."""
        seen = self.measured(replace).sum(axis=1) * MEASURE_MINUTES / 60.0
        swaps, access = replace @ self.swap_h, self.opened(replace) @ self.access_h
        return np.asarray(self.haul_h + access + swaps + seen)

    def materials(self, replace: Flags) -> Floats:
        """Return parts and seals of each choice, currency; a measured anode takes a new seal."""
        return np.asarray(replace @ self.part + (replace | self.measured(replace)) @ self.seal)


def build_case(
    hull_id: str, rows: Codes, ahead: Prospects, prices: Prices, hire: float,
    tolerated_risk: float, ready: Floats, extra_h: float = 0.0,
) -> Case:  # fmt: skip
    """Lay one hull out as a case.

    Parameters
    ----------
    hull_id : str
    rows : ndarray of int, its rows of `ahead`
    ahead : Prospects
    prices : Prices
    hire : float, hire usually lost in a day, currency
    tolerated_risk : float
    ready : ndarray, days ahead from which each part is sure to be there, row-aligned with `rows`
    extra_h : float, time to look at positions that nobody ever saw, h

    Returns
    -------
    Case
    """
    cells = ahead.cells
    codes = pd.factorize(cells["access_group"][rows])[0]
    access = np.zeros(codes.max() + 1)
    np.maximum.at(access, codes, cells["access_minutes"][rows] / 60.0)
    late = cells["late_cost"][rows] / prices.late_days
    part, seal, swap_h = (cells[name][rows] for name in ("part_cost", "seal_cost", "swap_h"))
    unit = part + seal + prices.wage * swap_h
    visit = prices.wage * prices.haul_hours + hire
    shares = _Shares(ahead, rows, codes, unit, prices.wage * access, visit)
    level = np.full(len(rows), tolerated_risk)
    for _ in range(2):
        unit_rate, group_rate, visit_rate = shares.rates(level)
        waits = unit_rate + group_rate[codes] + visit_rate
        level = np.clip(waits / np.maximum(late, 1e-9), LEAST_LEVEL, tolerated_risk)
    return Case(
        hull_id, rows, codes.astype(np.intp), cells["circuit"][rows] == "hull",
        late, part, seal, swap_h, access, prices.haul_hours + extra_h, prices.wage, hire,
        tuple(cells["part_number"][rows]),
        np.array([ahead.when_chance(row, q) for row, q in zip(rows, level, strict=True)]),
        np.array([float(ahead.when_worn(row, 1.0)) for row in rows]),
        level, ready, prices.overdue, *shares.rates(level),
    )  # fmt: skip


@dataclass(frozen=True)
class _Shares:
    """Costs of one hull that come round again: anodes, groups, the visit."""

    ahead: Prospects
    rows: Codes
    group: Codes
    unit: Floats
    access: Floats
    visit: float

    def rates(self, level: Floats) -> tuple[Floats, Floats, float]:
        """Return each cost over the time after which it comes round again, currency a day."""
        now = np.zeros(1)
        lives = [
            float(self.ahead.new_lasts_until(row, now, q)[0])
            for row, q in zip(self.rows, level, strict=True)
        ]
        middle = [float(self.ahead.new_lasts_until(row, now)[0]) for row in self.rows]
        turn = np.maximum(lives, LEAST_LIFE_DAYS)
        groups = np.array([turn[self.group == g].min() for g in range(self.access.size)])
        return self.unit / np.array(middle), self.access / groups, self.visit / float(turn.min())


def choices(case: Case) -> Flags:
    """Return the choices of anodes to replace worth weighing, shape (s, k).

    Every choice up to seven anodes; beyond, the first to be due, alone and with all that shares
    their dismantling.
    """
    count = case.rows.size
    if count <= ALL_SUBSETS_UP_TO:
        return np.array(list(product((False, True), repeat=count)), dtype=bool)
    order = np.argsort(case.due, kind="stable")
    rank = np.empty(count, dtype=np.intp)
    rank[order] = np.arange(count)
    first = rank[None, :] < np.arange(count + 1)[:, None]
    shared = case.opened(first)[:, case.group]
    return np.asarray(np.unique(np.concatenate([first, shared]), axis=0))
