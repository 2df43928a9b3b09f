"""What one policy's yard does to the hulls in the season, and what it writes down."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import pandas as pd

from tests.known_truth.season.truth import Anode, Place, places
from tests.known_truth.season.worlds import World
from tests.known_truth.simulator.anodes import FIT_AFTER_LOOK_H, MISSED_LOOK_SHARE, Look
from tests.known_truth.simulator.anodes import Yard as Routine
from tests.known_truth.simulator.books import Clock, reading_log
from tests.known_truth.simulator.physics import Floats

WORK_STARTS_H = 7.0
MM_PER_INCH = 25.4
MESSY_INCHES, MESSY_FORGOTTEN = 0.04, 0.04


@dataclass(frozen=True)
class PullOut:
    """One hull taken out on one day: which positions get a new anode; the rest are measured.

    `freed`: whoever asks has seen to it that no hire is in the way (beside the hires of the day, or
    these moved or cancelled). What the hull would have worn on a hire that moves is not taken off:
    the fleet's use is drawn once for all policies.
    """

    day: int  # days since the fleet's start
    hull_id: str
    replace: tuple[str, ...]
    freed: bool = False


@dataclass(frozen=True)
class Removed:
    """An anode at the end of its service: true worn share, and days that it spent past 1."""

    place: int
    worn: float
    past_days: float
    replaced: bool


@dataclass
class Yard:
    """The yard's state: the anode in each place, the looks taken, the pull-outs made."""

    world: World
    places: list[Place]
    anodes: list[Anode] = field(default_factory=list)
    last_share: list[float] = field(default_factory=list)
    looks: list[Look] = field(default_factory=list)
    fittings: list[tuple[str, str, float]] = field(default_factory=list)
    pull_outs: list[PullOut] = field(default_factory=list)
    removed: list[Removed] = field(default_factory=list)
    refused: int = 0

    @cached_property
    def by_hull(self) -> dict[str, list[int]]:
        """Numbers of the places of each hull."""
        numbers: dict[str, list[int]] = {}
        for at, place in enumerate(self.places):
            numbers.setdefault(place.hull.hull_id, []).append(at)
        return numbers

    def inspect(self, hull_id: str, day: int, positions: tuple[str, ...] | None = None) -> None:
        """Look at the anodes of the hull as it lies, or at some of them; one in ten is missed."""
        for at in self.by_hull.get(hull_id, []):
            if positions is not None and self.places[at].position.position not in positions:
                continue
            rng = self._rng(at, day)
            if rng.random() >= MISSED_LOOK_SHARE:
                self._read(at, day, rng, removed=False)

    def pull(self, pull_out: PullOut) -> None:
        """Take the hull out: measure every anode, fit new ones where it is asked for."""
        for at in self.by_hull[pull_out.hull_id]:
            swap = self.places[at].position.position in pull_out.replace
            self._read(at, pull_out.day, self._rng(at, pull_out.day), removed=swap)
            if swap:
                self._fit(at, pull_out.day)
        self.pull_outs.append(pull_out)

    def close(self) -> None:
        """End the season: what is in service then is counted to its last hour."""
        for at, place in enumerate(self.places):
            self._count(at, min(self.world.last_h, place.hull.leaves_day * 24.0), replaced=False)

    def _rng(self, at: int, day: int) -> np.random.Generator:
        """The same luck for everybody who looks at that place on that day."""
        return np.random.default_rng([*self.places[at].seed, 7919, day])

    def _read(self, at: int, day: int, rng: np.random.Generator, *, removed: bool) -> None:
        place, read_h = self.places[at], day * 24.0 + WORK_STARTS_H
        if self.anodes[at].fitted_h >= read_h:
            return
        worn = self.anodes[at].worn_at(read_h)
        routine = Routine(self.world.fleet.plan, self.world.fleet.physics, rng)
        measured = routine.measured(place.position, worn)
        look = Look(place.hull.hull_id, place.position, read_h, worn)
        written = routine.written(look, measured, removed)
        # whoever works by a rule of thumb sees the anode, not the slip of the pen
        self.last_share[at] = share_read(written)
        self.looks.append(_misread(written, rng) if self.world.fleet.plan.messy else written)

    def _fit(self, at: int, day: int) -> None:
        fitted_h = day * 24.0 + WORK_STARTS_H + FIT_AFTER_LOOK_H
        self._count(at, fitted_h, replaced=True)
        place, number = self.places[at], self.anodes[at].number + 1
        self.anodes[at] = place.fit(number, fitted_h)
        self.last_share[at] = np.nan
        self.fittings.append((place.hull.hull_id, place.position.position, fitted_h))

    def _count(self, at: int, until_h: float, *, replaced: bool) -> None:
        anode, first_h = self.anodes[at], self.world.first_h
        past_h = max(until_h - max(anode.crossing_h(), first_h, anode.fitted_h), 0.0)
        if until_h > anode.fitted_h:
            self.removed.append(Removed(at, anode.worn_at(until_h), past_h / 24.0, replaced))


def share_read(look: Look) -> float:
    """Return the worn share that a look shows to whoever reads the log; NaN for "ok" alone."""
    position = look.position
    if look.verdict is not None:
        return 1.0 if look.verdict == "worn" else np.nan
    size = look.size_mm
    if np.isnan(size):
        size = (look.size_low_mm + look.size_high_mm) / 2
    return (position.new_size_mm - size) / position.allowance_mm


def _misread(look: Look, rng: np.random.Generator) -> Look:
    """Type a size in inches now and then."""
    if rng.random() < MESSY_INCHES and np.isfinite(look.size_mm):
        return Look(**{**vars(look), "size_mm": round(look.size_mm / MM_PER_INCH, 3)})
    return look


def open_yard(world: World) -> Yard:
    """Open a yard on the first day of the season, with what the history left in its log book."""
    in_season = [p for p in places(world) if p.hull.leaves_day * 24.0 > world.first_h]
    yard = Yard(world, in_season, [place.first for place in in_season])
    last = {}
    history = Clock(world.fleet.start).times(np.array([world.first_h])).iloc[0]
    for look in world.fleet.tables["readings"].itertuples():
        if look.read_at < history:
            last[look.hull_id, look.position] = look
    for place in in_season:
        look = last.get((place.hull.hull_id, place.position.position))
        begun = world.moment(place.first.fitted_h)
        seen = look is not None and look.read_at > begun and not look.removed
        yard.last_share.append(_share_of(look, place) if seen else np.nan)
    return yard


def _share_of(row: object, place: Place) -> float:
    values = {n: getattr(row, n) for n in ("size_mm", "size_low_mm", "size_high_mm", "verdict")}
    verdict = values["verdict"] if isinstance(values["verdict"], str) else None
    look = Look("", place.position, 0.0, np.nan, **{**values, "verdict": verdict})
    return share_read(look)


def logs_of(yard: Yard) -> dict[str, pd.DataFrame]:
    """Return `fittings` and `readings` as they stand: the history's, then the season's."""
    fleet, first = yard.world.fleet, yard.world.moment(yard.world.first_h)
    clock = Clock(fleet.start)
    fittings, readings = fleet.tables["fittings"], fleet.tables["readings"]
    joined = fittings[_first_of_hull(yard, fittings) | (fittings["fitted_at"] < first)]
    new = pd.DataFrame(
        {
            "hull_id": pd.Series([row[0] for row in yard.fittings], dtype=object),
            "position": pd.Series([row[1] for row in yard.fittings], dtype=object),
            "fitted_at": clock.times(np.array([row[2] for row in yard.fittings], float)),
        }
    )
    if fleet.plan.messy:
        new = new[~_forgotten(new)]
    made = reading_log(clock, yard.looks)
    return {
        "fittings": pd.concat([joined, new], ignore_index=True),
        "readings": pd.concat([readings[readings["read_at"] < first], made], ignore_index=True),
    }


def _first_of_hull(yard: Yard, fittings: pd.DataFrame) -> pd.Series:
    """Mark the first fitting of each place, which a hull that joins in the season brings."""
    return ~fittings.duplicated(["hull_id", "position"])


def _forgotten(fittings: pd.DataFrame) -> np.ndarray:
    """Mark changes that nobody writes down, the same ones for every policy that makes them."""
    day = fittings["fitted_at"].dt.floor("D").astype(str)
    key = fittings["hull_id"] + fittings["position"] + day
    luck = pd.util.hash_pandas_object(key, index=False).to_numpy(np.uint64)
    return np.asarray(luck % np.uint64(1000) < np.uint64(1000 * MESSY_FORGOTTEN))


def inspection_days(world: World) -> dict[str, Floats]:
    """Return the days on which each hull is looked at as it lies, whatever the policy."""
    made = {}
    for number, hull in enumerate(world.fleet.hulls):
        rng = np.random.default_rng([world.fleet.seed, 4231, number])
        low, high = world.fleet.plan.read_every_days
        gaps = rng.uniform(low, high, size=int(7 * world.weeks / low) + 2)
        start = max(world.first_h / 24.0, hull.joins_day + 1.0) + rng.uniform(0, high)
        days = np.floor(start + np.cumsum(gaps) - gaps[0])
        last = min(world.last_h / 24.0, hull.leaves_day)
        made[hull.hull_id] = days[days < last]
    return made
