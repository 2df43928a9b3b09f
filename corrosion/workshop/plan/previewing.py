"""What would follow from a decision, before it is written: what fits, who makes room, the cost."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Final

import pandas as pd

from corrosion.common import LogRefused, formatting, moment_at
from corrosion.forecast import LIFT_STOP, Appraisal
from corrosion.records import Writer, Written
from corrosion.workshop.overrides import PIN, decide
from corrosion.workshop.plan.making import make_plan
from corrosion.workshop.plan.tables import Plan

DISPLACED: Final = ("hull_id", "before", "after")
CHANGED_HIRES: Final = ("starts", "ends", "hull_id", "to_hull_id", "change", "cost")


@dataclass(frozen=True)
class Preview:
    """What would follow from one decision.

    Attributes
    ----------
    change, hull_id, day : what is to be decided
    fits : bool, whether the plan can keep it
    why_not : str, what is in the way where it does not fit, and the nearest plan
    becomes : date or None, when the hull would come out; None: not in this plan
    displaced : DataFrame, one row another hull whose day changes: hull_id, before, after (date, or
        None: not in this plan)
    hires : DataFrame, one row a hire that would change and does not now: columns `CHANGED_HIRES`
    spared : int, hires that change now and would not
    cost_more : float, expected cost of the plan with it less that without it, currency
    """

    change: str
    hull_id: str
    day: date | None
    fits: bool
    why_not: str
    becomes: date | None
    displaced: pd.DataFrame
    hires: pd.DataFrame
    spared: int
    cost_more: float


def preview_decision(
    appraisal: Appraisal, plan: Plan, change: str, hull_id: str, day: date | None
) -> Preview:
    """Make the plan anew as if something were decided, and put it beside the plan as it is.

    Parameters
    ----------
    appraisal : Appraisal
    plan : Plan, as it is now
    change : {'pin', 'skip', 'hire-out', 'lift-stop'}
    hull_id : str
    day : date, of a pin; the last day of a lifted stop; a day of the week otherwise

    Returns
    -------
    Preview
        Nothing is written.
    """
    assumed = _as_if(appraisal, change, hull_id, day)
    after = make_plan(assumed, plan.week, plan.weeks)
    before_day, after_day = _days(plan), _days(after)
    becomes = after_day.get(hull_id)
    fits = change != PIN or becomes == day
    why_not = "" if fits else after.conflict or f"the plan can't take {hull_id} out that day"
    moved = [
        (hull, before_day.get(hull), after_day.get(hull))
        for hull in sorted({*before_day, *after_day} - {hull_id})
        if before_day.get(hull) != after_day.get(hull)
    ]
    new, gone = _new_hires(plan, after)
    return Preview(
        change, hull_id, day, fits, why_not, becomes,
        pd.DataFrame(moved, columns=list(DISPLACED)), new, gone, _total(after) - _total(plan),
    )  # fmt: skip


def say_preview(preview: Preview, appraisal: Appraisal) -> tuple[str, ...]:
    """Say a preview, a sentence each: what fits, who makes room, which hires, what it costs."""
    return tuple(_sentences(preview, appraisal))


def decide_as_previewed(
    folder: Path, preview: Preview, by: Writer, *, reason: str = "", entry_id: str | None = None,
    now: pd.Timestamp | None = None,
) -> Written:  # fmt: skip
    """Write a decision that was previewed; what does not fit is not written.

    Parameters
    ----------
    folder : Path, the fleet's folder
    preview : Preview
    by, reason, entry_id, now : as for `decide`

    Returns
    -------
    Written

    Raises
    ------
    LogRefused
        It does not fit, or a reason is missing; nothing was written.
    """
    if not preview.fits:
        raise LogRefused(f"plan_changes: {preview.why_not} Choose another day; nothing is written.")
    return decide(
        folder, preview.change, preview.hull_id, by, day=preview.day, reason=reason,
        entry_id=entry_id, now=now,
    )  # fmt: skip


def _as_if(appraisal: Appraisal, change: str, hull_id: str, day: date | None) -> Appraisal:
    """Return the appraisal of a fleet whose logs hold one decision more."""
    logbook = appraisal.logbook
    zone, known = logbook.settings.timezone, logbook.plan_changes
    moment = None if day is None else moment_at(pd.Timestamp(day), zone)
    row = {
        "hull_id": hull_id, "decided_at": logbook.on, "change": change, "day": moment,
        "entered_at": logbook.on, "log_row": len(known),
    }  # fmt: skip
    one = pd.DataFrame([row]).reindex(columns=known.columns)
    one = one.astype({name: known[name].dtype for name in known.columns})
    changes = pd.concat([known, one], ignore_index=True) if len(known) else one
    tables = {**logbook.tables, "plan_changes": changes}
    checked = replace(appraisal.checked, logbook=replace(logbook, tables=tables))
    forecast = appraisal.forecast
    if change == LIFT_STOP:
        own = forecast.hulls["hull_id"] == hull_id
        hulls = forecast.hulls.assign(stop=forecast.hulls["stop"].mask(own, ""))
        forecast = replace(forecast, hulls=hulls)
    return replace(appraisal, checked=checked, forecast=forecast)


def _days(plan: Plan) -> dict[str, date]:
    return dict(zip(plan.pulls["hull_id"], plan.pulls["day"], strict=True))


def _new_hires(before: Plan, after: Plan) -> tuple[pd.DataFrame, int]:
    """Return the hires that change in one plan alone, and how many change in the other alone."""
    keys = ["starts", "hull_id", "to_hull_id", "change"]
    then, now = (
        {tuple(row) for row in plan.hires[keys].itertuples(index=False)} for plan in (before, after)
    )
    new = [tuple(row) not in then for row in after.hires[keys].itertuples(index=False)]
    return after.hires.loc[new, list(CHANGED_HIRES)].reset_index(drop=True), len(then - now)


def _total(plan: Plan) -> float:
    return float(plan.costs.set_index("item")["amount"]["total"])


def _sentences(preview: Preview, appraisal: Appraisal) -> Iterator[str]:
    settings = appraisal.logbook.settings
    zone, hull = settings.timezone, preview.hull_id
    if not preview.fits:
        yield f"It does not fit: {preview.why_not}"
        return
    if preview.becomes is None:
        yield f"{hull} would not come out in the weeks of this plan."
    else:
        yield f"{hull} would come out on {formatting.day(preview.becomes, zone)}."
    if preview.displaced.empty:
        yield "No other hull changes its day."
    for row in preview.displaced.to_dict("records"):
        days = [_said(row[name], appraisal) for name in ("before", "after")]
        yield f"{row['hull_id']}: {days[0]} now, {days[1]} then."
    moves = int((preview.hires["change"] == "move").sum())
    gone = int((preview.hires["change"] == "cancel").sum())
    if moves or gone or preview.spared:
        yield (
            f"Hires: {moves} more would move, {gone} more would be called off, "
            f"{preview.spared} would stay that change now."
        )
    more = formatting.price(abs(preview.cost_more), settings.currency)
    less = "less" if preview.cost_more < 0 else "more"
    yield f"The plan would be expected to cost {more} {less}."


def _said(day: date | None, appraisal: Appraisal) -> str:
    if day is None or pd.isna(day):
        return "not in this plan"
    return formatting.day(day, appraisal.logbook.settings.timezone, year=False)
