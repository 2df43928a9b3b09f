"""Pull-outs of a week: by day and bay, why, what a slip costs, and what was left out."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import Refusal, formatting
from corrosion.forecast import Appraisal
from corrosion.reports import PlannedWeek, week_days
from corrosion.workshop import Plan
from pages._shared import cached_answers, listing, plan_change, plan_issued, plan_papers, widgets
from pages._shared.session import View

KINDS = {"measure-first": "measure first", "look": "look only"}
SHOWN_LEFT = 12


def show(seen: View, answer: Appraisal) -> None:
    """Say what comes out in the week, draw days by bays, list each line, and offer to decide."""
    st.subheader("This week's pull-outs", anchor="pull-outs")
    week = _week()
    try:
        planned = cached_answers.week(seen, week)
    except Refusal as refusal:
        st.warning(formatting.plain(refusal))
        return
    plan, pulls = planned.plan, planned.pulls
    st.markdown(_sentence(plan, pulls))
    if plan.conflict:
        st.warning(f"**What the pins want does not fit.** {formatting.plain(plan.conflict)}")
    plan_issued.changes(planned, answer)
    if len(pulls):
        _days_by_bays(planned.bays, answer)
        _lines(pulls, answer)
        widgets.cautions_in_short()
    plan_papers.show(planned, answer)
    plan_change.show(seen, planned, answer)
    _left_out(planned.left, answer)
    _sums(planned, answer)


def _week() -> date | None:
    """Let the reader choose a week by any of its days; the address keeps it."""
    asked = st.query_params.get("week")
    chosen = st.date_input(
        "Week of",
        value=None,
        format="YYYY-MM-DD",
        key="week",
        width=220,
        bind="query-params",
        help="Any day of the week. Empty: the week that can still be worked on.",
    )
    if asked and chosen is None:
        st.warning(
            f"The week in the address, {formatting.plain(asked)}, cannot be read; next shown."
        )
    return chosen


def _sentence(plan: Plan, pulls: pd.DataFrame) -> str:
    out = f"{formatting.count(len(pulls), 'hull')} {'comes' if len(pulls) == 1 else 'come'} out"
    start = f"**{out if len(pulls) else 'No hull comes out'}, {week_days(plan.week)}**"
    whole = f"{len(plan.pulls)} over {formatting.count(plan.weeks, 'week')} planned ahead"
    return f"{start}; {whole}. {_sure(plan)}"


def _sure(plan: Plan) -> str:
    """Say how sure it is that no plan is cheaper."""
    took = f"found in {formatting.number(max(plan.seconds, 0.1))} s"
    if plan.proven:
        return f"Proven cheapest: no other plan that keeps your rules costs less ({took})."
    within = max(100.0 * plan.gap, 0.1)
    return f"Within {within:.1f} % of the cheapest plan that keeps your rules ({took})."


def _days_by_bays(table: pd.DataFrame, answer: Appraisal) -> None:
    used = [
        day
        for day, own in table.groupby("day", sort=True)
        if (own["closed"] == "").any() or own["hulls"].map(len).any()
    ]
    rows = []
    for (mooring_id, bay), own in table.groupby(["mooring_id", "bay"], sort=False):
        by_day = {cell["day"]: cell for cell in own.to_dict("records")}
        cells = [_cell(by_day[day]) for day in used]
        rows.append(listing.Row((listing.strong(mooring_id, f"bay {bay}"), *cells)))
    zone = answer.logbook.settings.timezone
    headings = ("Bay", *(formatting.day(day, zone, year=False) for day in used))
    listing.show(headings, rows, "bays", "Days by bays. Press a hull.")


def _cell(cell: dict[Any, Any]) -> str:
    works = f"{formatting.number(cell['most_h'])} h"
    if cell["hulls"]:
        links = " ".join(listing.link(hull_id) for hull_id in cell["hulls"])
        return f"{links}<small>{formatting.number(cell['hours'])} of {works}</small>"
    if cell["closed"]:
        # which weekdays a bay works is no news to those who work there
        why = "" if "weekday" in cell["closed"] else f": {cell['closed']}"
        return f"<small>closed{listing.text(why)}</small>"
    return f"<small>free: {works}</small>"


def _lines(pulls: pd.DataFrame, answer: Appraisal) -> None:
    rows = [_line(pull, answer) for pull in pulls.itertuples()]
    headings = (
        "Hull",
        "Day and bay",
        "Work",
        "Why",
        "If it slips a week, and what would change it",
    )
    listing.show(headings, rows, "pulls", "By day and bay. Press a row for the hull.")


def _line(pull: Any, answer: Appraisal) -> listing.Row:
    zone = answer.logbook.settings.timezone
    where = f"{pull.mooring_id}, bay {pull.bay}{'; pinned' if pull.pinned else ''}"
    day = listing.unbroken(formatting.day(pull.day, zone, year=False))
    why = f"Afterwards: {formatting.chance(pull.risk_after)}."
    return listing.Row(
        (
            listing.strong(pull.hull_id),
            f"{day}<small>{listing.text(where)}</small>",
            listing.wide(listing.strong(work(pull), _takes(pull))),
            listing.wide(f"{listing.text(pull.why)}.<small>{why}</small>"),
            listing.wide(f"{listing.text(pull.slip)}<small>{listing.text(_change(pull))}</small>"),
        ),
        opens=pull.hull_id,
    )


def _change(pull: Any) -> str:
    return f"{_capital(pull.would_change)}." if pull.would_change else ""


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def work(pull: Any) -> str:
    """Say what is done on a pull-out."""
    said = [f"replace {formatting.listed(list(pull.replace))}"] if pull.replace else []
    said += [f"measure {formatting.listed(list(pull.measure))}"] if pull.measure else []
    kind = f"{KINDS[pull.kind]}: " if pull.kind in KINDS else ""
    return _capital(f"{kind}{'; '.join(said) or 'look at every anode'}")


def _takes(pull: Any) -> str:
    parts = ", ".join(f"{pieces} × {part}" for part, pieces in pull.parts.items())
    return f"{formatting.number(pull.hours)} h{f'; {parts}' if parts else ''}"


def _left_out(left: pd.DataFrame, answer: Appraisal) -> None:
    """List the hulls that stay, riskiest first, each with its reason."""
    if left.empty:
        return
    hulls = formatting.count(len(left), "hull")
    with st.expander(f"Left out that week: {hulls}, each with its reason"):
        every = len(left) <= SHOWN_LEFT or st.toggle(f"All {len(left)}", key="all_left")
        shown = left if every else left[:SHOWN_LEFT]
        rows = [_left_row(row, answer) for row in shown.itertuples()]
        listing.show(
            ("Hull", "Chance by the end of that week", "Pull by", "Why not"),
            rows,
            "left_out",
            "Riskiest first. Press a row for the hull.",
        )
        widgets.download(left, "left_out", "Left out as CSV")


def _left_row(row: Any, answer: Appraisal) -> listing.Row:
    settings = answer.logbook.settings
    by = formatting.deadline(row.pull_by, answer.forecast.on, settings.timezone)
    return listing.Row(
        (
            listing.strong(row.hull_id, row.mooring_id or "berth not known"),
            listing.chance(row.risk_now, settings.tolerated_risk),
            listing.unbroken(formatting.FAR_OFF if by == "not known" else by),
            listing.wide(listing.text(row.reason)),
        ),
        opens=row.hull_id,
    )


def _sums(planned: PlannedWeek, answer: Appraisal) -> None:
    """Show the sums behind the plan: neighbours, and what it costs."""
    plan = planned.plan
    currency = answer.logbook.settings.currency
    with st.expander("Neighbours: replace now, or leave; and what the plan costs"):
        out = plan.neighbours["hull_id"].isin(planned.pulls["hull_id"])
        rows = [_neighbour(row, answer) for row in plan.neighbours[out].itertuples()]
        headings = ("Hull and anode", "Choice", "Part", "Life thrown away", "Visit saved", "Net")
        caption = (
            f"Sums in {currency or 'the fleet’s currency'}, for the hulls of this week. Net: what "
            "replacing it at this visit saves over leaving it."
        )
        listing.show(headings, rows, "neighbours", caption)
        costs = zip(plan.costs["item"], plan.costs["amount"], strict=True)
        said = {item: f"{formatting.number(amount)} {currency}".strip() for item, amount in costs}
        listing.facts(said, "costs")
        for line in plan.assumed:
            st.caption(f"Taken for granted: {formatting.plain(line)}")
        widgets.download(plan.neighbours, "neighbours", "Neighbours as CSV")


def _neighbour(row: Any, answer: Appraisal) -> listing.Row:
    zone = answer.logbook.settings.timezone
    due = formatting.deadline(row.due, answer.forecast.on, zone)
    return listing.Row(
        (
            listing.strong(f"{row.hull_id} · {row.position}", f"due by itself: {due}"),
            listing.text("replace now" if row.choice == "replace" else "leave"),
            *(
                listing.text(formatting.number(amount))
                for amount in (row.part_cost, row.life_thrown_away, row.visit_saved, row.net)
            ),
        )
    )
