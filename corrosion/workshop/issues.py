"""The plans that were issued, as the log has them: which there are, and what each asked for."""

from __future__ import annotations

from datetime import date, tzinfo
from typing import Final

import numpy as np
import pandas as pd

ISSUE_COLUMNS: Final = ("plan_id", "issued_at", "week", "pull_outs", "entered_by", "method")
TEXTS: Final = ("replace", "measure", "parts", "why", "method", "mooring_id")


def issues(plans: pd.DataFrame, zone: tzinfo) -> pd.DataFrame:
    """List the plans that were issued, newest first.

    Parameters
    ----------
    plans : DataFrame
        The log `plans`, rows that stand.
    zone : tzinfo
        Zone in which its dates are dates.

    Returns
    -------
    DataFrame, one row an issued plan
        `plan_id`, `issued_at` (UTC), `week` (date), `pull_outs` (how many), `entered_by`, `method`.
    """
    rows = [
        {
            "plan_id": plan_id,
            "issued_at": own["issued_at"].iloc[0],
            "week": local_date(own["week"].iloc[0], zone),
            "pull_outs": int(own["day"].notna().sum()),
            "entered_by": own["entered_by"].iloc[0],
            "method": own["method"].iloc[0],
        }
        for plan_id, own in plans[plans["issued_at"].notna()].groupby("plan_id", sort=False)
    ]
    table = pd.DataFrame(rows, columns=list(ISSUE_COLUMNS))
    return table.sort_values("issued_at", ascending=False, kind="stable", ignore_index=True)


def issued_plan(plans: pd.DataFrame, plan_id: str, zone: tzinfo) -> pd.DataFrame:
    """Give the rows of an issued plan as they were issued.

    Parameters
    ----------
    plans : DataFrame
        The log `plans`, rows that stand.
    plan_id : str
        Its name.
    zone : tzinfo
        Zone in which its dates are dates.

    Returns
    -------
    DataFrame, one row a hull that was in service
        Columns of the log; `day`, `week` and `pull_by` as dates or None, texts never missing.
    """
    own = plans[plans["plan_id"] == plan_id].reset_index(drop=True)
    dates = {
        name: pd.Series([local_date(day, zone) for day in own[name]], dtype=object)
        for name in ("day", "week", "pull_by")
    }
    return own.assign(**dates, **{name: own[name].fillna("") for name in TEXTS})


def newest_issue(plans: pd.DataFrame, week: date, zone: tzinfo) -> pd.DataFrame:
    """Give the plan that was issued last for a week or an earlier one; no row when there is none.

    Parameters
    ----------
    plans : DataFrame
        The log `plans`, rows that stand.
    week : date
        Monday of the week that is looked at.
    zone : tzinfo
        Zone in which its dates are dates.

    Returns
    -------
    DataFrame
        As `issued_plan`.
    """
    issued = until_week(issues(plans, zone), week)
    return issued_plan(plans, "" if issued.empty else issued["plan_id"].iloc[0], zone)


def until_week(issued: pd.DataFrame, week: date) -> pd.DataFrame:
    """Keep the issues, one a row as `issues` lists them, that are for a week or an earlier one."""
    known = [each is not None and each <= week for each in issued["week"]]
    return issued[np.array(known, dtype=bool)].reset_index(drop=True)


def local_date(day: pd.Timestamp | date | None, zone: tzinfo) -> date | None:
    """Give the date of a midnight, in the zone in which it is one; None for none."""
    if day is None or pd.isna(day):
        return None
    return day.tz_convert(zone).date() if isinstance(day, pd.Timestamp) else day
