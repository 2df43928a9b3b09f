"""The command `plan`: the week's pull-outs, then what was left out and why."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from corrosion.command_line.answers import Answer, about_fleet, appraised, silent
from corrosion.command_line.plan_files import write_files

if TYPE_CHECKING:
    import pandas as pd

    from corrosion.workshop import HiresTold, Plan

SHOWN = (
    *("day", "mooring_id", "hull_id", "stop", "replace", "measure", "hours", "parts"),
    *("risk_now", "risk_after", "why", "not_this_week", "release"),
)
BESIDE = (
    *("bay", "kind", "pinned", "pull_by", "slip_cost", "slip_risk", "slip", "would_change"),
    *("seals", "part_cost", "work_cost", "lost_hire", "starts", "ends", "lifts_stop"),
)
IN_WORDS = ("replace", "measure", "parts", "seals")


def plan(options: argparse.Namespace) -> Answer:
    """Plan the pull-outs of a week."""
    from corrosion.workshop import make_plan

    appraisal = appraised(options)
    made = make_plan(appraisal, options.week, options.weeks)
    rows = _rows(made, whole=options.horizon)
    if options.format != "json":
        rows = _in_words(rows)
    answer = about_fleet(rows, SHOWN, appraisal.checked, f", {_span(made)}", silent(appraisal))
    currency = appraisal.logbook.settings.currency
    written = write_files(made, appraisal, options)
    about = (*answer.about, *about_plan(made, currency), *written)
    return Answer(answer.rows, about, SHOWN, answer.zone)


HIRES = ("starts", "ends", "hull_id", "to_hull_id", "change", "cost", "why")
TOLD = ("starts", "hull_id", "told", "told_to", "what", "said", "now", "now_to")


def hires(options: argparse.Namespace) -> Answer:
    """List the hires that are moved, cancelled or wait for a look; the others stay."""
    from corrosion.workshop import hires_since_issue, make_plan

    appraisal = appraised(options)
    made = make_plan(appraisal, options.week)
    told = hires_since_issue(made, appraisal.logbook)
    if options.told:
        answer = about_fleet(
            told.rows, TOLD, appraisal.checked, f", {_span(made)}", silent(appraisal)
        )
        return Answer(answer.rows, (*answer.about, _about_told(told)), TOLD, answer.zone)
    changes = made.hires["change"].value_counts()
    before = told.of_today
    keys = zip(made.hires["hull_id"], made.hires["starts"], strict=True)
    rows = made.hires.assign(since_told=[before.get(key, {}).get("what", "") for key in keys])
    answer = about_fleet(rows, HIRES, appraisal.checked, f", {_span(made)}", silent(appraisal))
    counted = ", ".join(f"{count} {change}" for change, count in changes.items())
    about = f"{counted or 'none'}; every other hire stays where it is booked."
    return Answer(answer.rows, (*answer.about, about, _about_told(told)), HIRES, answer.zone)


def _about_told(told: HiresTold) -> str:
    """Say what became of the hires that the desk was told of, counted."""
    if not told.kept:
        return "What the desk was told of hires is not kept: no plan is issued, or not by its plan."
    counts = told.rows["what"].value_counts()
    counted = ", ".join(f"{count} {what}" for what, count in counts.items())
    lost = f" {told.lost} rows of it are missing from plan_hires." if told.lost else ""
    return f"The desk was told with plan {told.plan_id}: {counted or 'of no hire'}.{lost}"


def _rows(made: Plan, *, whole: bool) -> pd.DataFrame:
    """Return pull-outs first, then the hulls left where they are."""
    import pandas as pd

    from corrosion.workshop import left_that_week, pulls_of_week

    pulls = made.pulls if whole else pulls_of_week(made)
    left = (made.left_out if whole else left_that_week(made)).rename(columns={"reason": "why"})
    if whole:
        held = made.obstacles.set_index("hull_id")[["stop", "not_this_week", "release"]]
        left = left.merge(held, left_on="hull_id", right_index=True, how="left")
    names = [*SHOWN, *BESIDE]
    rows = [
        *pulls.assign(not_this_week="", release="")[names].to_dict("records"),
        *left.to_dict("records"),
    ]
    nothing: dict[str, Any] = {"replace": (), "measure": (), "parts": {}, "seals": {}}
    nothing |= {"stop": "", "not_this_week": "", "release": ""}
    table = pd.DataFrame([nothing | row for row in rows], columns=names)
    return table.astype({"day": object, "pull_by": object, "bay": "Int64", "pinned": "boolean"})


def _in_words(rows: pd.DataFrame) -> pd.DataFrame:
    return rows.assign(**{name: [_words(cell) for cell in rows[name]] for name in IN_WORDS})


def _words(cell: Any) -> str:
    if isinstance(cell, dict):
        return ", ".join(f"{pieces} x {part}" for part, pieces in cell.items())
    return ", ".join(cell)


def _span(made: Plan) -> str:
    return f"week of {made.week:%Y-%m-%d}, {made.weeks} weeks planned"


def about_plan(made: Plan, currency: str) -> tuple[str, ...]:
    """Say what a plan costs, how sure it is that none is cheaper, and what was assumed.

    Parameters
    ----------
    made : Plan
    currency : str

    Returns
    -------
    tuple of str, one line each
    """
    total = float(made.costs.set_index("item")["amount"]["total"])
    sure = "no cheaper plan exists" if made.proven else f"within {100 * made.gap:.1f} % of the best"
    money = f"{currency} {total:.0f}".strip()
    lines = [
        f"{len(made.pulls)} pull-outs over the whole plan, expected cost with lateness {money}; "
        f"{sure} (found in {made.seconds:.1f} s)."
    ]
    if made.conflict:
        lines.append(made.conflict)
    return (*lines, *(f"Assumed: {each}" for each in made.assumed))
