"""Plotly figures from tables, in one template, light and dark.

Times are shown in the zone of the table given: Plotly knows no time zones.
"""

from .anode import anode_course
from .fleet import fleet_ahead
from .hours import clock_hours
from .look import DARK, LIGHT, Palette, ink, luminance, template

__all__ = [
    "DARK",
    "LIGHT",
    "Palette",
    "anode_course",
    "clock_hours",
    "fleet_ahead",
    "ink",
    "luminance",
    "template",
]
