"""Anode lives: wear from the first day to the simulated end, and the yard that looks at them.

A life goes on in truth after the yard has taken the anode out, under what the hull really did.
That is what "if nobody touches it" means, and what a forecast is scored against.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from .craft import Hull, Position
from .physics import Floats, Physics, shrinking
from .plans import Plan
from .strays import Stray, pace_over_time
from .timeline import Timeline

FIT_AFTER_LOOK_H = 0.5
MISSED_LOOK_SHARE = 0.1
SPENT = 0.85


@dataclass(frozen=True)
class Life:
    """One anode: `worn` at each of `bound_h`, the first being the moment it was fitted."""

    hull_id: str
    position: Position
    fitted_h: float
    removed_h: float  # inf while it is in service
    bound_h: Floats
    worn: Floats
    pace: float  # hull, anode and position together: worn for each mm of mean surface wear
    alloy: str = ""  # where it is another one than is listed

    def worn_at(self, time_h: float) -> float:
        """True share of the allowance used up."""
        return float(np.interp(time_h, self.bound_h, self.worn))

    def crossing_h(self) -> float:
        """When worn reaches 1; inf when it does not before the simulated end."""
        first = int(np.searchsorted(self.worn, 1.0))
        if first == len(self.worn):
            return np.inf
        before, after = self.worn[first - 1], self.worn[first]
        share = (1.0 - before) / (after - before)
        return float(self.bound_h[first - 1] + share * np.diff(self.bound_h)[first - 1])


@dataclass(frozen=True)
class Look:
    """Somebody looked at an anode; unknown sizes are NaN and an unknown verdict is empty."""

    hull_id: str
    position: Position
    read_h: float
    worn: float  # the truth
    size_mm: float = np.nan
    size_low_mm: float = np.nan
    size_high_mm: float = np.nan
    verdict: str | None = None
    removed: bool = False
    cleaned: bool | None = None


class OtherAlloys:
    """Anodes of another alloy than is listed: how often they are fitted, and how fast they wear.

    Paces by water, against the listed alloy, are drawn by seed; zinc is listed. Magnesium goes four
    to twelve times as fast in salt water, aluminium somewhat slower (common practice, no source).
    """

    def __init__(self, share: float, dice: np.random.Generator) -> None:
        self.share, self.dice = share, dice
        magnesium = dice.uniform(4.0, 12.0) * np.array([1.0, dice.uniform(0.7, 1.1), 0.5])
        aluminium = dice.uniform(0.6, 1.0, 3)
        self.pace = {"": np.ones(3), "magnesium": magnesium, "aluminium": aluminium}

    def drawn(self) -> str:
        """The alloy of the next anode fitted; empty for the one that is listed."""
        other = self.dice.random() < self.share
        return str(self.dice.choice(["magnesium", "aluminium"])) if other else ""


@dataclass
class Yard:
    """The routine of looking and changing, and everything that it has written down."""

    plan: Plan
    physics: Physics
    rng: np.random.Generator
    strays: list[Stray] = field(default_factory=list)
    alloys: OtherAlloys | None = None
    dice: np.random.Generator = field(default_factory=np.random.default_rng)
    lives: list[Life] = field(default_factory=list)
    looks: list[Look] = field(default_factory=list)
    spent: dict[tuple[str, int], Floats] = field(default_factory=dict)

    def keep(self, hull: Hull, position: Position, line: Timeline, visit_h: Floats) -> None:
        """Carry one position of one hull from its first anode to the last visit."""
        fitted_h, seen = hull.joins_day * 24.0 + 6.0, 0
        mean_mm = line.circuit_mm(position.circuit)
        middle_h = (line.bound_h[1:] + line.bound_h[:-1]) / 2
        factor = pace_over_time(self.strays, hull, position, middle_h)
        mean_mm = mean_mm if factor is None else mean_mm * factor
        beside = self.spent.setdefault((hull.hull_id, position.circuit), np.zeros(len(middle_h)))
        mean_mm = mean_mm * (1 + self.plan.spent_drives * (beside > SPENT))
        water = line.circuit_water(position.circuit)
        while True:
            alloy = self.alloys.drawn() if self.alloys else ""
            of_alloy = mean_mm * self.alloys.pace[alloy][water] if self.alloys else mean_mm
            life = self._grow(hull, position, line, of_alloy, fitted_h)
            life = replace(life, alloy=alloy)
            seen, removed_h = self._look_until_changed(life, visit_h, seen)
            self.lives.append(_ended(life, removed_h))
            lived = (middle_h > fitted_h) & (middle_h < removed_h)
            worn = np.interp(middle_h[lived], life.bound_h, life.worn)
            beside[lived] = np.maximum(beside[lived], worn)
            if not np.isfinite(removed_h):
                return
            fitted_h = removed_h + FIT_AFTER_LOOK_H

    def _grow(
        self, hull: Hull, position: Position, line: Timeline, mean_mm: Floats, fitted_h: float
    ) -> Life:
        """One anode's wear: gamma increments about the mean, never negative."""
        first = int(np.searchsorted(line.bound_h, fitted_h))
        own = float(np.exp(self.rng.normal(0, self.physics.anode_spread)))
        share = position.loss_per_surface_mm / position.allowance_mm
        pace = hull.pace[position.circuit] * own * share
        scatter = self.physics.process_sd**2
        steps = scatter * self.rng.standard_gamma(mean_mm[first:] * pace / scatter)
        speeds_up = self.plan.growth_of in ("", position.gauge)
        growth = self.physics.growth if speeds_up else 0.0
        worn = shrinking(np.concatenate([[0.0], np.cumsum(steps)]), growth)
        return Life(hull.hull_id, position, fitted_h, np.inf, line.bound_h[first:], worn, pace)

    def _look_until_changed(self, life: Life, visit_h: Floats, seen: int) -> tuple[int, float]:
        """Look at every visit after the fitting; the visit reached and when it was taken out."""
        worn = np.interp(visit_h, life.bound_h, life.worn)
        for number in range(seen, len(visit_h)):
            if visit_h[number] <= life.fitted_h or self.rng.random() < MISSED_LOOK_SHARE:
                continue
            noisy = self.measured(life.position, float(worn[number]))
            change = noisy >= np.clip(self.rng.normal(0.93, 0.07), 0.75, 1.1)
            look = Look(life.hull_id, life.position, visit_h[number], float(worn[number]))
            if self.plan.changed_blindly and self.dice.random() < self.plan.changed_blindly:
                return number + 1, float(visit_h[number])
            if (
                change
                and self.plan.unread_changes
                and self.dice.random() < self.plan.unread_changes
            ):
                return number + 1, float(visit_h[number])
            self.looks.append(self.written(look, noisy, bool(change)))
            if change:
                return number + 1, float(visit_h[number])
        return len(visit_h), np.inf

    def measured(self, position: Position, worn: float) -> float:
        """What a caliper shows, as a share of the allowance."""
        noise_mm = self.plan.reading_noise_mm * (1 + self.plan.pitted_noise * min(worn, 1.5))
        return worn + noise_mm * self.rng.normal() / position.allowance_mm

    def written(self, look: Look, noisy: float, change: bool) -> Look:
        """The look as it stands in the log: a size, a range by eye, or a bare verdict."""
        position, plan = look.position, self.plan
        values: dict[str, object] = dict(vars(look), removed=change)
        kind = self.rng.random()
        if kind < plan.verdict_share:
            values["verdict"] = "worn" if noisy >= 1 else "ok"
        elif kind < plan.verdict_share + plan.by_eye_share:
            values |= self._by_eye(position, look.worn)
        else:
            size = position.new_size_mm - noisy * position.allowance_mm
            steps = np.round(size / plan.rounding_mm)
            crust_mm = 0.0
            if plan.crust_mm:
                values["cleaned"] = bool(self.dice.random() < 0.5)
                crust_mm = 0.0 if values["cleaned"] else self.dice.exponential(plan.crust_mm)
            size_mm = float(steps * plan.rounding_mm) + crust_mm
            values["size_mm"] = round(max(size_mm, 0.1), 3)
        return Look(**values)  # type: ignore[arg-type]

    def _by_eye(self, position: Position, worn: float) -> dict[str, object]:
        """A range as wide as an eye is good: some 15 points of the allowance either way."""
        seen = worn + self.rng.normal(0, 0.1)
        ends = position.new_size_mm - (seen + np.array([0.15, -0.15])) * position.allowance_mm
        low, high = np.clip(np.array([np.floor(ends[0] * 2), np.ceil(ends[1] * 2)]) / 2, 0, None)
        high = min(high, position.new_size_mm)  # nobody sees more than was there when new
        return {"size_low_mm": float(min(low, high - 0.5)), "size_high_mm": float(high)}


def _ended(life: Life, removed_h: float) -> Life:
    return replace(life, removed_h=removed_h)


def draw_visits(hull: Hull, plan: Plan, rng: np.random.Generator) -> Floats:
    """When the yard looks at a hull: early mornings, before the first hire."""
    last = min(plan.days, hull.leaves_day)
    gaps = rng.uniform(*plan.read_every_days, size=int(last / plan.read_every_days[0]) + 2)
    first = hull.joins_day + rng.uniform(4, plan.read_every_days[1])
    days = np.floor(first + np.cumsum(gaps) - gaps[0])
    days = days[days < last]
    return np.asarray(days * 24 + np.round(rng.uniform(6.9, 8.1, len(days)) * 60) / 60)
