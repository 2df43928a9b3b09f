"""Paper, pictures and sentences made of answers that other wings gave.

In: an appraisal, a plan, a comparison. Out: Plotly figures (`charts`), printable sheets, the week's
papers, a calendar file, a hull's dossier and report. It works nothing out that a decision rests on.
"""

from corrosion.reports import charts, metal_left
from corrosion.reports.dossier import Dossier, dossier, reading_error_mm
from corrosion.reports.fleet_table import (
    EVERYWHERE,
    STANDINGS,
    FleetTable,
    choose_hulls,
    fleet_table,
)
from corrosion.reports.flushing_papers import dock_notice, owner_page
from corrosion.reports.headline import Headline, headline, next_hires, weeks_ahead
from corrosion.reports.hire_papers import changed_hires, told_before
from corrosion.reports.hull_report import hull_report
from corrosion.reports.planned_week import PlannedWeek, hired_out, plan_week
from corrosion.reports.round_sheet import WHY, round_sheet
from corrosion.reports.sheets import PAPERS, Paper, render, sheet
from corrosion.reports.stop_tags import stop_tags
from corrosion.reports.week_papers import (
    calendar_of_week,
    picks_of_week,
    said_lines,
    sheets_of_week,
    week_days,
)
from corrosion.reports.week_picture import draw_week

__all__ = [
    "EVERYWHERE",
    "PAPERS",
    "STANDINGS",
    "WHY",
    "Dossier",
    "FleetTable",
    "Headline",
    "Paper",
    "PlannedWeek",
    "calendar_of_week",
    "changed_hires",
    "charts",
    "choose_hulls",
    "dock_notice",
    "dossier",
    "draw_week",
    "fleet_table",
    "headline",
    "hired_out",
    "hull_report",
    "metal_left",
    "next_hires",
    "owner_page",
    "picks_of_week",
    "plan_week",
    "reading_error_mm",
    "render",
    "round_sheet",
    "said_lines",
    "sheet",
    "sheets_of_week",
    "stop_tags",
    "told_before",
    "week_days",
    "weeks_ahead",
]
