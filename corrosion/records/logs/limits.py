"""Limits of sense: what no number of a column lies below or above, whatever the yard.

Wide enough for any yard, narrow enough to calculate with (common practice, no source). A number
outside is read as unknown and said so by `check`; narrower doubts are rules of `checks`, which is
why many limits lie well outside of what can be true.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

_MONEY: Final = (-1e9, 1e9)
_SIZE_MM: Final = (-1_000.0, 1_000.0)
_METER_H: Final = (0.0, 1e6)

LIMITS: Final[Mapping[str, tuple[float, float]]] = MappingProxyType(
    {
        "salinity_g_per_kg": (-50.0, 350.0),
        "conductivity_ms_per_cm": (-1e6, 1e6),
        "temperature_c": (-300.0, 1_000.0),
        "new_size_mm": (-500.0, 500.0),
        "limit_size_mm": (-500.0, 500.0),
        "size_mm": _SIZE_MM,
        "size_low_mm": _SIZE_MM,
        "size_high_mm": _SIZE_MM,
        "access_minutes": (-1_440.0, 1_440.0),
        "swap_minutes": (-1_440.0, 1_440.0),
        "part_cost": _MONEY,
        "seal_cost": _MONEY,
        "late_cost": _MONEY,
        "hire_value": _MONEY,
        "inspect_hours": (1.0, 20_000.0),
        "inspect_days": (1.0, 3_660.0),
        "engine_hours": (-10_000.0, 10_000.0),
        "meter_hours": _METER_H,
        "meter_before_hours": _METER_H,
        "meter_after_hours": _METER_H,
        "minutes": (-10_000.0, 10_000.0),
        "potential_mv": (-10_000.0, 10_000.0),
        "bond_ohm": (0.0, 1e9),
        "pieces": (-1e6, 1e6),
        "bay": (1.0, 1_000.0),
        "hours": (0.0, 10_000.0),
        "hires_told": (0.0, 1e6),
        "cost": _MONEY,
        "risk_now": (0.0, 1.0),
        "risk_after": (0.0, 1.0),
    }
)
"""By the column's name, in its unit."""

WIDEST: Final = (-1e9, 1e9)


def limits_of(column: str) -> tuple[float, float]:
    """Return what no number of a column lies below or above, in its unit."""
    return LIMITS.get(column, WIDEST)
