"""What the yard takes along: a work sheet for each hull, and the week's pick list.

`jobs` gathers what a mechanic needs at each hull, `papers` writes it for the printer. No chance
and no score stands on a work sheet: positions, sizes, limits, parts, cautions and boxes to fill in.

Notes
-----
* Seals go by the number of the anode that they seal, as the plan counts them, and are never taken
  from the anodes on the shelf: stock of seals is not kept, so they are "not counted".
"""

from corrosion.reports.worksheets.jobs import Job, Task, jobs, looks_of_hull
from corrosion.reports.worksheets.papers import pick_list, work_sheets
from corrosion.reports.worksheets.picking import picking

__all__ = ["Job", "Task", "jobs", "looks_of_hull", "pick_list", "picking", "work_sheets"]
