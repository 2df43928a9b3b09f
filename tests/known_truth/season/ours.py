"""The program as a policy: each Monday it reads the logs as they stand, and plans the week."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path

import numpy as np
import pandas as pd

from tests.known_truth.season.rules import Wanted, placed
from tests.known_truth.season.worlds import Prices, World, write_world
from tests.known_truth.season.yard import PullOut, Yard, logs_of
from tests.known_truth.simulator import books

LOOK_AHEAD_DAYS = 28


@dataclass
class Program:
    """The program at work in a folder of its own.

    Attributes
    ----------
    folder : Path, the fleet folder
    says : 'plan' asks the planner; 'pull-by' works the bare forecast off: hulls whose pull-by
        comes before the next Monday but one, with the anodes that add to that risk
    prices : Prices, or None for a fleet that has not entered any
    moved, cancelled : int, hires of the weeks worked so far that went to a sister, or were called
        off
    """

    folder: Path
    says: str = "plan"
    prices: Prices | None = field(default_factory=Prices)
    longest_s: float = 0.0
    widest_gap: float = 0.0
    moved: int = 0
    cancelled: int = 0

    def __call__(self, yard: Yard, monday: int) -> list[PullOut]:
        """Write the logs as they stand, ask, and return the week's pull-outs."""
        from corrosion.forecast.appraisal import appraise

        world = yard.world
        self.write(yard, monday)
        on = world.moment(monday * 24.0)
        if self.says == "plan":
            return self._planned(appraise(self.folder, on, 7), world, monday)
        return self._pulled_by(appraise(self.folder, on, LOOK_AHEAD_DAYS), world, monday)

    def write(self, yard: Yard, monday: int) -> None:
        """Write the logs as they stand on a Monday, the fleet's registers first."""
        if not (self.folder / "fleet.toml").exists():
            write_world(yard.world, self.folder, self.prices)
        for log, table in logs_of(yard).items():
            table.to_parquet(self.folder / log / f"{log}.parquet", index=False)
        fleet = yard.world.fleet
        if np.isfinite(fleet.plan.book_lead_days):
            book = fleet.tables["bookings"]
            known = book[book[books.TAKEN] <= monday * 24.0].drop(columns=books.TAKEN)
            known.to_parquet(self.folder / "bookings" / "bookings.parquet", index=False)

    def _planned(self, appraisal: object, world: World, monday: int) -> list[PullOut]:
        from corrosion.workshop.plan import make_plan

        first = world.moment(monday * 24.0).date()
        plan = make_plan(appraisal, week=first)  # type: ignore[arg-type]
        self.longest_s = max(self.longest_s, plan.seconds)
        self.widest_gap = max(self.widest_gap, plan.gap)
        ends = world.moment((monday + 7) * 24.0)
        changes = plan.hires.loc[plan.hires["starts"] < ends, "change"]
        self.moved += int((changes == "move").sum())
        self.cancelled += int((changes == "cancel").sum())
        days = pd.to_datetime(plan.pulls["day"]).dt.date
        week = plan.pulls[days < first + timedelta(days=7)]
        return [
            PullOut(monday + (pd.Timestamp(row.day).date() - first).days, row.hull_id,
                    tuple(row.replace), freed=True)
            for row in week.itertuples()
        ]  # fmt: skip

    def _pulled_by(self, appraisal: object, world: World, monday: int) -> list[PullOut]:
        forecast = appraisal.forecast  # type: ignore[attr-defined]
        by = (world.moment(monday * 24.0) + pd.Timedelta(days=14)).date()
        wishes = []
        for hull in forecast.hulls.itertuples():
            if hull.pull_by is not None and hull.pull_by < by:
                rows = forecast.anodes[forecast.anodes["hull_id"] == hull.hull_id]
                risky = rows.loc[rows["risk"] >= max(0.1, rows["risk"].max() / 3), "position"]
                wishes.append(Wanted(hull.hull_id, tuple(risky), hull.risk))
        return placed(world, monday, sorted(wishes, key=lambda each: -each.press))
