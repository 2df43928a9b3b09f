"""The papers of one week of a plan: work sheets, pick list, calendar file, days by bays."""

from __future__ import annotations

from datetime import UTC, date, timedelta, tzinfo
from typing import Final

import numpy as np
import pandas as pd

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.records import Logbook, stamp
from corrosion.reports.calendar_file import calendar
from corrosion.reports.sheets import Paper
from corrosion.reports.worksheets import jobs, pick_list, picking, work_sheets
from corrosion.workshop import (
    AS_TOLD,
    Horizon,
    Plan,
    bays_of,
    hires_since_issue,
    issued_plan,
    issues,
    joined_positions,
    lay_out_yard,
    pieces_on_hand,
    pulls_of_week,
    said_parts,
    until_week,
)

A_WEEK: Final = timedelta(days=7)


def week_days(week: date) -> str:
    """Say which days a week has: ``Mon 2 Jun to Sun 8 Jun 2031``."""
    return f"{_day(week, year=False)} to {_day(week + timedelta(days=6))}"


def sheets_of_week(
    plan: Plan, appraisal: Appraisal, paper: Paper, hull_id: str | None = None
) -> str:
    """Write the work sheets of a week, or of one hull whichever week it comes out in.

    Parameters
    ----------
    plan : Plan
        The plan.
    appraisal : Appraisal
        What it rests on.
    paper : {'a4', 'letter'}
        Paper size.
    hull_id : str, optional
        Only this hull's sheet.

    Returns
    -------
    str
        A whole HTML document.
    """
    pulls = pulls_of_week(plan) if hull_id is None else plan.pulls
    if hull_id is not None:
        pulls = pulls[pulls["hull_id"] == hull_id]
    return work_sheets(
        jobs(appraisal.checked, pulls, appraisal.forecast.anodes),
        paper=paper,
        stamp=stamp(appraisal.logbook),
        simulated=appraisal.logbook.settings.simulated,
        days=week_days(plan.week),
    )


def picks_of_week(plan: Plan, appraisal: Appraisal, paper: Paper) -> str:
    """Write the pick list of a week.

    Parameters
    ----------
    plan, appraisal, paper
        As for `sheets_of_week`.

    Returns
    -------
    str
        A whole HTML document.
    """
    logbook, settings = appraisal.logbook, appraisal.logbook.settings
    store = pieces_on_hand(settings, appraisal.checked.stock_moves)
    return pick_list(
        picking(pulls_of_week(plan), store, settings.timezone),
        paper=paper,
        stamp=stamp(logbook),
        simulated=settings.simulated,
        days=week_days(plan.week),
    )


def calendar_of_week(plan: Plan, logbook: Logbook) -> tuple[bytes, bool]:
    """Write the calendar of a week: of the plan issued for it, else of the plan as it is now.

    A plan that was issued for an earlier week looked ahead to this one; its pull-outs are
    replaced, or cancelled, by what stands now.

    Parameters
    ----------
    plan : Plan
        The plan as it is now.
    logbook : Logbook
        The fleet's logs.

    Returns
    -------
    (bytes, bool)
        The file, and whether it is that of an issued plan.
    """
    settings = logbook.settings
    zone = settings.timezone
    known = issues(logbook.plans, zone)
    known = until_week(known, plan.week)
    ids = list(known["plan_id"])[::-1]
    of_week = [_in_week(issued_plan(logbook.plans, name, zone), plan.week) for name in ids]
    issued = bool(len(known)) and known["week"].iloc[0] == plan.week
    lines = of_week.pop() if issued else said_lines(pulls_of_week(plan))
    file = calendar(
        lines,
        of_week,
        settings,
        logbook.slip_windows,
        week=plan.week,
        moment=known["issued_at"].iloc[0] if issued else plan.on,
        issued=issued,
        fleet=settings.name or logbook.folder.name,
        hires=hires_of_week(hires_of_calendar(plan, logbook, issued=issued), plan.week, zone),
    )
    return file, issued


def hires_of_calendar(plan: Plan, logbook: Logbook, *, issued: bool) -> pd.DataFrame:
    """Return the hires for a calendar: as the desk was told, else as today's plan has them.

    Parameters
    ----------
    plan : Plan
        The plan as it is now.
    logbook : Logbook
        The fleet's logs.
    issued : bool
        Whether a plan is issued for the week of the plan: then its word stands, not today's.

    Returns
    -------
    DataFrame, one row a hire
        As `Plan.hires`, with `status` of the event: ``CONFIRMED`` where the book has it so,
        ``CANCELLED`` where the desk was told once and is asked for it no more, else ``TENTATIVE``;
        and `told_at` (UTC), None where it was not told. Where the plan that was issued did not
        keep hires, today's.
    """
    told = hires_since_issue(plan, logbook)
    now = plan.hires.assign(status="TENTATIVE", told_at=None)
    if not told.kept:
        return now
    rows = told.rows[told.rows["told"] != ""]
    rows = rows.rename(columns={"told": "change", "told_to": "to_hull_id"})
    status = rows["what"].map({AS_TOLD: "CONFIRMED"}).fillna("TENTATIVE")
    last = rows["plan_id"] == told.plan_id
    status = status.mask(~last & (status != "CONFIRMED"), "CANCELLED")
    rows = rows.assign(status=status)
    if issued:
        return rows
    booked = set(zip(now["hull_id"], now["starts"], strict=True))
    gone = [key not in booked for key in zip(rows["hull_id"], rows["starts"], strict=True)]
    rows = rows[np.array(gone, dtype=bool)]
    drafted = rows.assign(status=rows["status"].where(rows["status"] == "CONFIRMED", "CANCELLED"))
    return pd.concat([each for each in (now, drafted) if len(each)] or [now], ignore_index=True)


def hires_of_week(hires: pd.DataFrame, week: date, zone: tzinfo) -> pd.DataFrame:
    """Return the hires that begin in a week.

    Parameters
    ----------
    hires : DataFrame, one row a hire
        Rows of `Plan.hires`, or of `hires_of_calendar`.
    week : date
        Its Monday.
    zone : tzinfo
        Zone in which days are days.

    Returns
    -------
    DataFrame
        Those rows.
    """
    days = [moment.tz_convert(zone).date() for moment in hires["starts"]]
    inside = [week <= day < week + A_WEEK for day in days]
    return hires[np.array(inside, dtype=bool)].reset_index(drop=True)


def said_lines(pulls: pd.DataFrame) -> pd.DataFrame:
    """Write positions and parts of pull-outs as text, as the log of plans has them.

    Parameters
    ----------
    pulls : DataFrame
        Pull-outs of a plan.

    Returns
    -------
    DataFrame
        The same rows; `replace`, `measure` and `parts` (with the seals) as text, without `seals`.
    """
    pieces = zip(pulls["parts"], pulls["seals"], strict=True)
    return pulls.assign(
        replace=[joined_positions(each) or "" for each in pulls["replace"]],
        measure=[joined_positions(each) or "" for each in pulls["measure"]],
        parts=[said_parts(parts, seals) for parts, seals in pieces],
    ).drop(columns="seals")


def bay_days(plan: Plan, logbook: Logbook) -> pd.DataFrame:
    """Lay a week out as days by bays.

    Parameters
    ----------
    plan : Plan
        The plan.
    logbook : Logbook
        For bays, days off and slip windows.

    Returns
    -------
    DataFrame, one row a bay and day, bay by bay
        `mooring_id`, `bay` (from 1), `day` (date), `hulls` (tuple of hull_id), `hours` (planned,
        h), `most_h` (hours that the bay works, h), `closed` (why nothing can be done, empty where
        something can).
    """
    settings = logbook.settings
    days = tuple(plan.week + timedelta(days=ahead) for ahead in range(7))
    horizon = Horizon(plan.on, settings.timezone, plan.week, 1, days)
    places = {*plan.pulls["mooring_id"], *plan.left_out["mooring_id"].dropna()}
    yard = lay_out_yard(settings, bays_of(settings, places), logbook.slip_windows, horizon)
    pulls = pulls_of_week(plan)
    rows = []
    for place in yard.bays:
        own = pulls[(pulls["mooring_id"] == place.mooring_id) & (pulls["bay"] == place.bay)]
        for day, closed, most_h in zip(days, place.closed, place.hours, strict=True):
            out = own[own["day"] == day]
            rows.append(
                {
                    "mooring_id": place.mooring_id,
                    "bay": place.bay,
                    "day": day,
                    "hulls": tuple(out["hull_id"]),
                    "hours": float(out["hours"].sum()),
                    "most_h": float(most_h),
                    "closed": closed,
                }
            )
    names = ["mooring_id", "bay", "day", "hulls", "hours", "most_h", "closed"]
    return pd.DataFrame(rows, columns=names)


def _in_week(issued: pd.DataFrame, week: date) -> pd.DataFrame:
    inside = [day is not None and week <= day < week + A_WEEK for day in issued["day"]]
    return issued[np.array(inside, dtype=bool)].reset_index(drop=True)


def _day(day: date, *, year: bool = True) -> str:
    return formatting.day(day, UTC, year=year)
