"""One pull-out as it was chosen, with the chances that hang on it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

import numpy as np

from corrosion.common import Floats
from corrosion.forecast import LEAST_CHANCE, Appraisal
from corrosion.workshop.plan.cases import Case, Flags
from corrosion.workshop.plan.looking import Look, worth_of_looks
from corrosion.workshop.plan.options import Option, Setting
from corrosion.workshop.plan.packages import weigh

WEEK_DAYS = 7.0
LOOKS_WEIGHED_DAYS = 14
"""Readings are weighed for pull-outs of the week asked for and the next; later ones are far."""


@dataclass(frozen=True)
class Job:
    """One pull-out.

    Attributes
    ----------
    appraisal : Appraisal
    setting : Setting
    option : Option, the hull over all its times
    at : int, day of the horizon
    bay : int, bay of the yard
    choice : int, which anodes are replaced, row of the option's `Best.replace`
    pinned : bool, the manager wants it that day
    """

    appraisal: Appraisal
    setting: Setting
    option: Option
    at: int
    bay: int
    choice: int
    pinned: bool

    @property
    def case(self) -> Case:
        """Return the hull as a case."""
        return self.option.case

    @property
    def day(self) -> date:
        """Return the day."""
        return self.setting.horizon.days[self.at]

    @property
    def ahead_days(self) -> float:
        """Return the days from the plan's moment to the pull-out."""
        return float(self.option.times[self.at])

    @property
    def replace(self) -> Flags:
        """Return which anodes are replaced, shape (k,)."""
        return np.asarray(self.option.best.replace[self.choice])

    @property
    def measure(self) -> Flags:
        """Return which anodes stay and are measured, shape (k,)."""
        return np.asarray(self.case.measured(self.replace[None, :])[0])

    @cached_property
    def names(self) -> list[str]:
        """Return the positions of the hull's anodes in access order."""
        return [str(each) for each in self.setting.ahead.cells["position"][self.case.rows]]

    def named(self, which: Flags) -> list[str]:
        """Return the positions of some of the anodes."""
        return [name for name, one in zip(self.names, which, strict=True) if one]

    @cached_property
    def lifts(self) -> bool:
        """Return whether the visit deals with every anode that stops the hull."""
        desk = self.setting.desk
        stop = None if desk is None else desk.stops.get(self.case.hull_id)
        if stop is None:
            return True
        rows = self.replace[None, :], self.measure[None, :]
        return bool(stop.lifted_by(self.names, *rows)[0])

    def stops(self, k: int) -> bool:
        """Return whether an anode is one of those that stop the hull."""
        desk = self.setting.desk
        stop = None if desk is None else desk.stops.get(self.case.hull_id)
        return stop is not None and self.names[k] in stop.positions

    @cached_property
    def unseen(self) -> list[str]:
        """Return positions of the hull that nobody ever saw."""
        anodes = self.appraisal.forecast.anodes
        blank = ~np.isfinite(self.appraisal.forecast.chance[:, 0])
        return sorted(anodes.loc[blank & (anodes["hull_id"] == self.case.hull_id), "position"])

    @cached_property
    def lead(self) -> int:
        """Return the anode that the pull-out is for: the replaced one that is due first."""
        due = np.where(self.replace, self.case.due, np.inf) if self.replace.any() else self.case.due
        return int(np.lexsort((self.case.mid, due))[0])

    @cached_property
    def hull_row(self) -> int:
        """Return the hull's row in the forecast."""
        hulls = self.appraisal.forecast.hulls["hull_id"]
        return int(np.flatnonzero(hulls == self.case.hull_id)[0])

    def chance(self, days: float) -> float:
        """Return the chance of a worn anode by some days ahead, if nobody acts."""
        forecast = self.appraisal.forecast
        return float(np.interp(days, forecast.day_grid, forecast.hull_chance[self.hull_row]))

    @property
    def week_ends(self) -> float:
        """Return the days ahead at which the week of the pull-out ends."""
        return self.setting.horizon.until_week_ends(self.setting.horizon.week_of[self.at])

    @property
    def chance_after(self) -> float:
        """Return the chance of a worn anode by the end of that week, after the work."""
        return self.chance_with_work(self.week_ends)

    def chance_with_work(self, until: float) -> float:
        """Return the chance of a worn anode by some days ahead, the work being done as planned."""
        sound = 1.0
        for k, row in enumerate(self.case.rows):
            stays = float(self.setting.ahead.chance_at(int(row), until))
            new = self.setting.ahead.new_chance(int(row), self.ahead_days, until)
            sound *= 1.0 - (new if self.replace[k] else stays)
        least = LEAST_CHANCE + (1 - 2 * LEAST_CHANCE) * (1.0 - sound)
        return min(least, self.chance(until))

    @cached_property
    def slip_cost(self) -> float:
        """Return what the same work a week later costs more, the day's hire left out, currency."""
        times = self.ahead_days + np.array([0.0, WEEK_DAYS])
        which = self.replace[None, :]
        cost = weigh(self.case, self.setting.ahead, times, np.zeros(2), which).cost[:, 0]
        return float(cost[1] - cost[0])

    @property
    def reading_errors(self) -> Floats:
        """Return the standard deviation of a caliper reading, share of each allowance."""
        cells, rows = self.setting.ahead.cells, self.case.rows
        allowance = cells["new_size_mm"][rows] - cells["limit_size_mm"][rows]
        error_mm = float(self.appraisal.fit.evaluation.rates.reading_mm)
        return np.asarray(error_mm / np.maximum(allowance.astype(float), 1e-6))

    @cached_property
    def looks(self) -> list[Look]:
        """Return the readings that are worth taking before anything is replaced."""
        last = self.setting.horizon.week + timedelta(days=LOOKS_WEIGHED_DAYS)
        if self.day >= last or not self.replace.any():
            return []
        return worth_of_looks(
            self.case, self.setting.ahead, self.ahead_days, self.replace, self.reading_errors,
            self.lead,
        )  # fmt: skip

    def size_mm(self, k: int, worn: float) -> float:
        """Return the size of an anode at a worn share, mm."""
        cells, row = self.setting.ahead.cells, self.case.rows[k]
        new, limit = float(cells["new_size_mm"][row]), float(cells["limit_size_mm"][row])
        return new - worn * (new - limit)
