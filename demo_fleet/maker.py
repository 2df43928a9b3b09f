"""Makes the simulated fleet: the truth first, then its logs."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from demo_fleet.answers import answer_tables, summary, write_answers
from demo_fleet.clock import Calendar
from demo_fleet.desk import Tables, write_down
from demo_fleet.faults import Faults, Logs
from demo_fleet.ledger import Ledger
from demo_fleet.oddities import tell
from demo_fleet.scenario import HARBOUR, Scenario
from demo_fleet.season import Habits, enrol, make_weather
from demo_fleet.traps import set_traps
from demo_fleet.truth import HullTruth, World, hull_truth
from demo_fleet.workshop import Looks, Record, Workshop
from demo_fleet.writing import write_logs
from demo_fleet.yard import Physics

DEFAULT_SEED = 2040
DEFAULT_FAULTS = Faults()


@dataclass(frozen=True)
class Fleet:
    """A made fleet: its logs as tables, and the truth that they came from."""

    seed: int
    world: World
    truths: list[HullTruth]
    records: list[Record]
    tables: Tables
    ledger: Ledger


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
    faults: Faults | None = DEFAULT_FAULTS,
) -> Fleet:
    """
    Make a fleet.

    Parameters
    ----------
    seed : int
        The same seed gives the same fleet.
    scenario, physics, habits, looks
        What to make; the defaults are the demo harbour.
    faults : Faults or None
        What goes wrong with the writing; None for faultless logs.

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
    ledger = Ledger()
    if faults is not None:
        set_traps(Logs(tables, truths, records, world, faults, ledger, _stream(seed, "traps")))
    tell(ledger, world, truths, tables)
    return Fleet(seed, world, truths, records, tables, ledger)


def write_fleet(
    folder: Path | str,
    seed: int = DEFAULT_SEED,
    fleet: Fleet | None = None,
    answers: Path | str | None = None,
) -> Path:
    """
    Write the demo fleet (or another) as a fleet folder, with its answer sheet.

    Parameters
    ----------
    folder : path
        The fleet folder; logs of the same names that lie there are replaced.
    seed : int
        Of the demo fleet.
    fleet : Fleet, optional
        Another fleet than the demo one.
    answers : path, optional
        Where the answer sheet goes; default ``answers`` in the fleet folder.

    Returns
    -------
    Path
        The fleet folder.
    """
    made = fleet or make_fleet(seed)
    target = Path(folder)
    write_logs(target, made.tables, made.world.scenario)
    tables = answer_tables(made.truths, made.records, made.tables, made.world)
    tables["planted_faults"] = made.ledger.table(made.tables)
    sheet = summary(made.seed, made.truths, made.world)
    write_answers(Path(answers) if answers else target / "answers", sheet, tables)
    return target
