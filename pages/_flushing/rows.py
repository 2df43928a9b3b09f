"""The rows behind the answer, hull by hull, and how it was worked out."""

from __future__ import annotations

import streamlit as st

from corrosion.common import formatting
from corrosion.comparison import FlushingReport
from corrosion.forecast import Appraisal
from pages._shared import listing, widgets

SHOWN = 200


def show(report: FlushingReport, answer: Appraisal) -> None:
    """List each hull's returns and wear, offer them as files, and say how it was worked out."""
    st.header("The rows behind it")
    verdict = report.verdict
    st.markdown(formatting.plain(verdict.note))
    if not verdict.by_hull.empty:
        with st.expander(f"Hull by hull ({formatting.count(len(verdict.by_hull), 'hull')})"):
            _hulls(report)
        widgets.download(verdict.by_hull, "flushing_hulls", "Hulls as CSV")
    if verdict.within is not None:
        rows = verdict.within.rows
        widgets.download(rows, "flushing_stretches", f"{len(rows)} stretches between looks as CSV")
    _worked_out(answer)


def _hulls(report: FlushingReport) -> None:
    listing.show(
        ("Hull", "Last returns", "Flushed", "Not", "Could not", "No row", "Worn per 100 h"),
        [
            listing.Row(
                (
                    listing.strong(row.hull_id, f"{row.mooring_id}, {row.water}"),
                    listing.text(row.last_returns),
                    listing.text(row.flushed),
                    listing.text(row.not_flushed),
                    listing.text(row.could_not),
                    listing.text(row.blank + row.no_log),
                    listing.text(formatting.worn(row.worn_per_100h)),
                ),
                opens=str(row.hull_id),
            )
            for row in report.verdict.by_hull[:SHOWN].itertuples()
        ],
        "flush_hulls",
        "Last returns of a local day from salt or brackish water in the last 365 days. Worn: share "
        "of the allowance, mean engine-circuit anode. Press a row for the hull.",
    )


def _worked_out(answer: Appraisal) -> None:
    with st.expander("How this is worked out"):
        st.markdown(
            """
- **What is asked:** of the engine-circuit wear in salt and brackish water over the last 365 days
  (running, left unflushed, flooded afloat), the share that a flush one hour after each local day's
  last return would have avoided, on top of the flushes that were done. Every hull counts, also
  those that no hose reaches; the row *Hulls that a hose reaches* leaves them out.
- **How:** the life model is fitted to the engine circuit alone, with each hull's and each anode's
  own pace; the fleet's own hours are then worn twice by the fitted rates, as they were and flushed.
- **The interval** is where the profile likelihood of the share falls by what 95 % asks, widened
  where hulls differ more than the model has it (sandwich by hull, Student's t), over every reading
  of the flush log that the looks do not rule out.
- **The verdict:** *saves* only where the likelihood ratio against no effect at all is passed by
  chance less than once in 100 (half a chi-square of no and half of one degree of freedom, Self &
  Liang 1987) and the same hulls' own weeks say so too. Otherwise the interval reaches nothing.
- **Not in it:** what salt does to castings, pumps and hoses. The anode is the gauge, not the prize.
"""
        )
