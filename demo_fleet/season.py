"""The hire season: who goes out when, for how long, who rinses, where hulls lie, what is booked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from demo_fleet.clock import SEASONS_TURN_DAYS, Calendar, Floats, Ints
from demo_fleet.scenario import HULL_NAMES, WATERS, Mooring, Scenario
from demo_fleet.yard import Berthing, Use, berth_at

SLOT_HOURS = np.array([9.0, 11.5, 14.0, 16.5, 19.0])
"""Local hours at which hires may begin."""
_SLOT_PULL = np.array([0.8, 1.0, 1.15, 0.8, 0.25])
_WEEKDAY_PULL = np.array([0.62, 0.66, 0.74, 0.82, 1.05, 1.65, 1.6])


@dataclass(frozen=True)
class Habits:
    """How the harbour works: use, rinsing, berths."""

    engine_hours_per_season: tuple[float, float] = (320.0, 390.0)
    outing_h: float = 2.05
    outing_spread_h: float = 0.13
    engine_share: tuple[float, float] = (0.80, 0.92)
    flush_share: float = 0.58
    """Days with an outing that end in a flush, for a hull of middling use, where it can be done."""
    flush_drop_when_busy: float = 0.25
    """How much less often the hardest-worked hull is flushed, and more often the least-worked."""
    fresh_flush_share: float = 0.05
    midday_flush_share: float = 0.07
    late_flush_share: float = 0.10
    """Of the flushes, those put off to the next morning."""
    sea_trip_share: float = 0.03
    """Outings from brackish moorings that run in salt water."""
    rough_when_busy: float = 0.25
    """Correlation of a hull's own wear factor with how hard it is worked."""


@dataclass(frozen=True)
class Hull:
    """One hull of the register, with what drives its year."""

    hull_id: str
    number: int
    name: str
    layout: str
    mooring_id: str
    stays: str
    pontoon: str
    busy: float
    """From -1, the least used, to 1, the hardest worked."""
    launch_day: int
    lay_up_day: int
    relaunch_day: int
    last_day: int
    """First day on which it is no longer of the fleet."""


@dataclass(frozen=True)
class Weather:
    """Per mooring and day: water temperature (C), salinity (g/kg), and how inviting the day is."""

    temperature_c: dict[str, Floats]
    salinity_g_per_kg: dict[str, Floats]
    pull: dict[str, Floats]


def enrol(scenario: Scenario, rng: np.random.Generator) -> list[Hull]:
    """The hulls of the scenario, numbered through its groups."""
    members = [group for group in scenario.groups for _ in range(group.hulls)]
    busy = rng.uniform(-1.0, 1.0, len(members))
    sold = dict(scenario.stories.sold)
    hulls = []
    for number, group in enumerate(members, start=1):
        hull_id = f"H{number:02d}"
        launch, lay_up, relaunch = (int(day) for day in rng.integers(0, 9, 3))
        name = HULL_NAMES[number - 1] if number <= len(HULL_NAMES) else f"Hull {number}"
        hulls.append(
            Hull(hull_id, number, name, group.layout, group.mooring_id, group.stays,
                 group.pontoon, float(busy[number - 1]), launch,
                 scenario.season_days + lay_up, scenario.second_season_day - 6 + relaunch,
                 sold.get(hull_id, scenario.horizon_days))
        )  # fmt: skip
    return hulls


def _wander(rng: np.random.Generator, days: int, memory: float, spread: float) -> Floats:
    """A slowly wandering daily series about 0 with the given standard deviation."""
    shocks = rng.standard_normal(days) * spread * np.sqrt(1 - memory**2)
    out = np.empty(days)
    level = rng.standard_normal() * spread
    for day, shock in enumerate(shocks):
        level = memory * level + shock
        out[day] = level
    return out


def make_weather(scenario: Scenario, calendar: Calendar, rng: np.random.Generator) -> Weather:
    """Daily water and weather at every mooring; water is warmest in the first days of August."""
    days = calendar.days + 1
    turn = np.cos(2 * np.pi * (calendar.day_of_year(np.arange(days)) - 215) / SEASONS_TURN_DAYS)
    temperature, salinity, pull = {}, {}, {}
    for mooring in scenario.moorings:
        swing = mooring.temperature_swing_c * turn
        temperature[mooring.mooring_id] = np.maximum(
            mooring.temperature_mean_c + swing + _wander(rng, days, 0.92, 0.9), 0.5
        )
        drift = 0.45 * turn + _wander(rng, days, 0.95, 0.3)
        salinity[mooring.mooring_id] = np.maximum(
            mooring.salinity_g_per_kg + mooring.salinity_swing_g_per_kg * np.clip(drift, -1, 1),
            0.03,
        )
        mood = _wander(rng, days, 0.5, 0.25)
        mood[scenario.days :] = 0.0  # hires ahead are booked before anybody knows the weather
        pull[mooring.mooring_id] = np.exp(mood)
    return Weather(temperature, salinity, pull)


def home_on(hull: Hull, scenario: Scenario, days: Ints) -> np.ndarray:
    """Mooring of the hull on each day (text)."""
    home = np.full(len(days), hull.mooring_id, dtype=object)
    for move in scenario.stories.moves:
        if move.hull_id == hull.hull_id:
            home[days >= move.day] = move.mooring_id
    return home


def berth(hull: Hull, scenario: Scenario, calendar: Calendar) -> Berthing:
    """Where the hull lives through time: launched, laid up, launched again, moved."""
    places = [m.mooring_id for m in scenario.moorings]
    moves = {m.day: m for m in scenario.stories.moves if m.hull_id == hull.hull_id}
    changes = {0, *moves}
    if hull.stays == "afloat":
        changes |= {hull.launch_day, hull.lay_up_day, hull.relaunch_day}
    if hull.last_day < scenario.horizon_days:
        changes.add(hull.last_day)  # sold: the water here has no more part in it
    days = np.array(sorted(day for day in changes if day <= hull.last_day), dtype=np.int64)
    home = home_on(hull, scenario, days)
    pontoons, pontoon = [], hull.pontoon
    for day in days:
        pontoon = moves[int(day)].pontoon if int(day) in moves else pontoon
        pontoons.append(pontoon)
    afloat = (days >= hull.launch_day) & ~((days >= hull.lay_up_day) & (days < hull.relaunch_day))
    return Berthing(
        calendar.hours(days, 6.0),
        np.array([places.index(place) for place in home], dtype=np.int64),
        afloat & (hull.stays == "afloat") & (days < hull.last_day),
        tuple(pontoons),
    )


def open_days(hull: Hull, scenario: Scenario) -> np.ndarray:
    """Whether the hull is for hire on each day of the horizon (bool)."""
    day = np.arange(scenario.horizon_days)
    first = (day >= hull.launch_day) & (day < min(hull.lay_up_day, scenario.season_days))
    closing = scenario.second_season_day + scenario.season_days
    second = (day >= max(hull.relaunch_day, scenario.second_season_day)) & (day < closing)
    return (first | second) & (day < hull.last_day)


def _chances(wanted: Floats, mean_sum: float) -> Floats:
    """Chances in proportion to ``wanted``, none above 0.93, that add up to ``mean_sum``."""
    low, high = 0.0, 50.0
    for _ in range(60):
        middle = (low + high) / 2
        too_many = np.minimum(middle * wanted, 0.93).sum() > mean_sum
        low, high = (low, middle) if too_many else (middle, high)
    return np.minimum(low * wanted, 0.93)


def _hired(
    hull: Hull, scenario: Scenario, calendar: Calendar, weather: Weather, habits: Habits,
    mean_engine_h: float, rng: np.random.Generator,
) -> np.ndarray:  # fmt: skip
    """Whether the hull goes out, by day and slot (days, slots)."""
    days = np.arange(scenario.horizon_days)
    home = home_on(hull, scenario, days)
    pull = np.array([weather.pull[place][day] for day, place in zip(days, home, strict=True)])
    summer = 0.75 + 0.45 * np.cos(
        2 * np.pi * (calendar.day_of_year(days) - 205) / SEASONS_TURN_DAYS
    )
    wanted = pull * summer * _WEEKDAY_PULL[calendar.weekday(days)] * open_days(hull, scenario)
    low, high = habits.engine_hours_per_season
    target_h = (low + high) / 2 + hull.busy * (high - low) / 2
    seasons = open_days(hull, scenario).sum() / scenario.season_days
    chance = _chances(np.outer(wanted, _SLOT_PULL), seasons * target_h / mean_engine_h)
    return np.asarray(rng.random(chance.shape) < chance)


def _outing_waters(
    home: np.ndarray, scenario: Scenario, habits: Habits, rng: np.random.Generator
) -> Ints:
    """Where each outing runs, an index into WATERS."""
    water = np.array([WATERS.index(scenario.mooring(str(p)).water) for p in home], dtype=np.int64)
    to_sea = (water == 1) & (rng.random(len(water)) < habits.sea_trip_share)
    return np.where(to_sea, 0, water)


def sail(
    hull: Hull, scenario: Scenario, calendar: Calendar, weather: Weather, habits: Habits,
    rng: np.random.Generator,
) -> Use:  # fmt: skip
    """Everything one hull truly does from the first day to the horizon."""
    share = float(rng.uniform(*habits.engine_share))
    typical_h = habits.outing_h + float(rng.uniform(-0.1, 0.1))
    hired = _hired(hull, scenario, calendar, weather, habits, typical_h * share, rng)
    day, slot = (np.asarray(index, dtype=np.int64) for index in np.nonzero(hired))
    begin = SLOT_HOURS[slot] + rng.uniform(0.0, 0.15, len(day))
    length = np.clip(rng.normal(typical_h, habits.outing_spread_h, len(day)), 1.2, 2.3)
    start_h, end_h = calendar.hours(day, begin), calendar.hours(day, begin + length)
    engine_h = (end_h - start_h) * np.clip(rng.normal(share, 0.02, len(day)), 0.6, 0.97)
    water = _outing_waters(home_on(hull, scenario, day), scenario, habits, rng)
    berths = berth(hull, scenario, calendar)
    flush_h = _rinse(hull, scenario, calendar, habits, day, end_h, berths, rng)
    return Use(hull.hull_id, start_h, end_h, engine_h, water, flush_h, berths)


def can_flush(place: Mooring, afloat: bool) -> bool:
    """A hose reaches the hull: at a flush point, or on the wash pad when it is lifted."""
    return place.flush_point or not afloat


def could_flush(use_berths: Berthing, scenario: Scenario, at_h: Floats) -> np.ndarray:
    """Whether the hull could be flushed at each moment (bool)."""
    row = berth_at(use_berths, at_h)
    return np.array(
        [
            can_flush(scenario.moorings[use_berths.mooring[r]], bool(use_berths.afloat[r]))
            for r in row
        ],
        dtype=bool,
    )


def last_of_day(day: Ints) -> np.ndarray:
    """Whether each outing is the last return of its day (bool); outings in time order."""
    return np.append(day[1:] != day[:-1], True)[: len(day)]


def _rinse(
    hull: Hull, scenario: Scenario, calendar: Calendar, habits: Habits, day: Ints,
    end_h: Floats, berths: Berthing, rng: np.random.Generator,
) -> Floats:  # fmt: skip
    """The true flushes of one hull (h), in time order; one ends every season at lay-up."""
    last = last_of_day(day)
    row = berth_at(berths, end_h)
    fresh = np.array([scenario.moorings[berths.mooring[r]].water == "fresh" for r in row])
    wish = habits.flush_share - habits.flush_drop_when_busy * hull.busy + rng.uniform(-0.06, 0.06)
    share = np.where(fresh, habits.fresh_flush_share, np.clip(wish, 0.0, 1.0))
    share = np.where(last, share, habits.midday_flush_share * (wish > 0))
    flushed = (rng.random(len(day)) < share) & could_flush(berths, scenario, end_h)
    soon = np.clip(np.exp(rng.normal(np.log(0.4), 0.5, len(day))), 0.08, 3.0)
    soon = np.where(last, soon, 0.1)  # between two hires there is little time
    at = np.round((end_h + soon) * 60) / 60
    morning = calendar.hours(day + 1, 7.5 + rng.uniform(0, 0.9, len(day)))
    put_off = last & (rng.random(len(day)) < habits.late_flush_share)
    times = np.where(put_off, morning, at)[flushed]
    lay_up = calendar.hours([hull.lay_up_day], 15.0)
    return np.unique(np.concatenate([times, lay_up[lay_up < 24.0 * hull.last_day]]))


def book(
    use: Use, hull: Hull, scenario: Scenario, calendar: Calendar, rng: np.random.Generator
) -> pd.DataFrame:
    """Bookings: most outings had one, a few came to nothing, and later weeks are emptier."""
    day = calendar.day_of(use.start_h)
    local = use.start_h - calendar.hours(day, 0.0)
    slot = np.argmin(np.abs(local[:, None] - SLOT_HOURS[None, :] - 0.07), axis=1)
    weeks_ahead = np.maximum(day - scenario.days, 0) / 7.0
    stands = (rng.random(len(day)) < 0.95 - 0.085 * weeks_ahead) & (weeks_ahead < 6.0)
    no_show = np.where(rng.random(len(day)) < 0.035, rng.integers(1, 3, len(day)), 0)
    no_show = np.where(calendar.weekday(day) < 4, no_show, 0)
    day = np.concatenate([day[stands], (day + no_show)[stands & (no_show > 0)]])
    slot = np.concatenate([slot[stands], slot[stands & (no_show > 0)]])
    rows = pd.DataFrame({"hull_id": hull.hull_id, "day": day, "slot": slot})
    rows = rows.drop_duplicates().sort_values(["day", "slot"]).reset_index(drop=True)
    return _priced(rows, hull, calendar)


def _priced(rows: pd.DataFrame, hull: Hull, calendar: Calendar) -> pd.DataFrame:
    """Times, hours expected and the hire's price (invented): weekends cost half as much again."""
    day = rows["day"].to_numpy()
    begin = SLOT_HOURS[rows["slot"].to_numpy()]
    base = {"jet": 165.0, "outboard": 95.0, "inboard": 120.0}.get(hull.layout, 110.0)
    return pd.DataFrame(
        {
            "hull_id": rows["hull_id"],
            "starts": calendar.stamps(calendar.hours(day, begin)),
            "ends": calendar.stamps(calendar.hours(day, begin + 2.25)),
            "engine_hours": 1.8,
            "hire_value": np.where(calendar.weekday(day) >= 5, 1.5, 1.0) * base,
        }
    )
