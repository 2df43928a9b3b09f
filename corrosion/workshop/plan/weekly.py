"""One week of a plan: what comes out then, and every other hull with its reason."""

from __future__ import annotations

from datetime import UTC, date, timedelta

import numpy as np
import pandas as pd

from corrosion.common import formatting
from corrosion.workshop.plan.tables import LEFT_OUT, Plan


def pulls_of_week(plan: Plan) -> pd.DataFrame:
    """Return the pull-outs of the week asked for, by day: the columns of `Plan.pulls`."""
    last = plan.week + timedelta(days=6)
    inside = [plan.week <= day <= last for day in plan.pulls["day"]]
    return plan.pulls[np.array(inside, dtype=bool)].reset_index(drop=True)


def left_that_week(plan: Plan) -> pd.DataFrame:
    """Return every hull that does not come out in the week asked for, riskiest first.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    DataFrame
        hull_id, mooring_id, risk_now (by the end of that week), pull_by, reason; one that comes
        out in another week of the plan has that day as its reason; and of those that are stopped
        or over the tolerated risk stop, not_this_week, release (words)
    """
    own = set(pulls_of_week(plan)["hull_id"])
    held = plan.obstacles.set_index("hull_id")
    others = plan.pulls[~plan.pulls["hull_id"].isin(own)]
    rows = [
        {"hull_id": row["hull_id"], "mooring_id": row["mooring_id"], "risk_now": row["risk_week"],
         "pull_by": row["pull_by"], "reason": _another_week(plan, row["day"], row["why"])}
        for row in others.to_dict("records")
    ]  # fmt: skip
    later = pd.DataFrame(rows, columns=list(LEFT_OUT))
    both = [part for part in (later, plan.left_out) if len(part)] or [later]
    table = pd.concat([part.astype(object) for part in both], ignore_index=True)
    table["risk_now"] = table["risk_now"].astype(float)
    for name in ("stop", "not_this_week", "release"):
        table[name] = held[name].reindex(table["hull_id"]).fillna("").to_numpy(object)
    order = table.sort_values(["risk_now", "hull_id"], ascending=[False, True], kind="stable")
    return order.reset_index(drop=True)


def _another_week(plan: Plan, day: date, why: str) -> str:
    where = "later in the plan" if day > plan.week else "before that week"
    return f"comes out {where}, on {formatting.day(day, UTC)}: {why}"
