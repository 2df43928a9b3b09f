"""Small things that pages share: the answer in large type, cautions, downloads, pull-by."""

from __future__ import annotations

from typing import Any

import pandas as pd
import plotly.graph_objects as go
import streamlit as st

from corrosion.common import as_csv, cautions, formatting
from corrosion.forecast import Appraisal
from corrosion.workshop import FlushingDone


def picture(figure: go.Figure, key: str, alt: str) -> None:
    """Show a figure of `cached_answers.picture`, with what it says for who cannot see it."""
    st.plotly_chart(figure, theme=None, key=key, config={"displayModeBar": False}, alt=alt)


def say(sentence: str) -> None:
    """Show the answer of a page, in large type; `sentence` may carry Markdown."""
    with st.container(key="answer"):
        st.markdown(sentence)


def pull_by(row: Any, answer: Appraisal) -> str:
    """Say the pull-by of a hull or an anode; none on record means that it is years off."""
    if pd.isna(row.risk):
        return "not known"
    if pd.isna(row.pull_by):
        return formatting.FAR_OFF
    return formatting.deadline(row.pull_by, answer.forecast.on, answer.logbook.settings.timezone)


def where(hull: Any) -> str:
    """Say under a hull's name that it must not sail, the same in every list; else where it lies."""
    if hull.stop:
        return "▲\u00a0not\u00a0for\u00a0hire"
    return str(hull.mooring_id or "berth not known")


def flushing_beside(done: FlushingDone, answer: Appraisal) -> None:
    """Say what flushing itself took, beside the sums of anode work that it is not part of."""
    if done.flushes == 0:
        st.caption("Flushing itself is not in it: no flush of this stretch is on record.")
        return
    money = formatting.price(done.amount, answer.logbook.settings.currency)
    cost = "its cost is not known (no wage)" if money == "not known" else formatting.plain(money)
    taken = (
        f"; {formatting.number(done.taken_minutes)} had no minutes and are taken at "
        f"{formatting.number(answer.logbook.settings.flush_minutes)}"
        if done.taken_minutes
        else ""
    )
    st.caption(
        f"Flushing itself is not in it: {formatting.number(done.flushes)} flushes on record took "
        f"{formatting.number(done.hours)} h, {cost}{taken}. What flushing spares is on *Flushing*."
    )


def cautions_in_short() -> None:
    """Say the first caution where hulls are sent to the workshop; each hull's page has them all."""
    st.caption(f"{cautions.IN_SHORT} {cautions.MANUAL_WINS}")


def all_cautions() -> None:
    """List the usual cautions where the work begins."""
    with st.container(key="cautions"):
        before = "\n".join(f"- {line}" for line in (cautions.MANUAL_WINS, *cautions.BEFORE))
        during = (cautions.DURING, cautions.MAGNESIUM, cautions.STRAY_CURRENT)
        after = "\n".join(f"- {line}" for line in (*during, *cautions.AFTER))
        st.markdown(f"**Before you open anything**\n\n{before}")
        st.markdown(f"**At work, and before it goes back**\n\n{after}")


def download(table: pd.DataFrame, name: str, label: str) -> None:
    """Offer a table as CSV that no spreadsheet takes for formulas."""
    st.download_button(
        label,
        data=lambda: as_csv(table).encode("utf-8-sig"),
        file_name=f"{name}.csv",
        mime="text/csv",
        key=f"download_{name}",
        icon=":material/download:",
        on_click="ignore",
    )
