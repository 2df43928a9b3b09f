"""Plotly figures from tables, in one template, light and dark.

Times are shown in the zone of the table given: Plotly knows no time zones.
"""

from .anode import anode_course
from .fleet import fleet_ahead
from .flushing import by_delay, cost_of_policies, shares_saved, wear_by_state
from .hours import clock_hours
from .look import DARK, LIGHT, Palette, ink, luminance, template
from .moorings import life_curves, mooring_ratios, water_over_time

__all__ = [
    "DARK",
    "LIGHT",
    "Palette",
    "anode_course",
    "by_delay",
    "clock_hours",
    "cost_of_policies",
    "fleet_ahead",
    "ink",
    "life_curves",
    "luminance",
    "mooring_ratios",
    "shares_saved",
    "template",
    "water_over_time",
    "wear_by_state",
]
