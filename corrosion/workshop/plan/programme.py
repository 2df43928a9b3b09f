"""The variables of a plan's programme."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.common import Floats
from corrosion.workshop.plan.columns import Columns
from corrosion.workshop.plan.options import NONE, Option, Setting


@dataclass(frozen=True)
class Programme:
    """What the rules look at.

    Attributes
    ----------
    columns : Columns, the yes-or-no variables, first of all variables
    options : the hulls
    setting : Setting
    mooring : object ndarray, shape (n,), where each choice takes place; None: nowhere
    shifts : list of (crew, mooring, day), hours that a crew gives a mooring on a day, variables
        after the yes-or-no ones
    drawn : list of (part, mooring), pieces that a mooring draws from the common store
    couriers : list of part, whether it is sent for by courier; yes or no
    drawn_early : list of (part, mooring), pieces drawn before the courier can be there
    sisters : list of (kind, day), hires beyond those that sisters can take, the last variables
    """

    columns: Columns
    options: Sequence[Option]
    setting: Setting
    mooring: np.ndarray
    shifts: Sequence[tuple[int, str, int]]
    drawn: Sequence[tuple[str, str]]
    couriers: Sequence[str] = ()
    drawn_early: Sequence[tuple[str, str]] = ()
    sisters: Sequence[tuple[str, int]] = ()

    @property
    def variables(self) -> int:
        """Return how many variables there are."""
        return self.of_sisters(len(self.sisters))

    @property
    def costs(self) -> Floats:
        """Return what each variable costs, currency, shape (variables,)."""
        cost = np.zeros(self.variables)
        cost[: self.columns.count] = self.columns.cost
        for number, part in enumerate(self.couriers):
            cost[self.of_courier(number)] = self.setting.stock.couriers[part].cost
        desk = self.setting.desk
        if desk is not None and self.sisters:
            cost[self.of_sisters(0) :] = desk.usual_cancel
        return cost

    @property
    def yes_or_no(self) -> np.ndarray:
        """Return which variables are yes or no, shape (variables,)."""
        whole = np.arange(self.variables) < self.columns.count
        whole[self.of_courier(0) : self.of_courier(len(self.couriers))] = True
        return whole

    def of_shift(self, number: int) -> int:
        """Return the variable of a shift."""
        return self.columns.count + number

    def of_drawn(self, number: int) -> int:
        """Return the variable of pieces drawn."""
        return self.columns.count + len(self.shifts) + number

    def of_courier(self, number: int) -> int:
        """Return the variable of a part sent for by courier."""
        return self.of_drawn(len(self.drawn)) + number

    def of_drawn_early(self, number: int) -> int:
        """Return the variable of pieces drawn before the courier."""
        return self.of_courier(len(self.couriers)) + number

    def of_sisters(self, number: int) -> int:
        """Return the variable of hires that no sister can take."""
        return self.of_drawn_early(len(self.drawn_early)) + number


def lay_out_programme(columns: Columns, options: Sequence[Option], setting: Setting) -> Programme:
    """Lay out the variables of the programme.

    Parameters
    ----------
    columns : Columns
    options : the hulls
    setting : Setting

    Returns
    -------
    Programme
    """
    mooring = np.full(columns.count, None, dtype=object)
    for column in np.flatnonzero(columns.day != NONE):
        place = options[columns.option[column]].hull_row
        mooring[column] = setting.away.mooring[place, columns.day[column]]
    for column in np.flatnonzero(columns.later != NONE):
        mooring[column] = setting.away.mooring[options[columns.option[column]].hull_row, -1]
    near = columns.day != NONE
    near_days = sorted({(m, int(d)) for m, d in zip(mooring[near], columns.day[near], strict=True)})
    shifts = [
        (crew, place, day)
        for crew, each in enumerate(setting.yard.crews)
        for place, day in near_days
        if each.hours[day] > 0 and (not each.moorings or place in each.moorings)
    ]
    drawn = [
        (part, place)
        for part, pieces in sorted(columns.parts.items())
        for place in sorted({str(each) for each in mooring[pieces > 0]})
    ]
    couriers = sorted(part for part in columns.parts if part in setting.stock.couriers)
    early = [pair for pair in drawn if pair[0] in couriers]
    sisters: list[tuple[str, int]] = []
    if setting.desk is not None:
        moving = np.flatnonzero(columns.displaces)
        sisters = sorted(
            {
                (setting.desk.kind(options[columns.option[c]].hull_row), int(columns.day[c]))
                for c in moving
            }
        )
    return Programme(columns, options, setting, mooring, shifts, drawn, couriers, early, sisters)
