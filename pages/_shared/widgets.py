"""Small things that pages share: the answer in large type, cautions, downloads, pull-by."""

from __future__ import annotations

from typing import Any

import pandas as pd
import plotly.graph_objects as go
import streamlit as st

from corrosion.common import as_csv, formatting
from corrosion.forecast import Appraisal

CAUTIONS = (
    "Follow the maker's manual, local rules and licensed trades; where they differ from this "
    "page, they win.",
    "Before a hand goes near engine, pump or propeller: engine cold, key and lanyard out, battery "
    "off, fuel vapour cleared.",
    "A lifted hull stands on chocks or rated stands before anybody works on it; nobody goes under "
    "a hull that hangs.",
    "Brushing or drilling: eyes and gloves. Magnesium chips burn: no water on them. Antifouling "
    "dust is toxic.",
    "Never paint an anode, never mix alloys on one hull, check metal contact after fitting.",
    "Nobody enters the water near energised docks; stray-current work is for a qualified marine "
    "electrician.",
)


def picture(figure: go.Figure, key: str, alt: str) -> None:
    """Show a figure in its own colours, with what it says for those who cannot see it."""
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


def cautions_in_short() -> None:
    """Say the first caution where hulls are sent to the workshop; each hull's page has them all."""
    st.caption(f"{CAUTIONS[1]} {CAUTIONS[0]}")


def cautions() -> None:
    """List the usual cautions where the work begins."""
    with st.container(key="cautions"):
        lines = "\n".join(f"- {line}" for line in CAUTIONS)
        st.markdown(f"**Before you open anything**\n\n{lines}")


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
