"""Could something else explain it? Hidden causes, other readings of the log, delay and minutes."""

from __future__ import annotations

import numpy as np
import streamlit as st

from corrosion.common import formatting
from corrosion.comparison import Evidence, FlushingReport
from corrosion.reports import charts
from pages._shared import cached_answers, listing, session, widgets
from pages._shared.session import View


def show(seen: View, report: FlushingReport, evidence: Evidence) -> None:
    """Say what could be wrong with the answer, and how far delay and minutes can be told."""
    with st.expander("Could something else explain it?"):
        _hidden(report, evidence)
        _readings(report)
    with st.expander("How soon, and for how long?"):
        _delay(seen, evidence)
        _minutes(evidence)


def _hidden(report: FlushingReport, evidence: Evidence) -> None:
    hidden, own = evidence.hidden, report.verdict.within
    if report.verdict.verdict == "saves":
        st.markdown(
            f"""
- **A hidden cause** would have to make hulls wear {hidden.strength:.1f} times as fast, *and* be
  {hidden.strength:.1f} times as common where hulls are not flushed, to explain all of it away;
  {hidden.strength_low:.1f} times each to explain the lower end. Anything weaker leaves some saving
  (E-value: Ding & VanderWeele 2016; VanderWeele & Ding 2017).
- For comparison: hulls of this fleet differ in pace by about
  {formatting.share(_hull_spread(report))} from one another (one standard deviation); that is held
  equal here, with use, water, warmth and layout.
"""
        )
    if own is None:
        st.markdown("- **The same hulls' own weeks** cannot be compared: too few looks.")
        return
    st.markdown(
        f"- **The same hulls, their flushed against their unflushed weeks:** "
        f"{formatting.share(own.share)} saved ({formatting.share_span(own.low, own.high)}), from "
        f"{formatting.count(own.spans, 'stretch', 'stretches')} between two looks on "
        f"{formatting.count(own.hulls, 'hull')}. Nothing that stays with a hull (its owner, its "
        "age, "
        "its berth) can make this up."
    )


def _hull_spread(report: FlushingReport) -> float:
    believed = report.verdict.believed
    assert believed is not None  # there is evidence, so there are rates
    return believed.middle.hull_spread


def _readings(report: FlushingReport) -> None:
    table = report.verdict.readings
    rows = [
        listing.Row(
            (
                listing.text(row.reading[0].upper() + row.reading[1:]),
                listing.text(formatting.share(row.share)),
                listing.text(
                    formatting.share_span(row.low, row.high) if row.plausible else "ruled out"
                ),
                listing.text(_fits(row.behind, row.plausible)),
            )
        )
        for row in table.itertuples()
    ]
    listing.show(
        ("If the flush log is read so", "Share saved", "95 %", "How the looks fit"),
        rows,
        "log_readings",
        "A return without any row is not known to be unflushed. The interval of the answer covers "
        "every reading that the looks do not rule out.",
    )


def _fits(behind: float, plausible: bool) -> str:
    if behind < 0.1:
        return "best"
    return "about as well" if plausible else "far worse"


def _delay(seen: View, evidence: Evidence) -> None:
    widgets.picture(
        cached_answers.picture(
            seen,
            "delay",
            draw=lambda: charts.by_delay(evidence.delays, dark=session.is_dark()),
        ),
        "delay",
        "Share saved by daily flushing against the hours from the return to the flush.",
    )
    counted = evidence.dose.delays
    counts = ", ".join(f"{row.delay}: {row.flushes}" for row in counted.itertuples())
    st.caption(
        "The curve is the model's drying of the passages, fitted to this fleet, not a "
        f"comparison of early with late flushes. Flushes in the log by delay: {counts}."
    )


def _minutes(evidence: Evidence) -> None:
    dose = evidence.dose
    if dose.short_minutes is None:
        st.markdown("**Minutes:** too few flushes have their minutes on record to say anything.")
        return
    edge = f"{formatting.number(dose.short_minutes)} min or less"
    if dose.for_counting is None or np.isnan(dose.for_counting):
        result = "too few on one side to say whether short ones count"
    elif dose.for_counting > dose.tells:
        result = "the looks say that these count too (they fit better so)"
    elif dose.for_counting < -dose.tells:
        result = "the looks fit better if these do not count at all: flush longer"
    else:
        result = "the looks cannot tell whether these count as much as longer ones"
    st.markdown(f"**Minutes:** {formatting.number(dose.short)} flushes took {edge}; {result}.")
