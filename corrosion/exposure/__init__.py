"""Hours that each hull spent in each operating state, and the looks at each anode in between.

In: the checked logs. Out: running totals of hours by state, which can be asked between any two
moments (`Exposure`), the anode lives with their looks (`Lives`), and the water's temperature.
Time is exposure, not calendar: engine hours, salty wet hours after a stop, hours afloat.
"""

from corrosion.exposure.drying import DRYING_GRID_H, drying_weights
from corrosion.exposure.exposure_totals import SPAN, Hours, hull_key
from corrosion.exposure.filling import Filling
from corrosion.exposure.flush_matching import SHORT_STOP_H
from corrosion.exposure.hours_by_state import Exposure, build_exposure, rewetted
from corrosion.exposure.life_starts import ANODE
from corrosion.exposure.water import temperature_ahead
from corrosion.exposure.wear import Lives, brackets, build_lives

__all__ = [
    "ANODE",
    "DRYING_GRID_H",
    "SHORT_STOP_H",
    "SPAN",
    "Exposure",
    "Filling",
    "Hours",
    "Lives",
    "brackets",
    "build_exposure",
    "build_lives",
    "drying_weights",
    "hull_key",
    "rewetted",
    "temperature_ahead",
]
