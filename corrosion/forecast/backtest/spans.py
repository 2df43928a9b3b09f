"""How far a record looks: light, so that a record that is remembered is read in a moment."""

from __future__ import annotations

from datetime import tzinfo
from typing import Final

import pandas as pd

from corrosion.common import after_days

FORECAST_DAYS: Final = 56
KNOTS_DAYS: Final = (0, 1, 2, 3, 5, 7, 10, 14, 21, 28, 42, 56)
"""Days ahead at which what was said is written down."""
HORIZONS_DAYS: Final = (7, 14, 28)
BOOKED_DAYS: Final = 70
"""A forecast rests on hires that start within so many days; later ones do not touch it."""


def booked_until(week: pd.Timestamp, zone: tzinfo) -> pd.Timestamp:
    """Return the moment, `BOOKED_DAYS` on by the fleet's calendar, after which no hire counts."""
    return after_days(week, BOOKED_DAYS, zone)
