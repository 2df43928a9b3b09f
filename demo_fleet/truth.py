"""The true wear of one hull: its factor, its hours, its water, and the life of each anode in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from demo_fleet.clock import Calendar, Floats, Ints
from demo_fleet.scenario import WATERS, Position, Scenario
from demo_fleet.season import Habits, Hull, Weather, home_on, sail
from demo_fleet.yard import (
    Exposure,
    Physics,
    Use,
    alloy_factors,
    berth_at,
    by_state_mm,
    expose,
    share_per_surface_mm,
    temperature_factor,
    wear_path,
)

Streams = dict[str, np.random.Generator]


@dataclass(frozen=True)
class World:
    """What all hulls share."""

    scenario: Scenario
    physics: Physics
    habits: Habits
    calendar: Calendar
    weather: Weather

    @property
    def marks_h(self) -> Floats:
        """Hourly grid from the first moment to the horizon."""
        return np.arange(24 * self.scenario.horizon_days + 1, dtype=np.float64)

    @property
    def mooring_water(self) -> Ints:
        """Index into WATERS of each mooring's water."""
        return np.array([WATERS.index(m.water) for m in self.scenario.moorings], dtype=np.int64)

    @property
    def end_h(self) -> float:
        """The last logged moment: a Monday morning, 07:10."""
        return float(self.calendar.hours(self.scenario.days, 7.0 + 10 / 60))


@dataclass(frozen=True)
class HullTruth:
    """One hull's true use and what multiplies its wear, hour by hour."""

    hull: Hull
    use: Use
    exposure: Exposure
    factor: float
    warmth: Floats
    """Temperature factor (hours,)."""
    stray: Floats
    """Stray-current factor on the hull circuit (hours,)."""

    def states_mm(self, circuit: str, physics: Physics) -> dict[str, Floats]:
        """Expected surface loss by state, (hours, waters), all the hull's own factors in it."""
        scale = self.factor * self.warmth * (self.stray if circuit == "hull" else 1.0)
        states = by_state_mm(self.exposure, circuit, physics)
        return {state: mm * scale[:, None] for state, mm in states.items()}


@dataclass
class Life:
    """One anode from its fitting on; its wear is known to the horizon as if nobody touched it."""

    hull_id: str
    position: Position
    number: int
    fitted_h: float
    start_worn: float
    alloy: str
    factor: float
    path: Floats
    """Worn at the hourly marks from the first mark not before the fitting."""
    batch: str
    removed_h: float = np.inf
    written: bool = True
    """The fitting is in the log."""

    @property
    def first_mark(self) -> int:
        """Index of the grid mark at which the path starts."""
        return int(np.ceil(self.fitted_h))

    def worn(self, at_h: Floats) -> Floats:
        """Worn (share of the allowance) at moments in or after this life."""
        marks = self.first_mark + np.arange(len(self.path))
        return np.asarray(np.interp(at_h, marks, self.path), dtype=np.float64)

    def size_mm(self, at_h: float) -> float:
        """Size at a moment; an anode never vanishes wholly."""
        worn = float(self.worn(np.array([at_h]))[0])
        new = self.position.new_size_mm
        return max(new - worn * self.position.allowance_mm, 0.15 * new)

    def crossing_h(self) -> float:
        """First moment at which worn is 1, within the hour by interpolation; inf if never."""
        past = int(np.searchsorted(self.path, 1.0, side="left"))
        if past == len(self.path):
            return np.inf
        if past == 0:
            return self.fitted_h
        low, high = self.path[past - 1], self.path[past]
        return self.first_mark + past - 1 + float((1.0 - low) / (high - low))


def _stray_factor(use: Use, world: World) -> Floats:
    """Stray-current factor on every hour of the grid (hours,)."""
    hours = world.marks_h[:-1]
    row = berth_at(use.berths, hours + 0.5)
    out = np.ones(len(hours))
    places = [m.mooring_id for m in world.scenario.moorings]
    pontoons = np.array(use.berths.pontoon, dtype=object)[row]
    for stray in world.scenario.stories.strays:
        first, last = world.calendar.hours([stray.first_day, stray.first_day + stray.days], 0.0)
        there = (use.berths.mooring[row] == places.index(stray.mooring_id)) & (
            pontoons == stray.pontoon
        )
        out[there & use.berths.afloat[row] & (hours >= first) & (hours < last)] = stray.factor
    return out


def _water_temperature(hull: Hull, world: World) -> Floats:
    """Water temperature at the hull's home on every hour of the grid (C)."""
    days = world.calendar.day_of(world.marks_h[:-1] + 0.5)
    home = home_on(hull, world.scenario, days)
    out = np.empty(len(days))
    for mooring_id, series in world.weather.temperature_c.items():
        there = home == mooring_id
        out[there] = series[days[there]]
    return out


def hull_truth(hull: Hull, world: World, streams: Streams) -> HullTruth:
    """One hull's year, with its wear factor leaning on how hard it is worked."""
    lean = world.habits.rough_when_busy
    busy_z = hull.busy * np.sqrt(3.0)  # a uniform on (-1, 1) scaled to variance one
    own = np.clip(streams["factor"].standard_normal(), -2.2, 2.2)
    z = lean * busy_z + np.sqrt(1 - lean**2) * own
    use = sail(hull, world.scenario, world.calendar, world.weather, world.habits, streams["use"])
    return HullTruth(
        hull,
        use,
        expose(use, world.mooring_water, world.physics.drying_h, world.marks_h),
        float(max(1.0 + world.physics.hull_spread * z, 0.2)),
        temperature_factor(_water_temperature(hull, world), world.physics),
        _stray_factor(use, world),
    )


def _paint_factor(truth: HullTruth, position: Position, world: World, fitted_h: float) -> Floats:
    """0 from the day the anode was painted over, else 1 (hours,); a later anode is bare."""
    hours = world.marks_h[:-1]
    out = np.ones(len(hours))
    for paint in world.scenario.stories.painted:
        at = float(world.calendar.hours(paint.day, 12.0))
        same = (paint.hull_id, paint.position) == (truth.hull.hull_id, position.position)
        if same and fitted_h < at:
            out[hours >= at] = 0.0
    return out


def expected_share(
    truth: HullTruth, position: Position, alloy: str, factor: float, world: World, fitted_h: float
) -> dict[str, Floats]:
    """Expected worn per hour by state, (hours, waters), for one anode from the grid's start."""
    share = share_per_surface_mm(position, world.physics) * factor
    bare = _paint_factor(truth, position, world, fitted_h)[:, None]
    scale = share * bare * alloy_factors(alloy, world.physics)
    states = truth.states_mm(position.circuit, world.physics)
    return {state: mm * scale for state, mm in states.items()}


def begin_life(
    truth: HullTruth, position: Position, world: World, streams: Streams,
    *, number: int, fitted_h: float, start_worn: float, alloy: str, factor: float, batch: str,
) -> Life:  # fmt: skip
    """A new life with its whole wear path to the horizon."""
    states = expected_share(truth, position, alloy, factor, world, fitted_h)
    hourly = np.sum([share.sum(axis=1) for share in states.values()], axis=0)
    from_fitting = hourly[int(np.ceil(fitted_h)) :]
    path = start_worn + wear_path(from_fitting, world.physics.process_spread, streams["wear"])
    hull_id = truth.hull.hull_id
    return Life(hull_id, position, number, fitted_h, start_worn, alloy, factor, path, batch)
