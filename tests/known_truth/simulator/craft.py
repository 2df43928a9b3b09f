"""Hulls, their berths, and the anodes that their layouts call for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .physics import Floats, Physics, unit_effects
from .plans import FRESH, Plan
from .waters import Mooring

ENGINE, HULL = range(2)


@dataclass(frozen=True)
class Position:
    """A place for an anode on a layout."""

    layout: str
    position: str
    circuit: int
    gauge: str
    new_size_mm: float
    limit_size_mm: float
    loss_per_surface_mm: float  # mm of the gauge lost for each mm of surface wear
    access_group: str

    @property
    def allowance_mm(self) -> float:
        return self.new_size_mm - self.limit_size_mm


@dataclass(frozen=True)
class Berth:
    """From `since_h` on, the hull lives there."""

    mooring: int
    afloat: bool
    since_h: float


@dataclass(frozen=True)
class Hull:
    """One hull with its habits and its own pace of wear."""

    hull_id: str
    layout: str
    berths: tuple[Berth, ...]
    joins_day: int
    leaves_day: int
    popularity: float
    flush_chance: float
    can_flush_afloat: bool
    pace: tuple[float, float]  # engine circuit, hull circuit; mean 1


# name, circuit, gauge, new, limit, gauge mm lost per surface mm
PARTS = (
    ("cooler-pencil", ENGINE, "diameter", 9.0, 6.4, 2.0),
    ("jacket-pencil", ENGINE, "diameter", 10.0, 7.0, 2.0),
    ("block-fore", ENGINE, "length", 16.0, 10.5, 1.6),
    ("block-aft", ENGINE, "length", 16.0, 10.5, 1.6),
    ("manifold-plug", ENGINE, "length", 12.0, 7.8, 1.6),
    ("pump-plate", HULL, "thickness", 15.0, 10.0, 1.3),
    ("bracket-bar", HULL, "thickness", 20.0, 13.3, 1.5),
    ("shaft-collar", HULL, "thickness", 9.0, 5.6, 1.1),
    ("transom-plate", HULL, "thickness", 12.0, 7.5, 1.1),
)


def draw_positions(plan: Plan, rng: np.random.Generator) -> dict[str, list[Position]]:
    """Draw each layout's anodes: five to eight of them, both circuits, sizes of its own."""
    count = int(rng.integers(plan.layouts[0], plan.layouts[1] + 1))
    return {f"L{number + 1}": _layout(f"L{number + 1}", rng) for number in range(count)}


def _layout(layout: str, rng: np.random.Generator) -> list[Position]:
    engine = rng.choice([0, 1, 2, 3, 4], size=int(rng.integers(3, 6)), replace=False)
    hull = rng.choice([5, 6, 7, 8], size=int(rng.integers(2, 4)), replace=False)
    return [_position(layout, int(part), rng) for part in sorted([*engine, *hull])]


def _position(layout: str, part: int, rng: np.random.Generator) -> Position:
    name, circuit, gauge, new, limit, loss = PARTS[part]
    size = rng.uniform(0.85, 1.2)
    return Position(
        layout=layout,
        position=name,
        circuit=circuit,
        gauge=gauge,
        new_size_mm=round(new * size, 1),
        limit_size_mm=round(limit * size, 1),
        loss_per_surface_mm=loss * float(np.exp(rng.normal(0, 0.25))),
        access_group=f"{layout}-{'engine' if circuit == ENGINE else 'outside'}",
    )


def draw_hulls(
    plan: Plan,
    physics: Physics,
    moorings: list[Mooring],
    layouts: list[str],
    rng: np.random.Generator,
) -> list[Hull]:
    """Draw the hulls; every mooring has some, and some move."""
    paces = unit_effects(
        plan.hull_law, physics.hull_spread, plan.hulls, physics.circuits_alike, rng
    )
    popularity = np.exp(rng.normal(0, 0.25, plan.hulls))
    popularity = popularity * _pull_of_homes(plan, moorings, rng)
    chances = _flush_chances(plan, popularity, rng)
    afloat_share = rng.uniform(*plan.afloat_share)
    made = []
    for number in range(plan.hulls):
        joins, leaves = _service(plan, number, rng)
        made.append(
            Hull(
                hull_id=f"H{number + 1:02d}",
                layout=layouts[int(rng.integers(len(layouts)))],
                berths=_berths(plan, _home(number, moorings), len(moorings), afloat_share, rng),
                joins_day=joins,
                leaves_day=leaves,
                popularity=float(popularity[number]) * plan.demand,
                flush_chance=float(chances[number]),
                can_flush_afloat=bool(rng.random() < plan.afloat_can_flush),
                pace=(float(paces[number, ENGINE]), float(paces[number, HULL])),
            )
        )
    return made


def _home(number: int, moorings: list[Mooring]) -> int:
    """Moorings in turn, save that of five turns the fresh ones get but one."""
    wet = [index for index, each in enumerate(moorings) if each.water != FRESH]
    dry = [index for index, each in enumerate(moorings) if each.water == FRESH]
    if not dry or not wet:
        return number % len(moorings)
    turn = number % 5
    if turn == 2:
        return dry[(number // 5) % len(dry)]
    return wet[(number // 5 * 4 + turn - (turn > 2)) % len(wet)]


def _pull_of_homes(plan: Plan, moorings: list[Mooring], rng: np.random.Generator) -> Floats:
    """How much more the hulls of each mooring are asked for, hull by hull."""
    if not plan.mooring_use_spread:
        return np.ones(plan.hulls)
    pull = np.exp(rng.normal(0, plan.mooring_use_spread, len(moorings)))
    return pull[[_home(number, moorings) for number in range(plan.hulls)]]


def _flush_chances(plan: Plan, popularity: Floats, rng: np.random.Generator) -> Floats:
    """Chance that the last return of a day is followed by a rinse, hull by hull."""
    if plan.flush_habit == "own":
        return rng.beta(2.0, 1.6, len(popularity))
    busy = np.log(popularity) / 0.25
    return 1 / (1 + np.exp(-(0.3 - 1.4 * busy + rng.normal(0, 0.5, len(popularity)))))


def _service(plan: Plan, number: int, rng: np.random.Generator) -> tuple[int, int]:
    """First day, and the day it leaves (far beyond the end when it stays)."""
    late, gone = rng.random(2)
    joins = int(rng.integers(0, 10))
    if number and late < plan.late_share:
        joins = int(plan.days * rng.uniform(0.3, 0.7))
    elif number and gone < plan.retired_share:
        return joins, int(plan.days * rng.uniform(0.5, 0.9))
    return joins, 10**6


def _berths(
    plan: Plan, mooring: int, moorings: int, afloat_share: float, rng: np.random.Generator
) -> tuple[Berth, ...]:
    first = Berth(mooring, bool(rng.random() < afloat_share), 0.0)
    if rng.random() >= plan.moved_share:
        return (first,)
    since_h = 24.0 * int(plan.days * rng.uniform(0.2, 0.8)) + 6.0
    elsewhere = int((mooring + rng.integers(0, moorings)) % moorings)
    return (first, Berth(elsewhere, not first.afloat, since_h))
