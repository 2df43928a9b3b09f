"""The week as one picture: hulls that matter, down by mooring; days and hours, across.

`lanes` says what lies when on which hull; `drawing` draws it, in lines that take the page's own
colours, so that it is legible light, dark and on grey paper. A shape says what a bar is, never a
colour alone.
"""

from corrosion.reports.week_picture.drawing import draw_week
from corrosion.reports.week_picture.lanes import Bar, Lane, WeekLanes, week_lanes

__all__ = ["Bar", "Lane", "WeekLanes", "draw_week", "week_lanes"]
