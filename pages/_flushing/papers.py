"""The notice for the dock and the longer page for the owner, to print."""

from __future__ import annotations

import streamlit as st

from corrosion.comparison import FlushingReport
from corrosion.forecast import Appraisal
from corrosion.records import method
from corrosion.reports import dock_notice, owner_page
from pages._shared import widgets

PAPERS = {"A4": "a4", "Letter": "letter"}


def show(report: FlushingReport, answer: Appraisal) -> None:
    """Offer both papers for download, ready for the printer."""
    st.header("To print")
    size = st.segmented_control("Paper", list(PAPERS), default="A4", key="paper", required=True)
    paper = "letter" if size == "Letter" else "a4"
    stamp, simulated = method.stamp(answer.logbook), answer.logbook.settings.simulated
    for name, label, make in (
        ("dock_notice", "Notice for the dock, one page", dock_notice),
        ("flushing_owner", "Page for the owner", owner_page),
    ):
        html = make(report, answer, stamp=stamp, simulated=simulated, paper=paper)
        st.download_button(
            label,
            data=html.encode(),
            file_name=f"{name}.html",
            mime="text/html",
            key=f"print_{name}",
            icon=":material/print:",
            on_click="ignore",
        )
    st.caption("Open the file and print it: black and white, one side.")
    widgets.cautions_in_short()
