"""Small fleets that wear as a test says, for comparisons: hulls, moorings, hours a day, mm an hour.

The builder of `tests.fleets` writes down; here it is told what a caliper would have shown.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import pandas as pd

from tests.fleets import DAY_ONE, FleetLogs


@dataclass(frozen=True)
class Group:
    """Hulls of one mooring that are used alike: outings of 2 h, each day or every other day."""

    mooring_id: str
    water: str
    hulls: int
    every_days: int
    mm_per_h: float
    stays: str = "lifted"
    growth: float = 0.0  # how much faster the pencil wears at its limit than when new


def wearing_fleet(*groups: Group, days: int = 100) -> FleetLogs:
    """Lifted hulls that run and are rinsed; the pencil's diameter goes by engine hours alone."""
    fleet = FleetLogs().position("pencil", gauge="diameter")
    for mooring_id, water in dict.fromkeys((g.mooring_id, g.water) for g in groups):
        fleet.mooring(mooring_id, water)
    number = 0
    for group in groups:
        for _ in range(group.hulls):
            number += 1
            _wearing_hull(fleet, f"H{number:02d}", group, 1 + 0.05 * ((number * 7) % 5 - 2), days)
    return fleet


def _wearing_hull(fleet: FleetLogs, hull_id: str, group: Group, pace: float, days: int) -> None:
    fleet.hull(hull_id, in_service=DAY_ONE).berth(hull_id, group.mooring_id, group.stays)
    fleet.fitting(hull_id, "pencil", DAY_ONE)
    first, ran_h = pd.Timestamp(DAY_ONE), 0.0
    for day in range(1, days):
        date = f"{first + pd.Timedelta(days=day):%Y-%m-%d}"
        if day % group.every_days == 0:
            fleet.outing(hull_id, f"{date} 09:00").flush(hull_id, f"{date} 11:05")
            ran_h += 1.8
        if day % 14 == 0:
            lost_mm = _lost_mm(ran_h * group.mm_per_h * pace, group.growth)
            fleet.reading(hull_id, "pencil", f"{date} 18:00", round(9.0 - lost_mm, 2))


def _lost_mm(even_mm: float, growth: float) -> float:
    """Loss of diameter where the rate grows with what is lost; 2.6 mm stay 2.6 mm."""
    if growth == 0:
        return even_mm
    return 2.6 * math.expm1(even_mm / 2.6 * math.log1p(growth)) / growth
