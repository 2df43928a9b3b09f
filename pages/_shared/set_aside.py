"""What was not believed in the logs, counted where the answer stands on the rest."""

from __future__ import annotations

import streamlit as st
from streamlit.errors import StreamlitAPIException

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.records import Checked
from pages._shared import listing, widgets

_SAID = {"set-aside": "■ Set aside", "doubtful": "◇ Doubtful", "note": "· Note"}


def line(checked: Checked) -> None:
    """Say under an answer how many rows it does not rest on, with the way to look at them."""
    findings = checked.findings
    rows = findings.groupby("severity")["rows"].sum()
    aside, doubtful = int(rows.get("set-aside", 0)), int(rows.get("doubtful", 0))
    said = f"{formatting.count(aside, 'row')} set aside in the logs, {doubtful} doubtful"
    try:
        st.page_link("pages/log_check.py", label=f"{said}: Log check", icon=":material/rule:")
    except StreamlitAPIException:  # this page runs alone: there is no other to go to
        st.caption(said)


def show(answer: Appraisal) -> None:
    """Count the rows set aside and doubted, and name each rule with its first row."""
    findings = answer.checked.findings
    st.header("Set aside in the logs")
    if findings.empty:
        st.markdown("Nothing: every row was used.")
        return
    rows = findings.groupby("severity")["rows"].sum()
    st.markdown(
        f"{formatting.count(int(rows.get('set-aside', 0)), 'row')} set aside and not used, "
        f"{int(rows.get('doubtful', 0))} doubtful and used with less weight, "
        f"{int(rows.get('note', 0))} noted."
    )
    with st.expander("Which, and what to do"):
        listing.show(
            ("What", "Log", "Rows", "First", "What to do"),
            [
                listing.Row(
                    (
                        listing.strong(_SAID.get(row.severity, row.severity), row.rule),
                        listing.text(row.log),
                        listing.text(row.rows),
                        listing.text(row.first),
                        listing.text(row.what_to_do),
                    )
                )
                for row in findings.itertuples()
            ],
            "findings",
            "One line for each rule and log.",
        )
    widgets.download(findings, "set_aside", "Findings as CSV")
