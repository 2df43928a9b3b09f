"""Issued plans: frozen, dated, one row a hull in service and one a hire, never rewritten."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, tzinfo
from pathlib import Path
from typing import Any, Final
from uuid import uuid4

import pandas as pd

from corrosion.common import moment_at
from corrosion.forecast import Appraisal
from corrosion.records import VERSION, Writer, append_all
from corrosion.workshop.hires_told import hire_rows, told_already
from corrosion.workshop.issues import issues, local_date
from corrosion.workshop.plan import Plan

LINE: Final = (
    *("hull_id", "day", "mooring_id", "bay", "replace", "measure", "hours", "parts"),
    *("risk_now", "risk_after", "pull_by", "why"),
)


def new_plan_id(week: date) -> str:
    """Name a plan that is about to be issued; a form that is sent twice keeps its name."""
    return f"{week:%Y-%m-%d}-{uuid4().hex[:8]}"


def plan_rows(
    plan: Plan, appraisal: Appraisal, plan_id: str, issued_at: pd.Timestamp
) -> pd.DataFrame:
    """Lay a plan out as rows of the log `plans`: pull-outs, hulls that stay, hulls not judged.

    Parameters
    ----------
    plan : Plan
        The plan as it is now.
    appraisal : Appraisal
        What it rests on.
    plan_id : str
        Its name.
    issued_at : Timestamp
        The moment of issue, UTC.

    Returns
    -------
    DataFrame, one row a hull in service
        Columns of the log `plans`; `day` is NaT for a hull that stays.
    """
    zone = appraisal.logbook.settings.timezone
    pieces = zip(plan.pulls["parts"], plan.pulls["seals"], strict=True)
    out = plan.pulls.assign(parts=[said_parts(parts, seals) for parts, seals in pieces])
    stay = plan.left_out.rename(columns={"reason": "why"})
    unknown = appraisal.forecast.not_judged.rename(columns={"reason": "why"})
    unknown = unknown.groupby("hull_id", sort=False)["why"].agg("; ".join).reset_index()
    unknown = unknown[~unknown["hull_id"].isin([*out["hull_id"], *stay["hull_id"]])]
    rows = [*_records(out), *_records(stay), *_records(unknown)]
    head = {"plan_id": plan_id, "issued_at": issued_at, "week": _midnight(plan.week, zone)}
    table = pd.DataFrame([head | {name: row.get(name) for name in LINE} for row in rows])
    for name in ("day", "pull_by"):
        table[name] = [_midnight(day, zone) for day in table[name]]
    for name in ("replace", "measure"):
        table[name] = [joined_positions(positions) for positions in table[name]]
    return table.assign(
        method=VERSION,
        hires_told=float(len(plan.hires)),
        entry_id=[f"{plan_id}-{hull_id}" for hull_id in table["hull_id"]],
    )


def issue_plan(
    folder: Path,
    plan: Plan,
    appraisal: Appraisal,
    by: Writer,
    *,
    plan_id: str | None = None,
    now: pd.Timestamp | None = None,
) -> str:
    """Issue a plan: write it and what the desk is told of hires, where nothing changes it more.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    plan, appraisal
        The plan, and what it rests on.
    by : Writer
        Who issues it: a role, never a person's name, and what they may.
    plan_id : str, optional
        Its name; a plan of that name that is in the log already is not written again, and neither
        is one that asks for the same work, and tells the same of hires, as the plan issued last
        for its week.
    now : Timestamp, optional
        The moment of issue; the computer's clock when left out.

    Returns
    -------
    str
        The plan's name; where nothing was written, that of the plan in the log.

    Raises
    ------
    Refusal
        The logs would not take it, or whoever issues may not; no plan was written.
    """
    by.require(folder, "plans")
    name = plan_id or new_plan_id(plan.week)
    moment = (pd.Timestamp.now("UTC") if now is None else now).as_unit("us")
    rows = plan_rows(plan, appraisal, name, moment)
    told = hire_rows(plan, appraisal.logbook, name, moment)
    before = same_as_issued(rows, told, plan, appraisal)
    if before:
        return before
    both = {"plan_hires": told, "plans": rows} if len(told) else {"plans": rows}
    append_all(folder, both, by, moment)
    return name


def same_as_issued(rows: pd.DataFrame, told: pd.DataFrame, plan: Plan, appraisal: Appraisal) -> str:
    """Name the plan issued last for a week, where it asks for the same; else empty.

    Parameters
    ----------
    rows : DataFrame, the plan as `plan_rows` lays it out
    told : DataFrame, its hires as `hire_rows` lays them out
    plan : Plan, for its week and moment
    appraisal : Appraisal, for the plans that were issued
    """
    plans, zone = appraisal.logbook.plans, appraisal.logbook.settings.timezone
    known = issues(plans, zone)
    known = known[known["week"] == plan.week]
    if known.empty:
        return ""
    name = str(known["plan_id"].iloc[0])
    last = plans[plans["plan_id"] == name]
    same_work = _work_of(rows, zone) == _work_of(last, zone)
    same_hires = told_already(told, appraisal.logbook, name, plan.on)
    return name if same_work and same_hires else ""


def _work_of(rows: pd.DataFrame, zone: tzinfo) -> set[tuple[str, ...]]:
    """Say what a plan asks for: hull, day, bay and positions of every pull-out."""
    out = rows[rows["day"].notna()]
    cells = out[["mooring_id", "bay", "replace", "measure"]].itertuples(index=False)
    days = [local_date(day, zone) for day in out["day"]]
    return {
        (str(hull), str(day), *(_as_text(each) for each in own))
        for hull, day, own in zip(out["hull_id"], days, cells, strict=True)
    }


def _as_text(cell: Any) -> str:
    """Say a cell alike whether the plan was just made or read from its log."""
    if pd.isna(cell):
        return ""
    return f"{cell:g}" if isinstance(cell, float) else str(cell)


def said_parts(parts: Mapping[str, int], seals: Mapping[str, int]) -> str:
    """Write pieces and part numbers as text: ``2 x AN-1, seals: 2 x AN-1``."""
    anodes = ", ".join(f"{count} x {part}" for part, count in parts.items())
    rings = ", ".join(f"{count} x {part}" for part, count in seals.items())
    return "; ".join(filter(None, (anodes, f"seals: {rings}" if rings else "")))


def joined_positions(positions: object) -> str | None:
    """Join positions by commas; none at all is nothing."""
    return ", ".join(positions) or None if isinstance(positions, list | tuple) else None


def _midnight(day: object, zone: tzinfo) -> pd.Timestamp | None:
    """Give a date as the moment at which it begins, UTC; none stays none."""
    if not isinstance(day, date) or pd.isna(day):
        return None
    return moment_at(datetime(day.year, day.month, day.day), zone)


def _records(table: pd.DataFrame) -> list[dict[Any, Any]]:
    return table.to_dict("records")
