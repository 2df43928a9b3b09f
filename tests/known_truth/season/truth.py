"""Hidden wear with common random numbers: what happens to an anode depends on no policy.

Each place of each hull has a row of anodes, the first being the one in service when the season
begins. The wear of the n-th of them at any hour is drawn once for the fleet and the seed,
wherever and whenever a policy fits it, so that policies differ only by what they do.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from tests.known_truth.season.worlds import World
from tests.known_truth.simulator import TrueFleet
from tests.known_truth.simulator.anodes import Life
from tests.known_truth.simulator.craft import Hull, Position
from tests.known_truth.simulator.physics import Floats, shrinking
from tests.known_truth.simulator.strays import pace_over_time
from tests.known_truth.simulator.timeline import Timeline


@dataclass(frozen=True)
class Anode:
    """The n-th anode of a place since the season began, fitted at `fitted_h`."""

    number: int
    fitted_h: float
    bound_h: Floats
    worn: Floats

    def worn_at(self, at_h: float) -> float:
        """Return the true share of the allowance used up."""
        return float(np.interp(at_h, self.bound_h, self.worn))

    def crossing_h(self) -> float:
        """Return when worn reaches 1; inf when it does not before the simulated end."""
        first = int(np.searchsorted(self.worn, 1.0))
        if first == 0:
            return float(self.bound_h[0])
        if first == len(self.worn):
            return np.inf
        before, after = self.worn[first - 1 : first + 1]
        start, stop = self.bound_h[first - 1 : first + 1]
        return float(start + (1.0 - before) / (after - before) * (stop - start))


@dataclass
class Place:
    """A place for an anode on one hull, with the hidden wear of every anode to come."""

    seed: tuple[int, ...]
    hull: Hull
    position: Position
    line: Timeline
    fleet: TrueFleet
    first: Anode
    _sums: dict[int, Floats] = field(default_factory=dict)

    def fit(self, number: int, fitted_h: float) -> Anode:
        """Return the anode that is fitted as the `number`-th (1 and up) at an hour."""
        bound = self.line.bound_h
        later = bound[bound > fitted_h]
        gathered = self._mean_path(number)
        since = np.interp(np.append(fitted_h, later), bound, gathered)
        worn = shrinking(since - since[0], self.fleet.physics.growth)
        return Anode(number, fitted_h, np.append(fitted_h, later), worn)

    def _mean_path(self, number: int) -> Floats:
        """Wear that this anode would gather from the first day on: gamma increments."""
        if number not in self._sums:
            rng = np.random.default_rng([*self.seed, number])
            own = float(np.exp(rng.normal(0, self.fleet.physics.anode_spread)))
            position = self.position
            share = position.loss_per_surface_mm / position.allowance_mm
            pace = self.hull.pace[position.circuit] * own * share
            scatter = self.fleet.physics.process_sd**2
            mean_mm = self.line.circuit_mm(position.circuit)
            middle_h = (self.line.bound_h[1:] + self.line.bound_h[:-1]) / 2
            factor = pace_over_time(self.fleet.strays, self.hull, position, middle_h)
            mean_mm = mean_mm if factor is None else mean_mm * factor
            steps = scatter * rng.standard_gamma(mean_mm * pace / scatter)
            self._sums[number] = np.concatenate([[0.0], np.cumsum(steps)])
        return self._sums[number]


@lru_cache(maxsize=2)
def places(world: World) -> list[Place]:
    """Return every place of the fleet's hulls, with the anode that the season finds there.

    The wear drawn is kept with them for the next policy: it is the same for all.
    """
    fleet = world.fleet
    lines = {hull.hull_id: line for hull, line in zip(fleet.hulls, fleet.timelines, strict=True)}
    hulls = {hull.hull_id: hull for hull in fleet.hulls}
    made = []
    for life in _in_service(fleet, world.first_h):
        key = zlib.crc32(f"{fleet.kind} {life.hull_id} {life.position.position}".encode())
        first = Anode(0, life.fitted_h, life.bound_h, life.worn)
        hull = hulls[life.hull_id]
        made.append(
            Place((fleet.seed, key), hull, life.position, lines[life.hull_id], fleet, first)
        )
    return made


def _in_service(fleet: TrueFleet, first_h: float) -> list[Life]:
    """The anode of each place at the start of the season, or the first of a hull to come."""
    chosen: dict[tuple[str, str], Life] = {}
    for life in fleet.lives:
        if life.removed_h > first_h:
            chosen.setdefault((life.hull_id, life.position.position), life)
    return list(chosen.values())
