"""Makes the simulated fleet: the truth first, then its logs."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from demo_fleet.clock import Calendar
from demo_fleet.desk import Tables, write_down
from demo_fleet.scenario import HARBOUR, Scenario
from demo_fleet.season import Habits, enrol, make_weather
from demo_fleet.truth import HullTruth, World, hull_truth
from demo_fleet.workshop import Looks, Record, Workshop
from demo_fleet.writing import write_logs
from demo_fleet.yard import Physics

DEFAULT_SEED = 2030


@dataclass(frozen=True)
class Fleet:
    """A made fleet: its logs as tables, and the truth that they came from."""

    seed: int
    world: World
    truths: list[HullTruth]
    records: list[Record]
    tables: Tables


def _stream(seed: int, *names: str | int) -> np.random.Generator:
    """A random stream of its own for every purpose, so that one does not disturb another."""
    return np.random.default_rng([seed, *(zlib.crc32(str(name).encode()) for name in names)])


def _streams_of(seed: int, hull_id: str) -> dict[str, np.random.Generator]:
    return {p: _stream(seed, hull_id, p) for p in ("factor", "use", "wear", "looks")}


def make_fleet(
    seed: int = DEFAULT_SEED,
    scenario: Scenario = HARBOUR,
    physics: Physics | None = None,
    habits: Habits | None = None,
    looks: Looks | None = None,
) -> Fleet:
    """
    Make a fleet.

    Parameters
    ----------
    seed : int
        The same seed gives the same fleet.
    scenario, physics, habits, looks
        What to make; the defaults are the demo harbour.

    Returns
    -------
    Fleet
        Tables as written on disk but for the columns that name their file or the truth.
    """
    calendar = Calendar(scenario.first_day, scenario.timezone, scenario.horizon_days + 7)
    weather = make_weather(scenario, calendar, _stream(seed, "weather"))
    world = World(scenario, physics or Physics(), habits or Habits(), calendar, weather)
    truths, records = [], []
    for hull in enrol(scenario, _stream(seed, "register")):
        streams = _streams_of(seed, hull.hull_id)
        truths.append(hull_truth(hull, world, streams))
        records.append(Workshop(truths[-1], world, looks or Looks(), streams).run())

    def desk_stream(name: str) -> np.random.Generator:
        return _stream(seed, "desk", name)

    tables = write_down(truths, records, world, desk_stream)
    return Fleet(seed, world, truths, records, tables)


def write_fleet(folder: Path | str, seed: int = DEFAULT_SEED, fleet: Fleet | None = None) -> Path:
    """Write the demo fleet (or another) as a fleet folder."""
    made = fleet or make_fleet(seed)
    target = Path(folder)
    write_logs(target, made.tables, made.world.scenario)
    return target
