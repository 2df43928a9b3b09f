"""What does not behave: hulls and berths that wear too fast, anodes that do not wear at all."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .craft import HULL, Hull, Position
from .physics import Floats
from .plans import FRESH, Plan
from .waters import Mooring

HOT_HULL, HOT_BERTH, UNBONDED, PAINTED = "hot-hull", "hot-berth", "unbonded", "painted"


@dataclass(frozen=True)
class Stray:
    """From `from_h` to `to_h` the wear of a hull, or of one of its anodes, is `factor` times."""

    kind: str
    hull_id: str
    position: str | None  # None: every anode that the kind acts on
    circuit: int | None  # None: both
    from_h: float
    to_h: float
    factor: float

    def acts_on(self, hull: Hull, position: Position) -> bool:
        return (
            hull.hull_id == self.hull_id
            and self.position in (None, position.position)
            and self.circuit in (None, position.circuit)
        )


def pace_over_time(
    strays: list[Stray], hull: Hull, position: Position, middle_h: Floats
) -> Floats | None:
    """Factor on the wear of one anode at each moment; None where nothing strays."""
    acting = [each for each in strays if each.acts_on(hull, position)]
    if not acting:
        return None
    factor = np.ones(len(middle_h))
    for each in acting:
        factor[(middle_h >= each.from_h) & (middle_h < each.to_h)] *= each.factor
    return factor


def draw_strays(
    plan: Plan,
    hulls: list[Hull],
    layouts: dict[str, list[Position]],
    moorings: list[Mooring],
    rng: np.random.Generator,
) -> list[Stray]:
    """Choose who strays, and from when on; the hulls of one kind are left alone by the others."""
    order = rng.permutation(len(hulls))
    free = [hulls[int(each)] for each in order if _stays_salty(hulls[int(each)], moorings)]
    made: list[Stray] = []
    for kind, count in ((HOT_HULL, plan.hot_hulls), (UNBONDED, plan.unbonded)):
        made += [_one(kind, free.pop(), plan, layouts, rng) for _ in range(count)]
    made += _painted(plan, free, layouts)
    return made + _hot_berth(plan, free, rng)


def _one(
    kind: str, hull: Hull, plan: Plan, layouts: dict[str, list[Position]], rng: np.random.Generator
) -> Stray:
    from_h = 24.0 * plan.days * float(rng.uniform(*plan.strays_from))
    if kind == HOT_HULL:
        own = float(np.mean(hull.pace)) if plan.hot_beside_sisters else 1.0
        return Stray(kind, hull.hull_id, None, None, from_h, np.inf, plan.hot_factor / own)
    # an anode that lies dry wears next to nothing anyway: none of those
    lies_wet = hull.berths[0].afloat
    places = [each for each in layouts[hull.layout] if lies_wet or each.circuit != HULL]
    anode = places[int(rng.integers(len(places)))]
    return Stray(kind, hull.hull_id, anode.position, anode.circuit, from_h, np.inf, 0.0)


def _painted(plan: Plan, free: list[Hull], layouts: dict[str, list[Position]]) -> list[Stray]:
    """One plate of so many lifted hulls is painted over from the first day."""
    lifted = [each for each in free if not each.berths[0].afloat][: plan.painted]
    made = []
    for hull in lifted:
        free.remove(hull)
        plate = next(each for each in layouts[hull.layout] if each.circuit == HULL)
        made.append(Stray(PAINTED, hull.hull_id, plate.position, HULL, 0.0, np.inf, 0.05))
    return made


def _hot_berth(plan: Plan, free: list[Hull], rng: np.random.Generator) -> list[Stray]:
    """Half the hulls afloat at one salt mooring share a hot pontoon for some weeks."""
    if not plan.hot_weeks:
        return []
    afloat = [each for each in free if each.berths[0].afloat]
    counts = np.bincount([each.berths[0].mooring for each in afloat])
    there = [each for each in afloat if each.berths[0].mooring == int(counts.argmax())]
    from_h = 24.0 * plan.days * float(rng.uniform(*plan.strays_from))
    to_h = from_h + 168.0 * plan.hot_weeks
    return [
        Stray(HOT_BERTH, each.hull_id, None, HULL, from_h, to_h, plan.hot_berth_factor)
        for each in there[: max(int(plan.hot_berth_share * len(there)), 3)]
    ]


def _stays_salty(hull: Hull, moorings: list[Mooring]) -> bool:
    """In service from the start to the end, in salt or brackish water, at one berth."""
    at = [moorings[each.mooring].water for each in hull.berths]
    stays = hull.joins_day < 30 and hull.leaves_day > 10**5 and len(hull.berths) == 1
    return stays and all(water != FRESH for water in at)
