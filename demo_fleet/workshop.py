"""The workshop: when anodes are looked at, what is read, and when they are changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from demo_fleet.scenario import Position
from demo_fleet.truth import HullTruth, Life, Streams, World, begin_life
from demo_fleet.yard import draw_factor


@dataclass(frozen=True)
class Looks:
    """The inspection routine and how well people read."""

    every_days: tuple[int, int] = (11, 23)
    missed_share: float = 0.13
    soon_days: tuple[int, int] = (6, 11)
    soon_above_worn: float = 0.55
    skipped_group_share: float = 0.12
    by_eye_share: float = 0.12
    verdict_share: float = 0.06
    verdict_share_when_worn: float = 0.25
    """Looks that end in a bare verdict; more often so when the anode seems past its limit."""
    caliper_mm: tuple[float, float] = (0.10, 0.15)
    fine_rounding_share: float = 0.3
    """Hulls whose caliper shows hundredths; the others are read to a tenth."""
    by_eye_worn: float = 0.07
    """Standard deviation of a look by eye, as a share of the allowance."""
    crust_share: float = 0.008
    """Caliper readings over crust that was not cleaned off."""
    change_above_worn: tuple[float, float] = (0.70, 0.88)
    part_short_share: float = 0.08
    behind_missed_share: float = 0.35
    behind_part_short_share: float = 0.6
    """The last two rule while the workshop is behind with its work."""
    relaunch_change_above_worn: float = 0.60
    used_at_start_share: float = 0.55
    """Hull-circuit anodes that were not new when the log began, with their measured size."""


@dataclass(frozen=True)
class Look:
    """One reading, with the truth beside it."""

    hull_id: str
    position: str
    at_h: float
    true_size_mm: float
    size_mm: float
    low_mm: float
    high_mm: float
    verdict: str | None
    removed: bool
    cleaned: bool
    potential_mv: float
    bond_ohm: float
    note: str | None
    crust_mm: float


@dataclass
class Record:
    """What the workshop did to one hull."""

    lives: list[Life] = field(default_factory=list)
    looks: list[Look] = field(default_factory=list)


@dataclass(frozen=True)
class _Reader:
    """Who reads this hull, and with which caliper."""

    noise_mm: float
    step_mm: float
    every_days: int


def _reader(policy: Looks, rng: np.random.Generator) -> _Reader:
    fine = rng.random() < policy.fine_rounding_share
    low, high = policy.every_days
    return _Reader(
        float(rng.uniform(*policy.caliper_mm)), 0.01 if fine else 0.1, int(rng.integers(low, high))
    )


def _round_to(value: float, step: float) -> float:
    """Rounded to a step, with no binary tail."""
    return round(round(value / step) * step, 2)


def _by_eye(
    life: Life, true_mm: float, policy: Looks, rng: np.random.Generator
) -> tuple[float, float]:
    """A range in half millimetres about what the eye makes of it (mm, mm)."""
    allowance = life.position.allowance_mm
    seen = true_mm + rng.normal(0.0, policy.by_eye_worn) * allowance
    half_width = max(0.15 * allowance, 0.5)
    low, high = _round_to(seen - half_width, 0.5), _round_to(seen + half_width, 0.5)
    new = life.position.new_size_mm
    high = min(high, new)
    return max(min(low, high - 0.5), 0.5), high


def _electrical(
    life: Life, at_h: float, world: World, rng: np.random.Generator
) -> tuple[float, float]:
    """Potential against silver/silver chloride (mV) and bond (ohm), where somebody measured."""
    if life.position.circuit != "hull" or rng.random() > 0.18:
        return np.nan, np.nan
    covered = any(
        (p.hull_id, p.position) == (life.hull_id, life.position.position)
        and life.fitted_h < world.calendar.hours(p.day, 12.0) <= at_h
        for p in world.scenario.stories.painted
    )
    resting = -640.0 if covered else -985.0
    return float(round(rng.normal(resting, 18.0))), float(round(rng.uniform(0.05, 0.4), 2))


def _read(
    life: Life, at_h: float, reader: _Reader, policy: Looks, world: World, rng: np.random.Generator
) -> Look:
    """One look at one anode."""
    true_mm = life.size_mm(at_h)
    kind = rng.random()
    size = low = high = np.nan
    crust = 0.0
    verdict = None
    worn = (life.position.new_size_mm - true_mm) / life.position.allowance_mm
    past = bool(worn + rng.normal(0.0, 0.05) >= 1.0)
    bare = policy.verdict_share_when_worn if past else policy.verdict_share
    if kind < bare:
        verdict = "worn" if past else "ok"
    elif kind < bare + policy.by_eye_share:
        low, high = _by_eye(life, true_mm, policy, rng)
    else:
        crust = float(rng.uniform(0.3, 0.9)) if rng.random() < policy.crust_share else 0.0
        size = _round_to(true_mm + crust + rng.normal(0.0, reader.noise_mm), reader.step_mm)
    potential, bond = _electrical(life, at_h, world, rng)
    return Look(
        life.hull_id, life.position.position, at_h, true_mm, size, low, high, verdict, False,
        crust == 0.0, potential, bond, "crusted, not brushed" if crust else None, crust,
    )  # fmt: skip


def _seems_worn(look: Look, position: Position) -> float:
    """What the workshop makes of a look, as worn; a bare verdict counts as 1 or as one half."""
    if look.verdict is not None:
        return 1.0 if look.verdict == "worn" else 0.5
    size = look.size_mm if np.isfinite(look.size_mm) else (look.low_mm + look.high_mm) / 2
    return (position.new_size_mm - size) / position.allowance_mm


def _next_visit_h(
    truth: HullTruth, world: World, at_day: int, gap_days: int, rng: np.random.Generator
) -> tuple[int, float]:
    """Day and hour of the next visit; in winter there are two: after lay-up, before relaunch."""
    hull = truth.hull
    day = at_day + gap_days
    winter_looks = (hull.lay_up_day + 3, hull.relaunch_day - 2)
    for look_day in winter_looks:
        if at_day < look_day <= day or (
            look_day == winter_looks[1] and winter_looks[0] <= at_day < look_day
        ):
            day = look_day
            break
    return day, float(world.calendar.hours(day, round(rng.uniform(7.2, 8.7), 2)))


class Workshop:
    """One hull's anodes through time. Call ``run`` once."""

    def __init__(self, truth: HullTruth, world: World, policy: Looks, streams: Streams) -> None:
        """Get ready to work on that hull; nothing is fitted yet."""
        self.truth, self.world, self.policy, self.streams = truth, world, policy, streams
        self.rng = streams["looks"]
        self.reader = _reader(policy, self.rng)
        self.positions = world.scenario.positions_of(truth.hull.layout)
        self.current: dict[str, Life] = {}
        self.record = Record()
        stories, hull_id = world.scenario.stories, truth.hull.hull_id
        self.forced = [
            *[(w.day, w.position, w.alloy) for w in stories.wrong_alloys if w.hull_id == hull_id],
            *[(p.day, p.position, "") for p in stories.painted if p.hull_id == hull_id],
        ]

    def _fit(
        self, position: Position, at_h: float, start_worn: float = 0.0, alloy: str = ""
    ) -> None:
        number = sum(life.position is position for life in self.record.lives) + 1
        life = begin_life(
            self.truth, position, self.world, self.streams,
            number=number, fitted_h=at_h, start_worn=start_worn, alloy=alloy or position.alloy,
            factor=draw_factor(self.streams["factor"], self.world.physics.anode_spread),
            batch=f"B{int(at_h // (24 * 90)) + 1:02d}",
        )  # fmt: skip
        self.current[position.position] = life
        self.record.lives.append(life)

    def _first_fit(self) -> None:
        at_h = float(self.world.calendar.hours(self.truth.hull.launch_day, 5.5))
        for position in self.positions:
            used = (
                position.circuit == "hull" and self.rng.random() < self.policy.used_at_start_share
            )
            worn = float(self.rng.uniform(0.1, 0.7)) if used else 0.0
            worn = round(worn * position.allowance_mm, 1) / position.allowance_mm
            self._fit(position, at_h, worn)

    def _change(self, position: Position, at_h: float, alloy: str = "") -> None:
        after_h = at_h + 0.5
        self.current[position.position].removed_h = after_h
        self._fit(position, after_h, alloy=alloy)

    def _look_at(self, position: Position, at_h: float, spring: bool) -> float:
        """Read one anode, change it if it calls for that; what it seemed (worn)."""
        life = self.current[position.position]
        look = _read(life, at_h, self.reader, self.policy, self.world, self.rng)
        seems = _seems_worn(look, position)
        bar = (
            self.policy.relaunch_change_above_worn
            if spring
            else float(self.rng.uniform(*self.policy.change_above_worn))
        )
        short = self.rng.random() < self._share(
            at_h, self.policy.part_short_share, self.policy.behind_part_short_share
        )
        change = seems >= bar and not short
        self.record.looks.append(Look(**{**look.__dict__, "removed": change}))
        if change:
            self._change(position, at_h)
        return 0.0 if change else seems

    def _groups(self) -> Iterator[tuple[Position, ...]]:
        for group in dict.fromkeys(p.access_group for p in self.positions):
            yield tuple(p for p in self.positions if p.access_group == group)

    def _visit(self, at_h: float, spring: bool) -> float:
        """Look through the hull; the largest worn left in it."""
        left = 0.0
        for group in self._groups():
            if spring or self.rng.random() >= self.policy.skipped_group_share:
                left = max(left, *(self._look_at(p, at_h, spring) for p in group))
        return left

    def _stories_until(self, at_h: float) -> None:
        """Anodes that a story wants fitted before the moment: wrong ones, and painted ones."""
        for forced in [f for f in self.forced if self.world.calendar.hours(f[0], 8.0) < at_h]:
            self.forced.remove(forced)
            day, name, alloy = forced
            self._swap_at(next(p for p in self.positions if p.position == name), day, alloy)

    def _swap_at(self, position: Position, day: int, alloy: str) -> None:
        at_h = float(self.world.calendar.hours(day, 7.0))
        life = self.current[position.position]
        look = _read(life, at_h, self.reader, self.policy, self.world, self.rng)
        self.record.looks.append(Look(**{**look.__dict__, "removed": True}))
        self._change(position, at_h, alloy)

    def _last_h(self) -> float:
        """No look after this: the last moment, the sale, or the day people stopped looking."""
        hull = self.truth.hull
        unread = dict(self.world.scenario.stories.unread).get(hull.hull_id, 10**6)
        return min(self.world.end_h, 24.0 * min(unread, hull.last_day))

    def run(self) -> Record:
        """All visits from the launch to the last moment."""
        self._first_fit()
        hull, last_h = self.truth.hull, self._last_h()
        gap = int(self.rng.integers(10, self.reader.every_days + 1))
        day, at_h = _next_visit_h(self.truth, self.world, hull.launch_day, gap, self.rng)
        while at_h < last_h:
            self._stories_until(at_h)
            left = self._visit(at_h, spring=day == hull.relaunch_day - 2)
            gap = self._gap_days(left, at_h)
            day, at_h = _next_visit_h(self.truth, self.world, day, gap, self.rng)
        self._stories_until(self.world.end_h)
        return self.record

    def _gap_days(self, left_worn: float, at_h: float) -> int:
        if left_worn > self.policy.soon_above_worn:
            return int(self.rng.integers(*self.policy.soon_days))
        gap = max(7, self.reader.every_days + int(self.rng.integers(-3, 4)))
        missed = self._share(at_h, self.policy.missed_share, self.policy.behind_missed_share)
        return gap * 2 if self.rng.random() < missed else gap

    def _share(self, at_h: float, usual: float, behind: float) -> float:
        """The usual share, or the one that rules while the workshop is behind."""
        is_behind = at_h >= 24.0 * self.world.scenario.stories.backlog_day
        return behind if is_behind else usual
