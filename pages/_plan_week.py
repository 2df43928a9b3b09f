"""Pull-outs of a week: by day and bay, why, what a slip costs, and what was left out."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd
import streamlit as st

from corrosion import words
from corrosion.appraisal import Appraisal
from corrosion.errors import Refusal
from corrosion.plan import Plan
from corrosion.planned_week import PlannedWeek
from corrosion.week_papers import week_days
from pages import _ask, _listing, _parts, _plan_change, _plan_issued, _plan_papers
from pages._seen import View

KINDS = {"measure-first": "measure first", "look": "look only"}
SHOWN_LEFT = 12


def show(seen: View, answer: Appraisal) -> None:
    """Say what comes out in the week, draw days by bays, list each line, and offer to decide."""
    st.subheader("This week's pull-outs", anchor="pull-outs")
    week = _week()
    try:
        planned = _ask.week(seen, week)
    except Refusal as refusal:
        st.warning(words.plain(refusal))
        return
    plan, pulls = planned.plan, planned.pulls
    st.markdown(_sentence(plan, pulls))
    if plan.conflict:
        st.warning(f"**What the pins want does not fit.** {words.plain(plan.conflict)}")
    _plan_issued.changes(planned, answer)
    if len(pulls):
        _days_by_bays(planned.bays, answer)
        _lines(pulls, answer)
        _parts.cautions_in_short()
    _plan_papers.show(planned, answer)
    _plan_change.show(seen, planned, answer)
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
        st.warning(f"The week in the address, {words.plain(asked)}, cannot be read; next shown.")
    return chosen


def _sentence(plan: Plan, pulls: pd.DataFrame) -> str:
    out = f"{words.count(len(pulls), 'hull')} {'comes' if len(pulls) == 1 else 'come'} out"
    start = f"**{out if len(pulls) else 'No hull comes out'}, {week_days(plan.week)}**"
    whole = f"{len(plan.pulls)} over {words.count(plan.weeks, 'week')} planned ahead"
    return f"{start}; {whole}. {_sure(plan)}"


def _sure(plan: Plan) -> str:
    """Say how sure it is that no plan is cheaper."""
    took = f"found in {words.number(max(plan.seconds, 0.1))} s"
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
        rows.append(_listing.Row((_listing.strong(mooring_id, f"bay {bay}"), *cells)))
    zone = answer.logbook.settings.timezone
    headings = ("Bay", *(words.day(day, zone, year=False) for day in used))
    _listing.show(headings, rows, "bays", "Days by bays. Press a hull.")


def _cell(cell: dict[Any, Any]) -> str:
    works = f"{words.number(cell['most_h'])} h"
    if cell["hulls"]:
        links = " ".join(_listing.link(hull_id) for hull_id in cell["hulls"])
        return f"{links}<small>{words.number(cell['hours'])} of {works}</small>"
    if cell["closed"]:
        # which weekdays a bay works is no news to those who work there
        why = "" if "weekday" in cell["closed"] else f": {cell['closed']}"
        return f"<small>closed{_listing.text(why)}</small>"
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
    _listing.show(headings, rows, "pulls", "By day and bay. Press a row for the hull.")


def _line(pull: Any, answer: Appraisal) -> _listing.Row:
    zone = answer.logbook.settings.timezone
    where = f"{pull.mooring_id}, bay {pull.bay}{'; pinned' if pull.pinned else ''}"
    day = _listing.unbroken(words.day(pull.day, zone, year=False))
    why = f"Afterwards: {words.chance(pull.risk_after)}."
    return _listing.Row(
        (
            _listing.strong(pull.hull_id),
            f"{day}<small>{_listing.text(where)}</small>",
            _listing.wide(_listing.strong(work(pull), _takes(pull))),
            _listing.wide(f"{_listing.text(pull.why)}.<small>{why}</small>"),
            _listing.wide(
                f"{_listing.text(pull.slip)}<small>{_listing.text(_change(pull))}</small>"
            ),
        ),
        opens=pull.hull_id,
    )


def _change(pull: Any) -> str:
    return f"{_capital(pull.would_change)}." if pull.would_change else ""


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def work(pull: Any) -> str:
    """Say what is done on a pull-out."""
    said = [f"replace {words.listed(list(pull.replace))}"] if pull.replace else []
    said += [f"measure {words.listed(list(pull.measure))}"] if pull.measure else []
    kind = f"{KINDS[pull.kind]}: " if pull.kind in KINDS else ""
    return _capital(f"{kind}{'; '.join(said) or 'look at every anode'}")


def _takes(pull: Any) -> str:
    parts = ", ".join(f"{pieces} × {part}" for part, pieces in pull.parts.items())
    return f"{words.number(pull.hours)} h{f'; {parts}' if parts else ''}"


def _left_out(left: pd.DataFrame, answer: Appraisal) -> None:
    """List the hulls that stay, riskiest first, each with its reason."""
    if left.empty:
        return
    hulls = words.count(len(left), "hull")
    with st.expander(f"Left out that week: {hulls}, each with its reason"):
        every = len(left) <= SHOWN_LEFT or st.toggle(f"All {len(left)}", key="all_left")
        shown = left if every else left[:SHOWN_LEFT]
        rows = [_left_row(row, answer) for row in shown.itertuples()]
        _listing.show(
            ("Hull", "Chance by the end of that week", "Pull by", "Why not"),
            rows,
            "left_out",
            "Riskiest first. Press a row for the hull.",
        )
        _parts.download(left, "left_out", "Left out as CSV")


def _left_row(row: Any, answer: Appraisal) -> _listing.Row:
    settings = answer.logbook.settings
    by = words.deadline(row.pull_by, answer.forecast.on, settings.timezone)
    return _listing.Row(
        (
            _listing.strong(row.hull_id, row.mooring_id or "berth not known"),
            _listing.chance(row.risk_now, settings.tolerated_risk),
            _listing.unbroken(words.FAR_OFF if by == "not known" else by),
            _listing.wide(_listing.text(row.reason)),
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
        _listing.show(headings, rows, "neighbours", caption)
        costs = zip(plan.costs["item"], plan.costs["amount"], strict=True)
        said = {item: f"{words.number(amount)} {currency}".strip() for item, amount in costs}
        _listing.facts(said, "costs")
        for line in plan.assumed:
            st.caption(f"Taken for granted: {words.plain(line)}")
        _parts.download(plan.neighbours, "neighbours", "Neighbours as CSV")


def _neighbour(row: Any, answer: Appraisal) -> _listing.Row:
    zone = answer.logbook.settings.timezone
    due = words.deadline(row.due, answer.forecast.on, zone)
    return _listing.Row(
        (
            _listing.strong(f"{row.hull_id} · {row.position}", f"due by itself: {due}"),
            _listing.text("replace now" if row.choice == "replace" else "leave"),
            *(
                _listing.text(words.number(amount))
                for amount in (row.part_cost, row.life_thrown_away, row.visit_saved, row.net)
            ),
        )
    )
