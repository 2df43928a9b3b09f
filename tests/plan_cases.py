"""Small yards for tests of the plan: hulls that wear at a steady pace, bays, hires, parts.

Nothing is fitted here: each anode is said by its worn share now and the days it still lasts. Days
count from Monday 2031-06-02, 00:00 UTC, where the horizon begins.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd
from scipy.special import ndtr

from corrosion.forecast.usage_forecast import day_grid
from corrosion.records.settings import Settings
from corrosion.workshop.plan.away import Away
from corrosion.workshop.plan.cases import build_case
from corrosion.workshop.plan.columns import lay_out_columns
from corrosion.workshop.plan.hire import LostHire
from corrosion.workshop.plan.horizon import Horizon, lay_out_days
from corrosion.workshop.plan.making import _overdue, when_parts_are_there
from corrosion.workshop.plan.options import Option, Setting, weigh_hull
from corrosion.workshop.plan.prices import Prices, read_prices
from corrosion.workshop.plan.programme import Programme, lay_out_programme
from corrosion.workshop.plan.prospects import Prospects, added_up
from corrosion.workshop.plan.stock import count_stock
from corrosion.workshop.plan.yard import bays_of, lay_out_yard, open_weekdays

ON = pd.Timestamp("2031-06-02", tz="UTC")
MONDAY = date(2031, 6, 2)
GRID = day_grid(7)


@dataclass(frozen=True)
class Anode:
    """An anode: worn share now, days until it is expected at its limit, how unsure that is."""

    days_left: float
    worn: float = 0.5
    sd: float = 0.05
    position: str = "pencil"
    group: str = "end"
    part: str | None = None
    late_cost: float = 3000.0
    circuit: str = "engine"


@dataclass
class Work:
    """A yard in the making: hull_id to anodes, and what keeps hulls away."""

    hulls: dict[str, Sequence[Anode]]
    settings: Settings = field(default_factory=Settings)
    mooring: Mapping[str, str] = field(default_factory=dict)
    booked: Mapping[str, Sequence[int]] = field(default_factory=dict)
    skipped: Mapping[str, Sequence[int]] = field(default_factory=dict)
    pins: Mapping[str, date] = field(default_factory=dict)
    hire: Mapping[str, Sequence[float]] = field(default_factory=dict)
    weeks: int = 1
    windows: pd.DataFrame | None = None
    moves: pd.DataFrame | None = None

    def prices(self) -> Prices:
        rows = [
            {
                "layout": hull, "position": a.position, "circuit": a.circuit,
                "access_group": a.group, "access_minutes": 30.0, "swap_minutes": 15.0,
                "part_cost": 20.0, "seal_cost": 2.0, "late_cost": a.late_cost,
                "part_number": a.part,
            }
            for hull, anodes in self.hulls.items() for a in anodes
        ]  # fmt: skip
        return read_prices(self.settings, pd.DataFrame(rows))

    def horizon(self) -> Horizon:
        bays = bays_of(self.settings, self._moorings())
        return lay_out_days(ON, self.settings.timezone, open_weekdays(bays), MONDAY, self.weeks)

    def _moorings(self) -> set[str]:
        return {self.mooring.get(hull, "E") for hull in self.hulls}

    def setting(self) -> Setting:
        horizon, hull_ids = self.horizon(), pd.Index(sorted(self.hulls))
        bays = bays_of(self.settings, self._moorings())
        windows = pd.DataFrame(
            {n: pd.Series(dtype="datetime64[us, UTC]") for n in ("opens", "closes")}
        )
        windows = windows.assign(mooring_id=pd.Series(dtype=object))
        yard = lay_out_yard(
            self.settings, bays, windows if self.windows is None else self.windows, horizon
        )
        moves = pd.DataFrame({"part_number": [], "mooring_id": [], "pieces": []})
        shape = (len(hull_ids), len(horizon.days))
        hire = np.zeros(shape)
        for row, hull in enumerate(hull_ids):
            hire[row] = self.hire.get(hull, np.zeros(shape[1]))
        mooring = np.array([[self.mooring.get(h, "E")] * shape[1] for h in hull_ids], dtype=object)
        away = Away(
            hull_ids, self._days(self.booked, shape), np.zeros(shape, bool),
            self._days(self.skipped, shape), np.zeros(shape, bool), mooring, dict(self.pins), {},
        )  # fmt: skip
        stock = count_stock(self.settings, moves if self.moves is None else self.moves, horizon)
        return Setting(
            horizon, yard, away, stock, self.prospects(),
            LostHire(hire, np.full((len(hull_ids), 7), 30.0), ()),
        )  # fmt: skip

    def _days(self, days: Mapping[str, Sequence[int]], shape: tuple[int, int]) -> Any:
        table = np.zeros(shape, bool)
        for row, hull in enumerate(sorted(self.hulls)):
            table[row, [day for day in days.get(hull, ()) if day < shape[1]]] = True
        return table

    def prospects(self) -> Prospects:
        rows = [(h, a) for h in sorted(self.hulls) for a in self.hulls[h]]
        order = self.prices().positions
        cells = [
            {"hull_id": h, "layout": h, "position": a.position, "why": f"{a.position} wears",
             "new_size_mm": 9.0, "limit_size_mm": 6.4}
            for h, a in rows
        ]  # fmt: skip
        table = pd.DataFrame(cells).merge(order, on=["layout", "position"])
        pace = np.array([(1 - a.worn) / max(a.days_left, 0.1) for _, a in rows])
        worn = np.array([a.worn for _, a in rows])[:, None] + pace[:, None] * GRID
        sd = np.array([a.sd for _, a in rows])[:, None] + 0.1 * pace[:, None] * GRID
        chance = np.maximum.accumulate(ndtr((worn - 1) / sd), axis=1)
        chance[chance < 1e-9] = 0.0
        past, over = added_up(chance, GRID), added_up(np.where(chance > 0.1, chance, 0.0), GRID)
        return Prospects(table, GRID, worn, sd, chance, past, over, np.full(len(rows), 0.15))

    def options(self, setting: Setting) -> list[Option]:
        prices, ready, weighed = self.prices(), when_parts_are_there(setting), []
        of_hull = setting.ahead.anodes.groupby("hull_id").indices
        for number, hull in enumerate(setting.away.hull_ids):
            rows = of_hull[hull]
            chance = 1 - np.prod(1 - setting.ahead.chance[rows], axis=0)
            case = build_case(hull, rows, setting.ahead, prices, 30.0, 0.1, ready[rows])
            overdue = _overdue(chance, GRID, 0.1, prices.overdue)
            pinned = hull in self.pins
            weighed.append(weigh_hull(case, number, setting, (GRID, overdue), pinned=pinned))
        return weighed

    def programme(self) -> Programme:
        setting = self.setting()
        options = self.options(setting)
        return lay_out_programme(lay_out_columns(options, setting), options, setting)


def day(number: int) -> date:
    return MONDAY + timedelta(days=number)
