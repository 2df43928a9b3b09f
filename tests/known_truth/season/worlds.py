"""The fleets of the study: simulated, with a history, prices, bays, and a season ahead."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pandas as pd

from tests.known_truth.simulator import KINDS, TrueFleet, simulate, write

HISTORY_DAYS = {"small8": 110, "warm_autumn": 280}
USUAL_HISTORY_DAYS = 200
SPRING = (240, 265)
"""Logs begin in autumn, so that the season of most fleets runs from spring on."""
OPEN = (0, 1, 2, 3, 4)
SETTINGS = """
currency = "EUR"
wage_per_hour = {wage}
"""
BAY = """
[[bays]]
mooring_id = "{mooring_id}"
weekdays = ["mon", "tue", "wed", "thu", "fri"]
hulls_per_day = {hulls_per_day}
hours_per_day = 8
"""


@dataclass(frozen=True)
class Prices:
    """What things cost; invented for the study, not taken from any fleet."""

    wage: float = 45.0
    seal: float = 4.0
    late_engine: float = 600.0
    late_hull: float = 200.0


@dataclass(frozen=True, eq=False)
class World:
    """A fleet and the season to work through.

    Attributes
    ----------
    fleet : TrueFleet
    first_h : float, hours since the fleet's start: a Monday, 00:00 UTC
    weeks : int
    hulls_per_day : int, hulls that a mooring's bay takes on each of its open days
    """

    fleet: TrueFleet
    first_h: float
    weeks: int
    hulls_per_day: int

    @property
    def last_h(self) -> float:
        """Hours since the start at which the season ends."""
        return self.first_h + self.weeks * 168.0

    def moment(self, at_h: float) -> pd.Timestamp:
        """Return the moment of an hour since the start."""
        return self.fleet.start + pd.Timedelta(hours=at_h)


def draw_world(
    kind: str,
    seed: int,
    hulls: int = 20,
    weeks: int = 20,
    hulls_per_day: int = 1,
    demand: float = 1.0,
) -> World:
    """Draw a fleet of a kind and lay out its season.

    Parameters
    ----------
    kind, seed : which fleet, as in the simulator
    hulls : int, hulls of the fleet, save where the kind is a small fleet by name
    weeks : int, weeks of the season
    hulls_per_day : int, what each mooring's bay takes a day
    demand : float, hires beside those of an ordinary fleet

    Returns
    -------
    World
    """
    plan, history = KINDS[kind], HISTORY_DAYS.get(kind, USUAL_HISTORY_DAYS)
    plan = replace(
        plan,
        hulls=plan.hulls if kind == "small8" else hulls,
        days=history + 7 * (weeks + 1),
        tail_days=45,
        start_day_of_year=SPRING,
        demand=demand,
    )
    fleet = simulate(kind, seed, plan)
    first_day = history + (-(fleet.start.weekday() + history)) % 7
    return World(fleet, 24.0 * first_day, weeks, hulls_per_day)


def write_world(world: World, folder: Path, prices: Prices | None) -> None:
    """Write the logs of the whole span with bays; `--on` hides what is still to come.

    Parameters
    ----------
    world : World
    folder : Path, a new fleet folder
    prices : Prices, or None for a fleet that has not entered any
    """
    fleet = world.fleet
    write(fleet, folder, None)
    with (folder / "fleet.toml").open("a", encoding="utf-8") as settings:
        if prices:
            settings.write(SETTINGS.format(wage=prices.wage))
        for mooring in fleet.moorings:
            settings.write(
                BAY.format(mooring_id=mooring.mooring_id, hulls_per_day=world.hulls_per_day)
            )
    if prices:
        priced(fleet, prices).to_parquet(folder / "anode_positions" / "anode_positions.parquet")


def priced(fleet: TrueFleet, prices: Prices) -> pd.DataFrame:
    """Return the register of positions with prices and part numbers in it."""
    table = fleet.tables["anode_positions"]
    engine = (table["circuit"] == "engine").to_numpy(bool)
    return table.assign(
        part_cost=np.round(6.0 + 2.0 * table["new_size_mm"]),
        seal_cost=np.where(engine, prices.seal, 0.0),
        late_cost=np.where(engine, prices.late_engine, prices.late_hull),
        part_number="P-" + table["position"],
    )
