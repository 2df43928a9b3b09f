"""Decide otherwise: pin, skip, hire out, undo; and issue the plan."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pandas as pd
import streamlit as st

from corrosion.common import Refusal, formatting
from corrosion.forecast import Appraisal
from corrosion.reports import PlannedWeek
from corrosion.workshop import (
    HIRE_OUT,
    LIFT_STOP,
    PIN,
    RELEASE,
    SKIP,
    Plan,
    decide,
    issue_plan,
    new_plan_id,
)
from pages._shared import plan_issued, session
from pages._shared.session import View

CHOICES = {
    PIN: "Pin to a day",
    SKIP: "Leave out this week",
    HIRE_OUT: "Hire out anyway",
    LIFT_STOP: "Lift a stop (the owner alone)",
}
STANDS = {
    PIN: "pinned to",
    SKIP: "left out in the week of",
    HIRE_OUT: "hired out in the week of",
    LIFT_STOP: "let sail by the owner until",
}
SAID = "plan_said"
OFFICE = "office"


def show(seen: View, planned: PlannedWeek, answer: Appraisal) -> None:
    """List what was decided, and offer to decide where the logs may be written."""
    standing, plan = planned.decided, planned.plan
    place = session.writable() if seen.on is None else None
    if len(standing):
        st.markdown("**Decided otherwise**")
    for row in standing.to_dict("records"):
        _standing(row, place, answer)
    _reported()
    with st.expander("Decide otherwise, or issue the plan", key="decide"):
        if seen.on is not None:
            st.markdown("Looking back: choose the newest logs to decide anything.")
        elif place is None:
            st.markdown(
                "Nothing is written into the demo fleet that comes with the program. Practise on "
                "a copy of it: the copy is yours alone, and every form works."
            )
            st.button("Practise on a copy", on_click=session.practise, key="practise_plan")
        else:
            _decide(place, plan, answer)
            _issue(place, plan, answer)
        plan_issued.earlier(answer.logbook.plans, answer)


def said(row: dict[Any, Any], answer: Appraisal) -> str:
    """Say a decision that holds, without the hull's name; may be shown as Markdown."""
    day = formatting.day(row["day"], answer.logbook.settings.timezone)
    reason = f": {formatting.plain(row['reason'])}" if row["reason"] else ""
    return f"{STANDS[row['change']]} {day}{reason}"


def _standing(row: dict[Any, Any], place: Path | None, answer: Appraisal) -> None:
    hull_id = str(row["hull_id"])
    with st.container(horizontal=True, vertical_alignment="center", gap="small"):
        st.markdown(f"**{formatting.plain(hull_id)}** {said(row, answer)}")
        if place is not None:
            which = row["entry_id"] or f"{hull_id}_{row['decided_at']}"
            name = f"undo_{which}"
            st.button("Undo", key=name, on_click=_undo, args=(place, hull_id, name, answer))


def _undo(place: Path, hull_id: str, name: str, answer: Appraisal) -> None:
    role = _usual_role(answer)
    _written(
        lambda: decide(place, RELEASE, hull_id, role, entry_id=name, now=_now(answer)),
        f"Earlier decisions about {hull_id} no longer hold.",
    )


def _decide(place: Path, plan: Plan, answer: Appraisal) -> None:
    """Ask for one decision, and write it down when it is sent."""
    hulls = [*plan.pulls["hull_id"], *plan.left_out["hull_id"]]
    st.markdown("**Decide otherwise.** It holds until it is undone or over, and is kept for good.")
    with st.form("decision", border=False):
        hull_id = st.selectbox(
            "Hull", hulls, index=None, placeholder="Choose a hull", key="decide_hull"
        )
        change = st.segmented_control(
            "What",
            list(CHOICES),
            format_func=CHOICES.get,
            default=PIN,
            required=True,
            key="decide_what",
        )
        first, last = _span(plan, answer)
        day = st.date_input(
            "Day (of a pin; last day of a lifted stop)",
            first,
            min_value=first,
            max_value=last,
            key="decide_day",
        )
        reason = st.text_input("Why", help="Needed for all but a pin.", key="decide_why")
        by = _role(answer, "Decided by", "decide_by")
        sent = st.form_submit_button("Write it down")
    if not sent:
        return
    if not hull_id:
        st.error("Choose the hull.")
        return
    when = day if change in (PIN, LIFT_STOP) else plan.week
    _written(
        lambda: decide(
            place, str(change), hull_id, by, day=when, reason=reason,
            entry_id=_nonce("decision_name"), now=_now(answer),
        ),
        f"{hull_id}: {CHOICES[str(change)].lower()}, written down.",
        "decision_name",
    )  # fmt: skip
    st.rerun()


def _issue(place: Path, plan: Plan, answer: Appraisal) -> None:
    """Offer to issue the plan as it stands."""
    st.markdown(
        "**Issue the plan.** It is kept as it is now, with its date and the method's version; "
        "what changes later shows as a change."
    )
    with st.form("issue", border=False):
        by = _role(answer, "Issued by", "issue_by")
        sent = st.form_submit_button("Issue this plan", type="primary")
    if sent:
        name = str(st.session_state.setdefault("issue_name", new_plan_id(plan.week)))
        _written(
            lambda: issue_plan(place, plan, answer, by, plan_id=name, now=_now(answer)),
            "The plan is issued.",
            "issue_name",
        )
        st.rerun()


def _written(write: Callable[[], object], told: str, nonce: str | None = None) -> None:
    """Write, then give the next form a name of its own; nothing is drawn in between."""
    try:
        write()
    except Refusal as refusal:
        st.session_state[SAID] = ("refused", str(refusal))
        return
    if nonce:
        st.session_state.pop(nonce, None)
    st.session_state[SAID] = ("written", told)


def _reported() -> None:
    """Say once what became of the form that was sent."""
    kind, told = st.session_state.pop(SAID, ("", ""))
    if kind == "written":
        st.success(formatting.plain(told))
    elif kind == "refused":
        st.error(formatting.plain(told))


def _nonce(name: str) -> str:
    return str(st.session_state.setdefault(name, str(uuid4())))


def _role(answer: Appraisal, label: str, key: str) -> str:
    roles = list(answer.logbook.settings.roles)
    chosen = st.selectbox(
        label,
        roles,
        index=roles.index(_usual_role(answer)),
        help="A role or a shift, never a person's name.",
        key=key,
    )
    return str(chosen or _usual_role(answer))


def _usual_role(answer: Appraisal) -> str:
    """Plans are the office's, where there is one."""
    roles = answer.logbook.settings.roles
    return OFFICE if OFFICE in roles else roles[0]


def _span(plan: Plan, answer: Appraisal) -> tuple[date, date]:
    """Give the days to which a hull can be pinned: from today to the end of the plan."""
    today = answer.forecast.on.tz_convert(answer.logbook.settings.timezone).date()
    last = plan.week + timedelta(days=7 * plan.weeks - 1)
    return min(max(plan.week, today), last), last


def _now(answer: Appraisal) -> pd.Timestamp | None:
    """Give the moment of a decision: an invented fleet lives at the last moment of its logs."""
    return answer.logbook.on if answer.logbook.settings.simulated else None
