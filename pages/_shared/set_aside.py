"""What was not believed in the logs, counted where the answer stands on the rest."""

from __future__ import annotations

from datetime import UTC, date

import streamlit as st
from streamlit.errors import StreamlitAPIException

from corrosion.common import formatting
from corrosion.records import Checked


def line(checked: Checked, on: date | None) -> None:
    """Say under an answer how many rows it does not rest on, with the way to look at them.

    As of a day gone by (`on`) they are fewer than those of the Log check, which reads all.
    """
    findings = checked.findings
    rows = findings.groupby("severity")["rows"].sum()
    aside, doubtful = int(rows.get("set-aside", 0)), int(rows.get("doubtful", 0))
    then = f" as of {formatting.day(on, UTC)}" if on else ""
    sentence = f"{formatting.count(aside, 'row')} set aside in the logs{then}, {doubtful} doubtful"
    check = "Log check, of all that is written since too" if on else "Log check"
    try:
        st.page_link("pages/log_check.py", label=f"{sentence}: {check}", icon=":material/rule:")
    except StreamlitAPIException:  # this page runs alone: there is no other to go to
        st.caption(sentence)
