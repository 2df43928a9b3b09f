"""The money of a plan: neighbours replaced now or left, and what it all comes to."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from corrosion.common import after_days
from corrosion.workshop.plan.cases import Case
from corrosion.workshop.plan.jobs import Job
from corrosion.workshop.plan.options import Option, Setting
from corrosion.workshop.plan.packages import weigh
from corrosion.workshop.plan.prospects import Prospects
from corrosion.workshop.plan.saying import WORTH_SAYING, part_that_is_short

WHOLE_PLAN = "cheaper for the plan as a whole: bays, parts and hires"


def neighbours_of(job: Job) -> list[dict[str, Any]]:
    """Say of each anode of a hull that comes out what replacing it now costs and saves.

    Parameters
    ----------
    job : Job

    Returns
    -------
    list of rows: part (with seal and the time to swap it), life thrown away, visit saved (access
        and lateness with it), and the net of the two, currency
    """
    case, setting = job.case, job.setting
    count = case.rows.size
    both = np.repeat(job.replace[None, :], 2 * count, axis=0)
    both[np.arange(count), np.arange(count)] = True
    both[np.arange(count) + count, np.arange(count)] = False
    times = np.array([job.ahead_days])
    weighed = weigh(case, setting.ahead, times, np.zeros(1), both)
    cost, whole = weighed.cost[0], weighed.cost_with_rules[0]
    rows = []
    for k in range(count):
        net = float(cost[k + count] - cost[k])
        thrown = life_thrown_away(case, setting.ahead, k, float(times[0]))
        rows.append(
            {
                "hull_id": case.hull_id,
                "position": job.names[k],
                "choice": "replace" if job.replace[k] else "leave",
                "part_cost": round(float(case.unit[k]), 2),
                "life_thrown_away": round(thrown, 2),
                "visit_saved": round(net + thrown, 2),
                "net": round(net, 2),
                "due": _date(setting, float(case.due[k])),
                "because": _against_net(job, k, net, float(whole[k + count] - whole[k])),
            }
        )
    return rows


def _against_net(job: Job, k: int, net: float, with_rule: float) -> str:
    """Say why an anode is replaced at a loss, or left at a gain; empty where the net decides."""
    if (net >= 0.0) == bool(job.replace[k]) or abs(net) < WORTH_SAYING:
        return ""
    if not job.replace[k]:
        return part_that_is_short(job, k) or WHOLE_PLAN
    if job.stops(k):
        return "at a loss, to lift the stop"
    if with_rule >= 0.0:
        return "at a loss, to stay within the tolerated risk"
    return "at a loss, to go with the pin" if job.pinned else f"at a loss: {WHOLE_PLAN}"


def life_thrown_away(case: Case, ahead: Prospects, k: int, at: float) -> float:
    """Return the worth of the life still left in an anode that is replaced, currency."""
    new = float(ahead.new_lasts_until(int(case.rows[k]), np.array([at]))[0])
    left = max(float(case.mid[k]) - at, 0.0)
    return float(case.unit[k] * left / max(left, new - at))


def _date(setting: Setting, days: float) -> Any:
    return after_days(setting.horizon.on, days, setting.horizon.zone).date()


def total_costs(
    jobs: Sequence[Job], options: Sequence[Option], setting: Setting, moved: float = 0.0,
    express: float = 0.0,
) -> pd.DataFrame:  # fmt: skip
    """Add up what the plan comes to over its horizon.

    Parameters
    ----------
    jobs : the pull-outs
    options : every judged hull
    setting : Setting
    moved : float, what moving and cancelling hires costs, currency
    express : float, what couriers cost, currency

    Returns
    -------
    DataFrame: item, amount (currency); the total is of what is paid or to be expected, life thrown
        away is in it already
    """
    at = {job.case.hull_id: job.ahead_days for job in jobs}
    out, stay = 0.0, 0.0
    for option in options:
        until = at.get(option.case.hull_id, setting.horizon.end)
        late = sum(
            float(option.case.late[k] * setting.ahead.days_past(int(row), np.array([until]))[0])
            for k, row in enumerate(option.case.rows)
        )
        if option.case.hull_id in at:
            out += late
        else:
            stay += late
    work = sum(float(job.case.wage * job.case.hours(job.replace[None, :])[0]) for job in jobs)
    parts = sum(float(job.case.materials(job.replace[None, :])[0]) for job in jobs)
    hire = sum(float(setting.hire.by_day[job.option.hull_row, job.at]) for job in jobs)
    thrown = sum(
        life_thrown_away(job.case, setting.ahead, int(k), job.ahead_days)
        for job in jobs
        for k in np.flatnonzero(job.replace)
    )
    items = {
        "work": work,
        "parts and seals": parts,
        "lost hire": hire,
        "hires moved and cancelled": moved,
        "parts by courier": express,
        "late anodes until they come out, expected": out,
        "late anodes of hulls that stay, expected": stay,
        "total": work + parts + hire + moved + express + out + stay,
        "of it: life thrown away": thrown,
    }
    return pd.DataFrame(
        {"item": list(items), "amount": [round(each, 2) for each in items.values()]}
    )
