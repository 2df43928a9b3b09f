"""Moorings and the water at each of them, day by day and with the tide."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.signal import lfilter

from demo_fleet.clock import SEASONS_TURN_DAYS

from .physics import Floats
from .plans import WATERS, Plan

TIDE_H = 12.42
SALINITY_G_PER_KG = {"salt": (22.0, 32.0), "brackish": (5.0, 12.0), "fresh": (0.05, 0.2)}


@dataclass(frozen=True)
class Mooring:
    """One place where hulls live, with its water from the first day to the last."""

    mooring_id: str
    water: int  # place in WATERS
    salinity_g_per_kg: float
    tide_g_per_kg: float
    rate_factor: float
    flush_point: bool
    daily_temperature_c: Floats
    daily_salinity_g_per_kg: Floats

    def temperature_c(self, time_h: Floats) -> Floats:
        """Water temperature at hours since the start."""
        days = np.arange(len(self.daily_temperature_c)) + 0.5
        return np.interp(time_h / 24, days, self.daily_temperature_c)

    def salinity(self, time_h: Floats) -> Floats:
        """Salinity in g/kg at hours since the start, tide included."""
        days = np.arange(len(self.daily_salinity_g_per_kg)) + 0.5
        slow = np.interp(time_h / 24, days, self.daily_salinity_g_per_kg)
        return np.maximum(slow + self.tide_g_per_kg * np.sin(2 * np.pi * time_h / TIDE_H), 0.02)


def draw_moorings(
    plan: Plan, day_of_year: int, total_days: int, rng: np.random.Generator
) -> list[Mooring]:
    """Draw every mooring of the fleet; they share the weather, not the water."""
    weather = _wander(total_days, 1.2, 0.85, rng)
    warm = _warm_autumn(plan, day_of_year, total_days, rng)
    mean_c, swing_c = rng.uniform(12.5, 16.0), rng.uniform(5.5, 9.0)
    doy = day_of_year + np.arange(total_days)
    season = np.cos(2 * np.pi * (doy - 215) / SEASONS_TURN_DAYS)
    made = []
    for number, water in enumerate(plan.moorings):
        offset = rng.normal(0, 0.7)
        temperature = mean_c + offset + swing_c * season + weather + warm
        made.append(_mooring(number, water, temperature, season, plan, rng))
    return made


def _mooring(
    number: int,
    water: str,
    temperature: Floats,
    season: Floats,
    plan: Plan,
    rng: np.random.Generator,
) -> Mooring:
    salinity = rng.uniform(*SALINITY_G_PER_KG[water])
    usual = float(np.mean(SALINITY_G_PER_KG[water]))
    saltier = float((salinity / usual) ** plan.mooring_salt_power)
    daily = salinity * (1 + 0.12 * season + _wander(len(season), 0.05, 0.9, rng))
    return Mooring(
        mooring_id=f"M{number + 1}",
        water=WATERS.index(water),
        salinity_g_per_kg=round(float(salinity), 2),
        tide_g_per_kg=float(salinity * rng.uniform(0.08, 0.2)) if water != "fresh" else 0.0,
        rate_factor=saltier * float(np.exp(rng.normal(0, plan.mooring_spread))),
        flush_point=bool(rng.random() < 0.85),
        daily_temperature_c=np.maximum(temperature + _wander(len(season), 0.4, 0.7, rng), 0.5),
        daily_salinity_g_per_kg=daily,
    )


def _wander(days: int, sd: float, memory: float, rng: np.random.Generator) -> Floats:
    """A slow wander about nought with the given standard deviation."""
    shocks = rng.normal(0, sd * np.sqrt(1 - memory**2), days)
    return np.asarray(lfilter([1.0], [1.0, -memory], shocks))


def _warm_autumn(plan: Plan, day_of_year: int, total_days: int, rng: np.random.Generator) -> Floats:
    """Extra warmth over the last autumn on record, from mid August to December."""
    top_c = rng.uniform(*plan.warm_autumn_c)
    doy = day_of_year + np.arange(total_days)
    last_year = doy >= day_of_year + plan.days - 200
    rise = np.clip((doy % 365 - 225) / 30, 0, 1) * np.clip((345 - doy % 365) / 20, 0, 1)
    return top_c * rise * last_year
