"""One week as the manager looks at it: the plan, what was decided and issued, what became of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import pandas as pd

from corrosion.forecast import Appraisal
from corrosion.reports.week_papers import bay_days, calendar_of_week
from corrosion.reports.week_picture import WeekLanes, week_lanes
from corrosion.workshop import (
    HIRE_OUT,
    HiresTold,
    Plan,
    Watch,
    hires_since_issue,
    left_that_week,
    make_plan,
    newest_issue,
    pulls_of_week,
    since_issue,
    standing_changes,
    unwatched,
)


@dataclass(frozen=True)
class PlannedWeek:
    """A week of a plan with all that belongs to it.

    Attributes
    ----------
    plan : Plan
        The plan as it is now, from that week on.
    pulls, left : DataFrame
        Its pull-outs of that week, and every other hull with its reason.
    bays : DataFrame
        Days by bays, as `corrosion.reports.week_papers.bay_days` gives them.
    decided : DataFrame
        Decisions that hold, as `corrosion.workshop.overrides.standing_changes` gives them.
    issued : DataFrame
        The plan issued last for that week or an earlier one; no row when there is none.
    drift : DataFrame
        What became of it, as `corrosion.workshop.plan_deviation.since_issue` gives it.
    told : HiresTold
        What the desk was told of hires, and what became of that.
    lanes : WeekLanes
        The week's picture, before it is drawn.
    calendar : bytes
        The calendar file of the week.
    confirmed : bool
        Whether the calendar is that of an issued plan.
    """

    plan: Plan
    pulls: pd.DataFrame
    left: pd.DataFrame
    bays: pd.DataFrame
    decided: pd.DataFrame
    issued: pd.DataFrame
    drift: pd.DataFrame
    told: HiresTold
    lanes: WeekLanes
    calendar: bytes
    confirmed: bool


def plan_week(
    appraisal: Appraisal, week: date | None = None, watch: Watch = unwatched
) -> PlannedWeek:
    """Plan a week and gather what belongs to it.

    Parameters
    ----------
    appraisal : Appraisal
        What the plan rests on.
    week : date, optional
        A day of the week; the week that can still be worked on when left out.
    watch : optional
        Is told how far the plan has come.

    Returns
    -------
    PlannedWeek

    Raises
    ------
    Refusal
        The week is over, or further ahead than anything is known.
    """
    plan, logbook = make_plan(appraisal, week, watch=watch), appraisal.logbook
    issued = newest_issue(logbook.plans, plan.week, logbook.settings.timezone)
    calendar, confirmed = calendar_of_week(plan, logbook)
    decided, bays = decided_now(appraisal), bay_days(plan, logbook)
    return PlannedWeek(
        plan,
        pulls_of_week(plan),
        left_that_week(plan),
        bays,
        decided,
        issued,
        since_issue(issued, plan, appraisal.checked, decided),
        hires_since_issue(plan, logbook),
        week_lanes(plan, bays, appraisal),
        calendar,
        confirmed,
    )


def decided_now(appraisal: Appraisal) -> pd.DataFrame:
    """Give the decisions that hold at the moment of the appraisal.

    Parameters
    ----------
    appraisal : Appraisal
        The fleet at one moment.

    Returns
    -------
    DataFrame
        As `corrosion.workshop.overrides.standing_changes`.
    """
    logbook = appraisal.logbook
    zone = logbook.settings.timezone
    return standing_changes(logbook.plan_changes, zone, logbook.on.tz_convert(zone).date())


def hired_out(appraisal: Appraisal) -> dict[str, str]:
    """Give the hulls that somebody decided to hire out past their pull-by, each with the reason.

    Parameters
    ----------
    appraisal : Appraisal
        The fleet at one moment.

    Returns
    -------
    dict of str to str
        Hull to reason.
    """
    table = decided_now(appraisal)
    own = table[table["change"] == HIRE_OUT]
    return dict(zip(own["hull_id"], own["reason"].fillna("no reason given"), strict=True))
