"""A hull's hours by clock, and its entries with later corrections visible."""

from __future__ import annotations

from typing import Any

import plotly.graph_objects as go
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.records import EVERYDAY
from corrosion.reports import Dossier, charts
from pages._shared import cached_answers, listing, session, widgets
from pages._shared.session import View

STANDING = {"stands": "", "corrected": "✎ corrected later", "voided": "✕ voided"}
SHOWN = 40


def hours(hull: Dossier, seen: View, answer: Appraisal) -> None:
    """Draw the hours of each clock over the last weeks."""
    if hull.hours.empty:
        return
    total_h = hull.hours.groupby("clock")["hours"].sum()
    idle = [str(clock) for clock, sum_h in total_h.items() if sum_h == 0.0]
    if idle:
        st.caption(f"None in these weeks: {', '.join(idle)}.")
    if len(idle) < len(total_h):
        widgets.picture(
            cached_answers.picture(seen, hull.hull_id, draw=lambda: _weeks(hull, answer)),
            f"hours_{hull.hull_id}",
            f"Hours a week of {hull.hull_id}: engine running, salty after shut-down, afloat.",
        )
    widgets.download(hull.hours, f"hours_{hull.hull_id}", "Hours as CSV")


def _weeks(hull: Dossier, answer: Appraisal) -> go.Figure:
    zone = answer.logbook.settings.timezone
    local = hull.hours["week"].dt.tz_convert(zone).dt.tz_localize(None)
    return charts.clock_hours(hull.hours.assign(week=local), dark=session.is_dark())


def entries(hull: Dossier, answer: Appraisal) -> None:
    """List what was written down, newest first; nothing that was corrected disappears."""
    every = hull.history
    if every.empty:
        st.markdown("Nothing is written down about this hull yet.")
        return
    daily = st.toggle("With outings, flushes and hires", key="daily")
    table = every if daily else every[~every["log"].isin(EVERYDAY)]
    rows = [_row(entry, answer) for entry in table[:SHOWN].itertuples()]
    hidden = len(every) - len(table)
    others = f"; {hidden} outings, flushes and hires are not among them" if hidden else ""
    listing.show(
        ("When", "What", "Entered", "Standing"),
        rows,
        "history",
        f"The newest {len(rows)} of {formatting.count(len(table), 'entry', 'entries')}{others}; "
        "sizes as they were written down.",
    )
    widgets.download(every, f"history_{hull.hull_id}", "Whole history as CSV")


def _row(entry: Any, answer: Appraisal) -> listing.Row:
    zone = answer.logbook.settings.timezone
    standing = STANDING.get(entry.standing, entry.standing)
    doubt = f"not believed: {entry.objection}" if entry.objection else ""
    return listing.Row(
        (
            listing.text(formatting.moment(entry.at, zone)),
            listing.strong(entry.what, entry.note),
            listing.text(formatting.moment(entry.entered_at, zone)),
            listing.text("; ".join(filter(None, (standing, doubt))) or "stands"),
        )
    )
