"""One hull's whole time cut where anything changes, and the mean wear in each piece."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .craft import Hull
from .physics import Floats, Physics, warmth, wet_hours
from .plans import FRESH, Plan
from .use import Use, berth_at
from .waters import Mooring

STEP_H = 3.0
ENGINE_HEAT = 0.6  # under Arrhenius' law, warmth outside counts this much inside a hot engine


@dataclass(frozen=True)
class Timeline:
    """Pieces of time of one hull: `bound_h` has one more entry than the other arrays.

    Hours are those spent in a state within the piece, `*_water` the water it was spent in, and
    `*_mm` the mean surface wear of an average hull that it brought.
    """

    bound_h: Floats
    mooring: NDArray[np.int64]
    running_h: Floats
    running_water: NDArray[np.int64]
    unflushed_h: Floats
    wet_h: Floats
    wet_water: NDArray[np.int64]
    afloat_h: Floats
    afloat_water: NDArray[np.int64]
    running_mm: Floats
    unflushed_mm: Floats
    flooded_mm: Floats
    afloat_mm: Floats

    def circuit_mm(self, circuit: int) -> Floats:
        """Mean surface wear of a circuit (0 engine, 1 hull) in each piece."""
        engine = self.running_mm + self.unflushed_mm + self.flooded_mm
        return engine if circuit == 0 else self.afloat_mm

    def circuit_water(self, circuit: int) -> NDArray[np.int64]:
        """Water that wets a circuit: what the engine ran in last, what the hull lies in."""
        return self.running_water if circuit == 0 else self.afloat_water


def build_timeline(
    hull: Hull,
    use: Use,
    extra_h: Floats,
    end_h: float,
    plan: Plan,
    physics: Physics,
    moorings: list[Mooring],
    step_h: float = STEP_H,
) -> Timeline:
    """Cut the hull's time at every event, and work out each piece's mean wear."""
    since = np.array([berth.since_h for berth in hull.berths])
    grid = np.arange(0, end_h + step_h / 2, step_h)
    cuts = np.concatenate([grid, use.start_h, use.end_h, use.flush_h, extra_h, since])
    bound = np.unique(np.clip(cuts, 0, end_h))
    middle, length = (bound[1:] + bound[:-1]) / 2, np.diff(bound)
    berth = berth_at(hull, middle)
    mooring = np.array([each.mooring for each in hull.berths])[berth]
    afloat = np.array([each.afloat for each in hull.berths])[berth]
    home = np.array([each.water for each in moorings])[mooring]
    after = np.searchsorted(use.start_h, middle, side="right") - 1
    out = _out(use, after, middle)
    pace, ran_in = _running(use, after, out, home)
    wet, wet_h = _wet(use, after, out, bound, physics, plan.dose_minutes)
    wet &= (ran_in != FRESH) & ~(afloat & plan.flooded_afloat)
    in_water = afloat | out
    in_service = (middle >= hull.joins_day * 24) & (middle < hull.leaves_day * 24)
    length = np.where(in_service, length, 0.0)
    wet &= in_service
    lies_in = np.where(out, ran_in, home)
    heat = _heat(mooring, middle, moorings, physics)
    running_h, wet_h = length * pace, np.where(wet, wet_h, 0.0)
    afloat_h = np.where(in_water, length, 0.0)
    flooded_h = np.where(afloat & ~out, length, 0.0)
    inside = heat ** (ENGINE_HEAT if physics.temperature_law == "arrhenius" else plan.engine_heat)
    salt = _salinity(mooring, middle, moorings, physics)
    return Timeline(
        bound_h=bound,
        mooring=mooring,
        running_h=running_h,
        running_water=ran_in,
        unflushed_h=np.where(wet, length, 0.0),
        wet_h=wet_h,
        wet_water=ran_in,
        afloat_h=afloat_h,
        afloat_water=lies_in,
        running_mm=inside * salt * physics.running_mm_per_h[ran_in] * running_h,
        unflushed_mm=heat * salt * physics.unflushed_mm_per_h[ran_in] * wet_h,
        flooded_mm=heat * salt * physics.flooded_mm_per_h[home] * flooded_h,
        afloat_mm=heat * salt * physics.afloat_mm_per_h[lies_in] * afloat_h,
    )


def _out(use: Use, after: NDArray[np.int64], middle: Floats) -> NDArray[np.bool_]:
    """Whether the hull is out at each piece's middle."""
    if not len(use.end_h):
        return np.zeros(len(middle), bool)
    return (after >= 0) & (middle < use.end_h[np.maximum(after, 0)])


def _running(
    use: Use, after: NDArray[np.int64], out: NDArray[np.bool_], home: NDArray[np.int64]
) -> tuple[Floats, NDArray[np.int64]]:
    """Engine hours an hour, and the water the engine last ran in."""
    if not len(use.end_h):
        return np.zeros(len(home)), home
    last = np.maximum(after, 0)
    share = use.engine_h / (use.end_h - use.start_h)
    return np.where(out, share[last], 0.0), np.where(after >= 0, use.water[last], home)


def _wet(
    use: Use,
    after: NDArray[np.int64],
    out: NDArray[np.bool_],
    bound: Floats,
    physics: Physics,
    dose_minutes: float = 0.0,
) -> tuple[NDArray[np.bool_], Floats]:
    """Where the passages lie wet and unrinsed, and the effective wet hours of each piece."""
    pieces = len(bound) - 1
    if not len(use.end_h):
        return np.zeros(pieces, bool), np.zeros(pieces)
    stopped = use.end_h[np.maximum(after, 0)]
    flushes = np.concatenate([[-np.inf], use.flush_h])
    last = np.searchsorted(flushes, bound[:-1], side="right") - 1
    left = np.where(flushes[last] >= stopped, 0.0, 1.0)
    if dose_minutes and use.flush_minutes is not None:
        minutes = np.concatenate([[0.0, 0.0], np.cumsum(use.flush_minutes)])
        before = np.searchsorted(flushes, stopped, side="left") - 1
        since = minutes[last + 1] - minutes[before + 1]
        left = np.exp(-since / dose_minutes)
    wet = (after >= 0) & ~out & (left > 0)
    age = np.maximum(bound[:-1] - stopped, 0), np.maximum(bound[1:] - stopped, 0)
    gathered = [wet_hours(each, physics.drying, physics.tau_h) for each in age]
    return wet, left * (gathered[1] - gathered[0])


def _heat(
    mooring: NDArray[np.int64], middle: Floats, moorings: list[Mooring], physics: Physics
) -> Floats:
    """Wear factor from water temperature."""
    heat = np.ones(len(middle))
    for number in np.unique(mooring):
        there = mooring == number
        heat[there] = warmth(moorings[number].temperature_c(middle[there]), physics)
    return heat


def _salinity(
    mooring: NDArray[np.int64], middle: Floats, moorings: list[Mooring], physics: Physics
) -> Floats:
    """Wear factor from the mooring itself, and from salinity where the physics knows it."""
    factor = np.ones(len(middle))
    for number in np.unique(mooring):
        there, home = mooring == number, moorings[number]
        relative = home.salinity(middle[there]) / home.salinity_g_per_kg
        factor[there] = home.rate_factor * relative**physics.salinity_power
    return factor
