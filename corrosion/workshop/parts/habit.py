"""The yard's habit: how worn an anode is when it is replaced, how often one is looked at."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import HOURS_A_DAY, Floats, hours_since_epoch
from corrosion.exposure import ANODE, Lives
from corrosion.records import Checked

MEASURED_AT_CHANGE_H = 12.0
ENOUGH_CHANGES = 12
NODES = 7
LOOKS_COUNTED_DAYS = 180.0
USUAL_LOOK_DAYS = 28.0
"""Days between looks where no look of the fleet tells (common practice, no source)."""
HARD_TO_BELIEVE = (0.1, 2.0)
"""Shares of the allowance outside of which a change tells nothing of the habit."""


@dataclass(frozen=True)
class Habit:
    """What the yard has done so far.

    Attributes
    ----------
    replaced_at : ndarray, shape (q,), shares of the allowance used up at which anodes are
        replaced, equally likely
    changes : int, replacements on record that it rests on; 0: none tell, and an anode is taken to
        be replaced at its limit
    """

    replaced_at: Floats
    changes: int

    @property
    def usual(self) -> float:
        """Return the mean share at which an anode is replaced."""
        return float(self.replaced_at.mean())


def replacing_habit(lives: Lives) -> Habit:
    """Learn how worn anodes are when they come out, from the last look at each.

    Parameters
    ----------
    lives : Lives

    Returns
    -------
    Habit
        At the limit itself where fewer than `ENOUGH_CHANGES` changes were measured.
    """
    worn = _worn_when_replaced(lives)
    if worn.size < ENOUGH_CHANGES:
        return Habit(np.ones(1), 0)
    middle = (np.arange(NODES) + 0.5) / NODES
    return Habit(np.quantile(worn, middle), int(worn.size))


def _worn_when_replaced(lives: Lives) -> Floats:
    ended = lives.lives[lives.lives["ended"].isin(["replaced", "removed"])]
    looks = lives.looks[lives.looks["worn"].notna()].drop_duplicates("life", keep="last")
    table = ended[["stop_h"]].join(looks.set_index("life")[["at_h", "worn"]], how="inner")
    at_once = (table["stop_h"] - table["at_h"]).abs() <= MEASURED_AT_CHANGE_H
    worn = table.loc[at_once, "worn"].to_numpy(float)
    low, high = HARD_TO_BELIEVE
    return np.asarray(worn[(worn > low) & (worn < high)])


def look_gaps(checked: Checked, anodes: pd.DataFrame, engine_h_a_day: Floats) -> Floats:
    """Return the days between looks at each anode, shape (k,).

    What the fleet prescribes (`inspect_hours`, `inspect_days`, whichever comes first) where it
    does; else its habit of the last half year, by position.

    Parameters
    ----------
    checked : Checked
    anodes : DataFrame, k rows: hull_id, position, layout
    engine_h_a_day : ndarray, shape (k,), engine hours a day expected of the anode's hull

    Returns
    -------
    ndarray, shape (k,), days
    """
    register = checked.anode_positions.drop_duplicates(["layout", "position"])
    intervals = anodes[["layout", "position"]].merge(
        register, on=["layout", "position"], how="left"
    )
    by_hours = intervals["inspect_hours"].to_numpy(float) / np.maximum(engine_h_a_day, 1e-3)
    prescribed = np.fmin(by_hours, intervals["inspect_days"].to_numpy(float))
    return np.where(np.isfinite(prescribed), prescribed, _habitual_gaps(checked, anodes))


def _habitual_gaps(checked: Checked, anodes: pd.DataFrame) -> Floats:
    on_h = float(hours_since_epoch(pd.DatetimeIndex([checked.logbook.on]))[0])
    read = checked.readings[[*ANODE, "read_at"]].assign(
        ago=(on_h - hours_since_epoch(checked.readings["read_at"])) / HOURS_A_DAY
    )
    span = float(np.clip(read["ago"].max() if len(read) else 0.0, 1.0, LOOKS_COUNTED_DAYS))
    looks = read[read["ago"].between(0.0, span)].groupby("position").size()
    places = anodes.groupby("position").size()
    gaps = span * anodes["position"].map(places) / anodes["position"].map(looks)
    return gaps.fillna(USUAL_LOOK_DAYS).to_numpy(float)


def habit_said(habit: Habit) -> str:
    """Say when an anode is taken to be replaced."""
    if habit.changes == 0:
        return (
            "An anode is taken to be replaced at its limit: too few changes with a reading are on "
            "record to tell the fleet's habit."
        )
    low, high = habit.replaced_at[0], habit.replaced_at[-1]
    return (
        f"An anode is taken to be replaced as this fleet does, at {round(100 * low)} to "
        f"{round(100 * high)} % worn, usually {round(100 * habit.usual)} %: "
        f"{habit.changes} changes with a reading are on record."
    )
