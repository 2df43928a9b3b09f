"""A hull's line in the plan, and in the plans that were issued."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import Refusal, formatting
from corrosion.forecast import Appraisal
from corrosion.workshop import Plan, local_date
from pages._shared import cached_answers, listing, plan_change, plan_papers, plan_week
from pages._shared.session import View


def show(hull_id: str, seen: View, answer: Appraisal) -> None:
    """Say when the hull comes out and why, or why not; then what earlier plans said of it."""
    try:
        planned = cached_answers.week(seen, None)
    except Refusal as refusal:
        st.caption(f"No plan: {formatting.plain(refusal)}")
        return
    plan = planned.plan
    out = plan.pulls[plan.pulls["hull_id"] == hull_id]
    stays = plan.left_out[plan.left_out["hull_id"] == hull_id]
    issued = answer.logbook.plans[answer.logbook.plans["hull_id"] == hull_id]
    if out.empty and stays.empty and issued.empty:
        return
    st.header("What to do")
    for row in planned.decided[planned.decided["hull_id"] == hull_id].to_dict("records"):
        st.markdown(f"**Decided otherwise:** {plan_change.said(row, answer)}.")
    for pull in out.to_dict("records"):
        _comes_out(pull, plan, answer)
    for reason in stays["reason"]:
        st.markdown(
            f"It stays in the {formatting.count(plan.weeks, 'week')} ahead: "
            f"{formatting.plain(reason)}."
        )
    _issued(issued, answer)


def _comes_out(pull: dict[Any, Any], plan: Plan, answer: Appraisal) -> None:
    zone = answer.logbook.settings.timezone
    where = f"{pull['mooring_id'] or 'mooring not known'}, bay {pull['bay']}"
    pinned = "; pinned" if pull["pinned"] else ""
    waits = plan.obstacles[plan.obstacles["hull_id"] == pull["hull_id"]]
    in_the_way = [f"{row['not_this_week']}. {row['release']}" for row in waits.to_dict("records")]
    sooner = {"Why not sooner": in_the_way[0].strip()} if in_the_way else {}
    listing.facts(
        {
            "Out": f"{formatting.day(pull['day'], zone)}, {where}{pinned}",
            **sooner,
            "Work": plan_week.work(pull),
            "Why": pull["why"],
            "If it slips": pull["slip"],
            "What would change it": pull["would_change"] or "nothing that is known",
        },
        "hull_plan",
    )
    plan_papers.one_sheet(plan, answer, pull["hull_id"])


def _issued(plans: pd.DataFrame, answer: Appraisal) -> None:
    if plans.empty:
        return
    zone = answer.logbook.settings.timezone
    newest = plans.sort_values("issued_at", ascending=False, kind="stable")
    rows = [
        listing.Row(
            (
                listing.text(formatting.moment(row["issued_at"], zone)),
                listing.strong(_day(row, answer), row["replace"] or row["measure"] or ""),
                listing.wide(listing.text(row["why"] or "")),
            )
        )
        for row in newest.to_dict("records")
    ]
    with st.expander(f"In plans that were issued: {len(rows)}"):
        listing.show(("Issued", "Out", "Why"), rows, "hull_issued", "Newest first.")


def _day(row: dict[Any, Any], answer: Appraisal) -> str:
    zone = answer.logbook.settings.timezone
    day = local_date(row["day"], zone)
    return "stays" if day is None else formatting.day(day, zone)
