"""Issued plans on the page: which one holds, and what became of it."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.reports import PlannedWeek
from corrosion.workshop import issues
from pages._shared import listing, widgets

WHAT = {
    "done": "✓ done",
    "not-recorded": "? not written down",
    "moved": "→ moved",
    "other-work": "± other work",
    "left-out": "✕ left out",
    "new": "+ new",
}


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
        st.markdown(f"{start} Nothing has changed since.")
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
