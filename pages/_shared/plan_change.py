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
from corrosion.records import Role
from corrosion.reports import PlannedWeek
from corrosion.workshop import (
    HIRE_OUT,
    LIFT_STOP,
    PIN,
    RELEASE,
    SKIP,
    Plan,
    Preview,
    decide,
    decide_as_previewed,
    issue_plan,
    new_plan_id,
    say_preview,
)
from pages._shared import cached_answers, plan_issued, session, visitors
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
ISSUED_ALREADY = "The plan is issued already, just as it stands: nothing was written."
SAID = "plan_said"
ASKED = "decision_asked"
OFFICE = "office"


def show(seen: View, planned: PlannedWeek, answer: Appraisal) -> None:
    """List what was decided, and offer to decide where the logs may be written."""
    standing, plan = planned.decided, planned.plan
    folder = session.writable() if seen.on is None else None
    may = folder is None or visitors.role_in(folder) >= Role.MANAGE
    if len(standing):
        st.markdown("**Decided otherwise**")
    for row in standing.to_dict("records"):
        _standing(row, folder if may else None, answer)
    _reported()
    with st.expander("Decide otherwise, or issue the plan", key="decide"):
        if seen.on is not None:
            st.markdown("Looking back: choose the newest logs to decide anything.")
        elif folder is None:
            st.markdown(
                "Nothing is written into the demo fleet that comes with the program. Practise on "
                "a copy of it: the copy is yours alone, and every form works."
            )
            st.button("Practise on a copy", on_click=session.practise, key="practise_plan")
        elif not may:
            st.markdown("Deciding otherwise and issuing the plan are for the role **manage**.")
        else:
            _decide(seen, folder, plan, answer)
            _issue(folder, plan, answer)
        plan_issued.earlier(answer.logbook.plans, answer)


def said(row: dict[Any, Any], answer: Appraisal) -> str:
    """Say a decision that holds, without the hull's name; may be shown as Markdown."""
    day = formatting.day(row["day"], answer.logbook.settings.timezone)
    reason = f": {formatting.plain(row['reason'])}" if row["reason"] else ""
    return f"{STANDS[row['change']]} {day}{reason}"


def _standing(row: dict[Any, Any], folder: Path | None, answer: Appraisal) -> None:
    hull_id = str(row["hull_id"])
    with st.container(horizontal=True, vertical_alignment="center", gap="small"):
        st.markdown(f"**{formatting.plain(hull_id)}** {said(row, answer)}")
        if folder is not None:
            which = row["entry_id"] or f"{hull_id}_{row['decided_at']}"
            name = f"undo_{which}"
            st.button("Undo", key=name, on_click=_undo, args=(folder, hull_id, name, answer))


def _undo(folder: Path, hull_id: str, name: str, answer: Appraisal) -> None:
    by = visitors.writer(_usual_role(answer))
    _written(
        lambda: decide(folder, RELEASE, hull_id, by, entry_id=name, now=_now(answer)),
        f"Earlier decisions about {hull_id} no longer hold.",
    )


def _decide(seen: View, folder: Path, plan: Plan, answer: Appraisal) -> None:
    """Ask for one decision, show what would follow, and write it down when that is wanted."""
    hulls = [*plan.pulls["hull_id"], *plan.left_out["hull_id"]]
    st.markdown("**Decide otherwise.** It holds until it is undone or over, and is kept for good.")
    first, last = _span(plan, answer)
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
        day = st.date_input(
            "Day (of a pin; last day of a lifted stop)",
            first,
            min_value=first,
            max_value=last,
            key="decide_day",
        )
        reason = st.text_input("Why", help="Needed for all but a pin.", key="decide_why")
        by = _role(answer, "Decided by", "decide_by")
        sent = st.form_submit_button("Show what would follow")
    if sent:
        # what is written is what was shown, whatever the form says by then
        st.session_state[ASKED] = (hull_id, change, day, reason, by) if hull_id else None
        if not hull_id:
            st.error("Choose the hull.")
    if st.session_state.get(ASKED):
        _follows(seen, folder, plan, answer)


def _follows(seen: View, place: Path, plan: Plan, answer: Appraisal) -> None:
    """Show what would follow from the decision asked about, and offer to write it down."""
    hull_id, change, day, reason, _ = st.session_state[ASKED]
    when = day if change in (PIN, LIFT_STOP) else plan.week
    preview = cached_answers.preview(seen, change, hull_id, when, plan.week, plan)
    said_day = formatting.day(when, answer.logbook.settings.timezone)
    why = f" because: {formatting.plain(reason)}" if reason.strip() else ""
    st.markdown(f"**{formatting.plain(hull_id)}: {CHOICES[change].lower()}**, {said_day}{why}")
    lines = [formatting.plain(line) for line in say_preview(preview, answer)]
    if not preview.fits:
        st.warning("\n".join(lines))
        st.caption("Nothing is written. Choose another day.")
        return
    st.markdown("\n".join(f"- {line}" for line in lines))
    st.button("Write it down", key="decide_write", on_click=_write, args=(place, preview, answer))


def _write(place: Path, preview: Preview, answer: Appraisal) -> None:
    """Write the decision that was shown; the next one begins with an empty form."""
    _, change, _, reason, by = st.session_state[ASKED]
    _written(
        lambda: decide_as_previewed(
            place,
            preview,
            visitors.writer(by),
            reason=reason,
            entry_id=_nonce("decision_name"),
            now=_now(answer),
        ),
        f"{preview.hull_id}: {CHOICES[change].lower()}, written down.",
        "decision_name",
    )
    if st.session_state[SAID][0] == "written":
        for name in (ASKED, "decide_hull", "decide_what", "decide_why"):
            st.session_state.pop(name, None)


def _issue(folder: Path, plan: Plan, answer: Appraisal) -> None:
    """Offer to issue the plan as it stands."""
    st.markdown(
        "**Issue the plan.** It is kept as it is now, hires that change included, with its date "
        "and the method's version; what changes later shows as a change."
    )
    with st.form("issue", border=False):
        by = _role(answer, "Issued by", "issue_by")
        sent = st.form_submit_button("Issue this plan", type="primary")
    if sent:
        writer = visitors.writer(by)
        name = _name_of_issue(plan)
        _written(
            lambda: issue_plan(folder, plan, answer, writer, plan_id=name, now=_now(answer)),
            lambda written: "The plan is issued." if written == name else ISSUED_ALREADY,
            "issue_name",
        )
        st.rerun()


def _name_of_issue(plan: Plan) -> str:
    """Name the issue of a plan: a form sent again keeps its name, another plan has a new one.

    Otherwise a second try after a refusal could complete the first with another plan's lines.
    """
    asked = (
        plan.week,
        tuple(zip(plan.pulls["hull_id"], plan.pulls["day"], strict=True)),
        tuple(plan.hires[["hull_id", "starts", "to_hull_id"]].itertuples(index=False, name=None)),
    )
    of_plan, name = st.session_state.get("issue_name", (None, ""))
    if of_plan != asked:
        name = new_plan_id(plan.week)
        st.session_state["issue_name"] = (asked, name)
    return str(name)


def _written(
    write: Callable[[], object], message: str | Callable[[object], str], nonce: str | None = None
) -> None:
    """Write, then give the next form a name of its own; nothing is drawn in between."""
    try:
        written = write()
    except Refusal as refusal:
        st.session_state[SAID] = ("refused", str(refusal))
        return
    if nonce:
        st.session_state.pop(nonce, None)
    st.session_state[SAID] = ("written", message if isinstance(message, str) else message(written))


def _reported() -> None:
    """Say once what became of the form that was sent."""
    kind, message = st.session_state.pop(SAID, ("", ""))
    if kind == "written":
        st.success(formatting.plain(message))
    elif kind == "refused":
        st.error(formatting.plain(message))


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
