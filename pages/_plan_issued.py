"""Issued plans on the page: which one holds, and what became of it."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from corrosion import words
from corrosion.appraisal import Appraisal
from corrosion.issued import issues
from corrosion.planned_week import PlannedWeek
from pages import _listing, _parts

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
        st.caption("No plan is issued for this week yet: what stands here is a draft.")
        return
    when = words.moment(issued["issued_at"].iloc[0], zone)
    by = words.plain(issued["entered_by"].iloc[0])
    week = words.day(issued["week"].iloc[0], zone)
    start = f"Issued **{when}** by {by} for the week of {week}."
    if found.empty:
        st.markdown(f"{start} Nothing has changed since.")
        return
    st.markdown(f"{start} Since then:")
    rows = [
        _listing.Row(
            (_listing.strong(row.hull_id, WHAT[row.what]), _listing.wide(_listing.text(row.said))),
            opens=row.hull_id,
        )
        for row in found.itertuples()
    ]
    _listing.show(("Hull", "What became of it"), rows, "drift", "Press a row for the hull.")
    _parts.download(found, "plan_changes", "Changes as CSV")


def earlier(plans: pd.DataFrame, answer: Appraisal) -> None:
    """List the plans that were issued, newest first."""
    zone = answer.logbook.settings.timezone
    known = issues(plans, zone)
    if known.empty:
        return
    rows = [
        _listing.Row(
            (
                _listing.strong(words.moment(row.issued_at, zone), row.entered_by or ""),
                _listing.text(words.day(row.week, zone)),
                _listing.text(words.count(row.pull_outs, "pull-out")),
                _listing.text(row.method or "not known"),
            )
        )
        for row in known.itertuples()
    ]
    headings = ("Issued", "Week of", "Pull-outs", "Method")
    _listing.show(headings, rows, "issues", "Issued plans, newest first; none is ever rewritten.")
    _parts.download(plans, "issued_plans", "Issued plans as CSV")
