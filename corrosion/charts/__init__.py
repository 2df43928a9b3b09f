"""Plotly figures from tables, in one template, light and dark.

Times are shown in the zone of the table given: Plotly knows no time zones.
"""

from .anode import anode_course
from .fleet import fleet_ahead
from .hours import clock_hours
from .look import DARK, LIGHT, Palette, ink, luminance, template
from .moorings import life_curves, mooring_ratios, water_over_time

__all__ = [
    "DARK",
    "LIGHT",
    "Palette",
    "anode_course",
    "clock_hours",
    "fleet_ahead",
    "ink",
    "life_curves",
    "luminance",
    "mooring_ratios",
    "template",
    "water_over_time",
]
