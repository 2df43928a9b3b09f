"""Write jobs and picks for the printer."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

import pandas as pd

from corrosion.reports.metal_left import ON_PAPER, draw_on_paper, in_words
from corrosion.reports.sheets import Paper, render, sheet
from corrosion.reports.worksheets.jobs import Job, Task


def work_sheets(
    jobs: Sequence[Job], *, paper: Paper = "a4", stamp: str, simulated: bool, days: str = ""
) -> str:
    """Write the work sheets of some jobs as one document, each hull beginning a page.

    Parameters
    ----------
    jobs : sequence of Job
        In the order in which they are to be printed.
    paper : {'a4', 'letter'}
        Paper size.
    stamp : str
        Fleet, moment and version of the method.
    simulated : bool
        Whether the fleet is invented.
    days : str
        Which days, for the title.

    Returns
    -------
    str
        A whole HTML document.
    """
    body = render(
        "work_sheets.html",
        jobs=[(job, accesses(job)) for job in jobs],
        draw_metal=draw_on_paper,
        metal_in_words=in_words,
        metal_key=ON_PAPER,
    )
    title = " · ".join(filter(None, ("Work sheets", days)))
    if len(jobs) == 1:
        title = f"Work sheet · {jobs[0].hull_id} · {jobs[0].day}"
    return sheet(title, body, paper=paper, stamp=stamp, simulated=simulated, heading=not jobs)


def accesses(job: Job) -> list[tuple[str, list[tuple[int, Task]]]]:
    """Number the tasks of a job and put together what one dismantling opens."""
    numbered = list(enumerate(job.tasks, start=1))
    grouped = groupby(numbered, key=lambda each: each[1].opens or f"\0{each[1].position}")
    return [("" if opens.startswith("\0") else opens, list(tasks)) for opens, tasks in grouped]


def pick_list(
    picks: pd.DataFrame, *, paper: Paper = "a4", stamp: str, simulated: bool, days: str = ""
) -> str:
    """Write the pick list: by mooring and day, what to put in the van, and what is short.

    Parameters
    ----------
    picks : DataFrame
        As `picking` gives it.
    paper, stamp, simulated, days
        As for `work_sheets`.

    Returns
    -------
    str
        A whole HTML document.
    """
    moorings = [
        (mooring, [(day, of_day.to_dict("records")) for day, of_day in own.groupby("day_said",
                                                                               sort=False)])
        for mooring, own in picks.groupby("mooring", sort=False)
    ]  # fmt: skip
    body = render("pick_list.html", moorings=moorings, short=int((picks["short"] > 0).sum()))
    title = " · ".join(filter(None, ("Pick list", days)))
    return sheet(title, body, paper=paper, stamp=stamp, simulated=simulated)
