"""What to log, and how to try it out, where the logs cannot tell or staff are not convinced."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.comparison import Evidence, FlushingReport, starting_order
from pages._shared import listing, widgets

SEED = 1


def show(report: FlushingReport, evidence: Evidence) -> None:
    """Lay a staggered trial out; open where the verdict is open."""
    unsure = report.verdict.verdict == "cannot-tell"
    with st.expander("What to log, and how to try it out", expanded=unsure):
        _advice()
        _trial(report, evidence.trial)


def what_to_log() -> None:
    """Say what to log where there is not enough for any sum."""
    st.header("What to log")
    _advice()
    st.markdown(
        "Once five hulls have a flush log and anodes looked at twice over three months, this page "
        "says what a trial would take."
    )


def _advice() -> None:
    st.markdown(
        """
- One row for **every last return of a day**: `yes` with its time and minutes, `no`, or `could-not`.
  A day without a row is not known; it widens every range here.
- The time at which it was done, not one time for all: flushes ticked together say little.
- The caliper on the engine-circuit anodes every two to three weeks.
"""
    )


def _trial(report: FlushingReport, table: pd.DataFrame) -> None:
    groups = sorted(report.verdict.by_hull["mooring_id"].unique())
    order = starting_order([str(g) for g in groups], SEED)
    st.markdown(
        "**A staggered start** is the best evidence: every hull goes some weeks as now, then as "
        "many flushed daily, measured at the start, at the change and at the end; groups "
        "(pontoons, or moorings) start one after the other, in random order. Drawn here for "
        f"moorings (seed {SEED}): {formatting.plain(', then '.join(order))}; better, draw "
        "pontoons or "
        "single hulls."
    )
    rows = [
        listing.Row(
            (
                listing.text(f"{row.weeks} and {row.weeks} weeks"),
                listing.strong(formatting.count(int(row.hulls), "hull")),
                listing.text(formatting.share(row.noise)),
            )
        )
        for row in table.itertuples()
    ]
    listing.show(
        ("As now, then flushed", "Hulls that it takes", "Noise of one hull"),
        rows,
        "trial",
        "To find a saving of a tenth of the wear with a chance of 4 in 5, two-sided 5 % "
        "(paired t test). Noise: one standard deviation of a hull's difference, from this fleet's "
        "reading error.",
    )
    widgets.download(table, "flushing_trial", "Trial as CSV")
