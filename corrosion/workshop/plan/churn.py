"""What it costs to change a plan that was issued: sheets are printed, hires are moved, people know.

Notes
-----
* A visit that was issued keeps its day unless another saves more than `churn_cost` of the settings
  (15 where the fleet says nothing, and that is said). It is a price of the programme, like that of
  a pull-by: it is no part of any cost that is shown, and a pin of the manager pays none.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, tzinfo

import pandas as pd

from corrosion.records import Settings
from corrosion.workshop.issues import newest_issue

CHURN_COST = 15.0
"""Currency: a word to the desk, a sheet printed anew, a crew told (invented)."""


def issued_days(plans: pd.DataFrame, week: date, zone: tzinfo) -> dict[str, date]:
    """Give the day on which each hull comes out by the plan issued last, up to a week.

    Parameters
    ----------
    plans : DataFrame, the log `plans`, rows that stand
    week : date, Monday of the week asked for
    zone : tzinfo, in which its dates are dates

    Returns
    -------
    dict of hull_id to date; empty where none was issued
    """
    issued = newest_issue(plans, week, zone)
    out = issued[issued["day"].notna()]
    return dict(zip(out["hull_id"].astype(str), out["day"], strict=True))


def churn_of(settings: Settings) -> float:
    """Return what changing an issued visit costs, currency."""
    return CHURN_COST if settings.churn_cost is None else settings.churn_cost


def churn_said(settings: Settings, issued: Mapping[str, date]) -> tuple[str, ...]:
    """Say what was taken for granted, where a plan was issued and the fleet says nothing."""
    if settings.churn_cost is not None or not issued:
        return ()
    return (
        f"No churn_cost in fleet.toml: a visit of the issued plan is left on its day unless "
        f"another saves more than {CHURN_COST:.0f}.",
    )
