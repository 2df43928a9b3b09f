"""Issued plans on the page: which one holds, and what became of it."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.reports import PlannedWeek
from corrosion.workshop import AS_TOLD, NOT_YET, HiresTold, issues
from pages._shared import listing, widgets

WHAT = {
    "done": "✓ done",
    "not-recorded": "? not written down",
    "moved": "→ moved",
    "other-work": "± other work",
    "left-out": "✕ left out",
    "new": "+ new",
}

HIRES = {
    "not-recorded": ("? not written down", "begun and not written down"),
    "not-told": ("+ not told yet", "not told yet"),
    "told-anew": ("± told otherwise", "told otherwise than today's plan"),
    "no-longer": ("✕ stays after all", "not asked for any more"),
    "otherwise": ("→ otherwise", "gone otherwise"),
    "not-yet": ("… not done yet", "not done yet"),
    "as-told": ("✓ as told", "done as told"),
}
"""What became of a hire: on its line, and counted."""


def changes(planned: PlannedWeek, answer: Appraisal) -> None:
    """Say which issued plan holds, and list every hull that is not simply as issued."""
    zone = answer.logbook.settings.timezone
    issued, found = planned.issued, planned.drift
    if issued.empty:
        st.caption(
            "No plan is issued for this week yet, so what has changed since cannot be told: what "
            "stands here is a draft."
        )
        return
    when = formatting.moment(issued["issued_at"].iloc[0], zone)
    by = formatting.plain(issued["entered_by"].iloc[0])
    week = formatting.day(issued["week"].iloc[0], zone)
    start = f"Issued **{when}** by {by} for the week of {week}."
    if found.empty:
        as_issued = planned.told.rows["what"].isin([AS_TOLD, NOT_YET]).all()
        st.markdown(f"{start} {'Nothing' if as_issued else 'No pull-out'} has changed since.")
        told_to_the_desk(planned.told, answer)
        return
    st.markdown(f"{start} Since then:")
    rows = [
        listing.Row(
            (listing.strong(row.hull_id, WHAT[row.what]), listing.wide(listing.text(row.said))),
            opens=row.hull_id,
        )
        for row in found.itertuples()
    ]
    listing.show(("Hull", "What became of it"), rows, "drift", "Press a row for the hull.")
    widgets.download(found, "plan_changes", "Changes as CSV")
    told_to_the_desk(planned.told, answer)


def told_to_the_desk(told: HiresTold, answer: Appraisal) -> None:
    """Say what the desk was told of hires, and list hire by hire what became of it."""
    if not told.kept:
        st.caption("What the desk was told of hires is not kept by that plan.")
        return
    if told.lost:
        st.warning(
            "What that plan told the desk of hires is not whole any more: the rows of plan_hires "
            "are not as many as it wrote. *Log check* says which files are not as they were."
        )
    if told.rows.empty:
        st.caption("The desk was told of no hire that changes, and none does.")
        return
    counts = told.rows["what"].value_counts()
    counted = ", ".join(f"{counts[what]} {HIRES[what][1]}" for what in HIRES if what in counts)
    zone = answer.logbook.settings.timezone
    with st.expander(f"Told to the desk: {counted}", key="told_to_the_desk"):
        rows = [
            listing.Row(
                (
                    listing.strong(row.hull_id, formatting.moment(row.starts, zone)),
                    listing.strong(HIRES[row.what][0]),
                    listing.wide(listing.text(f"{row.said} {_because(row.why)}".strip())),
                ),
                opens=row.hull_id,
            )
            for row in told.rows.sort_values("what", key=_urgency, kind="stable").itertuples()
        ]
        headings = ("Hull and start", "By the book", "What became of the hire")
        caption = "Hires of which the desk was told, or has to be. What is to be done stands first."
        listing.show(headings, rows, "told", caption)
        widgets.download(told.rows, "hires_told", "Hires told as CSV")


def _because(why: str) -> str:
    """Say why a hire changes; the reason is a sentence of its own."""
    return f"Why: {why.rstrip('.')}." if why else ""


def _urgency(what: pd.Series[str]) -> pd.Series[int]:
    """Put what somebody has to act on before what is done."""
    return what.map({name: number for number, name in enumerate(HIRES)})


def earlier(plans: pd.DataFrame, answer: Appraisal) -> None:
    """List the plans that were issued, newest first."""
    zone = answer.logbook.settings.timezone
    known = issues(plans, zone)
    if known.empty:
        return
    rows = [
        listing.Row(
            (
                listing.strong(formatting.moment(row.issued_at, zone), row.entered_by or ""),
                listing.text(formatting.day(row.week, zone)),
                listing.text(formatting.count(row.pull_outs, "pull-out")),
                listing.text(row.method or "not known"),
            )
        )
        for row in known.itertuples()
    ]
    headings = ("Issued", "Week of", "Pull-outs", "Method")
    listing.show(headings, rows, "issues", "Issued plans, newest first; none is ever rewritten.")
    widgets.download(plans, "issued_plans", "Issued plans as CSV")
