"""Plotly figures from tables, in one template, light and dark.

Times are shown in the zone of the table given: Plotly knows no time zones.
"""

from corrosion.reports.charts.anode import anode_course
from corrosion.reports.charts.fleet import fleet_ahead
from corrosion.reports.charts.flushing import (
    by_delay,
    cost_of_policies,
    shares_saved,
    wear_by_state,
)
from corrosion.reports.charts.hours import clock_hours
from corrosion.reports.charts.look import DARK, LIGHT, Palette, ink, luminance, template
from corrosion.reports.charts.looking import price_of_looking
from corrosion.reports.charts.moorings import life_curves, mooring_ratios, water_over_time
from corrosion.reports.charts.names import names_as_text
from corrosion.reports.charts.potentials import potentials
from corrosion.reports.charts.record import said_and_found
from corrosion.reports.charts.yard import costs_by_mooring, costs_by_rule, parts_needed

__all__ = [
    "DARK",
    "LIGHT",
    "Palette",
    "anode_course",
    "by_delay",
    "clock_hours",
    "cost_of_policies",
    "costs_by_mooring",
    "costs_by_rule",
    "fleet_ahead",
    "ink",
    "life_curves",
    "luminance",
    "mooring_ratios",
    "names_as_text",
    "parts_needed",
    "potentials",
    "price_of_looking",
    "said_and_found",
    "shares_saved",
    "template",
    "water_over_time",
    "wear_by_state",
]
