"""Hours that each hull spent in each operating state, and the looks at each anode in between.

In: the checked logs. Out: running totals of hours by state, which can be asked between any two
moments (`Exposure`), the anode lives with their looks (`Lives`), and the water's temperature.
Time is exposure, not calendar: engine hours, salty wet hours after a stop, hours afloat.
"""

from corrosion.exposure.by_part import (
    PartPlaced,
    counts_of_all,
    keep_part,
    place_part,
    sum_part,
    written_by_all,
)
from corrosion.exposure.drying import DRYING_GRID_H, drying_weights
from corrosion.exposure.exposure_totals import SPAN, Hours, hull_key
from corrosion.exposure.filling import Filling
from corrosion.exposure.flush_matching import SHORT_STOP_H
from corrosion.exposure.hours_by_state import Exposure, build_exposure, places, rewetted
from corrosion.exposure.life_starts import ANODE
from corrosion.exposure.outings import usual_engine_share
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
    "PartPlaced",
    "brackets",
    "build_exposure",
    "build_lives",
    "counts_of_all",
    "drying_weights",
    "hull_key",
    "keep_part",
    "place_part",
    "places",
    "rewetted",
    "sum_part",
    "temperature_ahead",
    "usual_engine_share",
    "written_by_all",
]
