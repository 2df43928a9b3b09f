"""What was not believed in the logs, counted where the answer stands on the rest."""

from __future__ import annotations

import streamlit as st
from streamlit.errors import StreamlitAPIException

from corrosion.common import formatting
from corrosion.records import Checked


def line(checked: Checked) -> None:
    """Say under an answer how many rows it does not rest on, with the way to look at them."""
    findings = checked.findings
    rows = findings.groupby("severity")["rows"].sum()
    aside, doubtful = int(rows.get("set-aside", 0)), int(rows.get("doubtful", 0))
    sentence = f"{formatting.count(aside, 'row')} set aside in the logs, {doubtful} doubtful"
    try:
        st.page_link("pages/log_check.py", label=f"{sentence}: Log check", icon=":material/rule:")
    except StreamlitAPIException:  # this page runs alone: there is no other to go to
        st.caption(sentence)
