"""How many faults of which kind go into the logs, and the hands that put them in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from demo_fleet.desk import Tables
from demo_fleet.ledger import Ledger
from demo_fleet.season import home_on
from demo_fleet.truth import HullTruth, World
from demo_fleet.workshop import Record


@dataclass(frozen=True)
class Faults:
    """How many of each, and when; days count from the scenario's first."""

    unrecorded_share: float = 0.05
    """Changes of an anode that nobody wrote down."""
    doubles: tuple[tuple[str, int], ...] = (("outings", 9), ("flushes", 6), ("readings", 6))
    hours_times_ten: int = 7
    lost_points: int = 2
    mistyped_and_corrected: int = 6
    voided: int = 3
    unknown_hours_share: float = 0.004
    inch_mooring: str = "lagoon"
    inch_days: tuple[int, int] = (83, 97)
    inch_file: str = "2030-07-lagoon-sheet"
    local_mooring: str = "lagoon"
    local_days: tuple[int, int] = (108, 139)
    bulk_mooring: str = "lagoon"
    bulk_days: tuple[int, int] = (98, 126)
    silent_mooring: str = "estuary"
    silent_days: tuple[int, int] = (140, 154)
    meter_reset: tuple[str, int] = ("H14", 127)
    meter_stuck: tuple[str, int, int] = ("H28", 75, 96)


@dataclass
class Logs:
    """What every trap works on: the logs so far, the truth, the ledger, and its own chance."""

    tables: Tables
    truths: list[HullTruth]
    records: list[Record]
    world: World
    faults: Faults
    ledger: Ledger
    rng: np.random.Generator

    def during(self, log: str, column: str, days: tuple[int, int]) -> pd.Series[bool]:
        """Rows of a log whose time falls in [first, last) local days."""
        first, last = self.world.calendar.stamps(
            self.world.calendar.hours(np.minimum(days, self.world.calendar.days), 0.0)
        )
        times = self.tables[log][column]
        return (times >= first) & (times < last)

    def at_mooring(self, log: str, column: str, mooring_id: str) -> pd.Series[bool]:
        """Rows of a log whose hull lived at that mooring at the time of the row."""
        table, out = self.tables[log], pd.Series(False, index=self.tables[log].index)
        for truth in self.truths:
            rows = table.index[table["hull_id"] == truth.hull.hull_id]
            hours = (table.loc[rows, column] - self.world.calendar.start) / pd.Timedelta(hours=1)
            days = self.world.calendar.day_of(hours.to_numpy(dtype=np.float64))
            out[rows] = home_on(truth.hull, self.world.scenario, days) == mooring_id
        return out

    def some(self, log: str, rows: pd.Series[bool], count: int) -> list[int]:
        """A few of the rows marked, by index, in order; none that has a fault already."""
        spoilt = {row.get("entry_id") for row in self.ledger.rows if row["log"] == log}
        marked = np.flatnonzero((rows & ~self.tables[log]["entry_id"].isin(spoilt)).to_numpy())
        chosen = self.rng.choice(marked, size=min(count, len(marked)), replace=False)
        return sorted(int(index) for index in chosen)

    def row(self, log: str, index: int) -> dict[str, object]:
        """One row by column."""
        return {str(c): v for c, v in self.tables[log].loc[index].to_dict().items()}

    def append(self, log: str, rows: list[dict[str, object]]) -> list[str]:
        """Add rows, with new entry ids, which come back."""
        table = self.tables[log]
        letter, count = str(table["entry_id"].iloc[0])[0], len(table)
        highest = int(table["entry_id"].str[1:].astype(int).max())
        ids = [f"{letter}{highest + 1 + k:05d}" for k in range(len(rows))]
        numbered = [{**row, "entry_id": entry} for row, entry in zip(rows, ids, strict=True)]
        if numbered:
            extra = pd.DataFrame(numbered).astype(
                {c: table[c].dtype for c in table.columns if c in numbered[0]}
            )
            self.tables[log] = pd.concat([table, extra], ignore_index=True)
        assert len(self.tables[log]) == count + len(rows)
        return ids

    def later(self, at: object, low_h: float, high_h: float) -> pd.Timestamp:
        """A moment some hours later, whole minutes, never after the last logged one."""
        last = self.world.calendar.stamps(np.array([self.world.end_h]))[0]
        wait = pd.Timedelta(minutes=int(60 * self.rng.uniform(low_h, high_h)) + 1)
        return min(pd.Timestamp(str(at)) + wait, last)
