"""The table of pull-outs, line by line."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Any

from corrosion.workshop.plan import saying
from corrosion.workshop.plan.jobs import WEEK_DAYS, Job


def row_of(job: Job) -> dict[str, Any]:
    """Write one pull-out as a row of `Plan.pulls`."""
    place = job.setting.yard.bays[job.bay]
    until = job.setting.horizon.until_week_ends(job.setting.horizon.week)
    return {
        "day": job.day,
        "mooring_id": place.mooring_id,
        "bay": place.bay,
        "hull_id": job.case.hull_id,
        **_work(job),
        **_money(job),
        "risk_now": job.chance(job.week_ends),
        "risk_after": job.chance_after,
        "risk_week": job.chance(until),
        "slip_cost": round(job.slip_cost, 2),
        "slip_risk": job.chance(job.ahead_days + WEEK_DAYS),
        "slip_risk_after": job.chance_with_work(job.ahead_days + WEEK_DAYS),
        "why": saying.why(job),
        "slip": saying.slip(job),
        "would_change": saying.would_change(job),
        "pinned": job.pinned,
        "kind": kind_of(job),
        "pull_by": job.appraisal.forecast.hulls["pull_by"].iloc[job.hull_row],
        "stop": str(job.appraisal.forecast.hulls["stop"].iloc[job.hull_row]),
        "lifts_stop": job.lifts,
    }


def kind_of(job: Job) -> str:
    """Return 'look' where nothing is replaced, 'measure-first' where a reading may change it."""
    if not job.replace.any():
        return "look"
    return "measure-first" if any(look.anode == job.lead for look in job.looks) else "swap"


def _work(job: Job) -> dict[str, Any]:
    """Return what is done: positions, hours, parts and seals."""
    first = job.replace.copy()
    first[:] = False
    first[[look.anode for look in job.looks]] = True
    handled = job.replace | job.measure
    numbers = job.case.part_numbers
    new = (p for p, chosen in zip(numbers, job.replace, strict=True) if chosen)
    sealed = (
        p for p, seen, cost in zip(numbers, handled, job.case.seal, strict=True) if seen and cost
    )
    return {
        "replace": tuple(job.named(job.replace)),
        "measure": (*job.named(job.measure | first), *job.unseen),
        "hours": round(float(job.case.hours(job.replace[None, :])[0]), 2),
        "parts": _counted(new),
        "seals": _counted(sealed),
    }


def _counted(parts: Iterable[str | None]) -> dict[str, int]:
    return dict(sorted(Counter(part for part in parts if part is not None).items()))


def _money(job: Job) -> dict[str, Any]:
    which, case = job.replace[None, :], job.case
    return {
        "part_cost": round(float(case.materials(which)[0]), 2),
        "work_cost": round(float(case.wage * case.hours(which)[0]), 2),
        "lost_hire": round(float(job.setting.hire.by_day[job.option.hull_row, job.at]), 2),
    }
