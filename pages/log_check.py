"""Which entries are not believed, and why?"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.data_entry import Desk, doubted_rows, findings_by_gravity
from pages._shared import frame, listing, recent_entries, session, widgets

SAID = {"set-aside": "■ Set aside", "doubtful": "◇ Doubtful", "note": "· Note"}
MEANS = {
    "set-aside": "can't be true as it stands, and is not used",
    "doubtful": "used with less weight",
    "note": "used; worth knowing",
}
ROWS = 25
SHOWN_FINDINGS = 6
SHOWN_ROWS = 6


def show(_place: Path, desk: Desk) -> None:
    """Say how much is not believed, then each finding with its rows and the way to mend them."""
    findings = findings_by_gravity(desk.checked)
    widgets.say(_sentence(desk, findings))
    if findings.empty:
        return
    _counts(findings)
    _list(findings)
    widgets.download(findings.drop(columns="shown"), "findings", "Findings as CSV")
    _rows(desk, findings)
    _how()


def _sentence(desk: Desk, findings: pd.DataFrame) -> str:
    every = sum(len(rows) for rows in desk.logbook.tables.values())
    by = findings.groupby("severity")["rows"].sum()
    aside, doubtful = int(by.get("set-aside", 0)), int(by.get("doubtful", 0))
    if not aside and not doubtful:
        return f"**Every one of {every} rows is believed.**"
    return (
        f"**{formatting.count(aside, 'row')} of {every} set aside, {doubtful} doubtful.** "
        "The forecast does not rest on the first and leans less on the others."
    )


def _counts(findings: pd.DataFrame) -> None:
    table = findings.pivot_table(
        index="log", columns="severity", values="rows", aggfunc="sum", fill_value=0
    )
    table = table.reindex(columns=list(SAID), fill_value=0)
    rows = [
        listing.Row(
            (listing.strong(str(log).replace("_", " ")), *(listing.text(n) for n in counts))
        )
        for log, counts in zip(table.index, table.to_numpy(), strict=True)
    ]
    means = "; ".join(f"{SAID[kind]}: {MEANS[kind]}" for kind in SAID)
    caption = f"Rows by log; a row may be counted by several rules. {means}."
    listing.show(("Log", *SAID.values()), rows, "counts", caption)


def _list(findings: pd.DataFrame) -> None:
    st.subheader("What was found")
    headings = ("What", "Log", "Rows", "First", "What to do")
    rows = [
        listing.Row(
            (
                listing.strong(SAID.get(row.severity, row.severity), row.rule),
                listing.text(row.log),
                listing.text(row.rows or "the whole log"),
                listing.text(row.first),
                listing.wide(listing.text(row.what_to_do)),
            )
        )
        for row in findings.itertuples()
    ]
    caption = "One line for each rule and log, the gravest first."
    listing.show(headings, rows[:SHOWN_FINDINGS], "found", caption)
    if rows[SHOWN_FINDINGS:]:
        more = formatting.count(len(rows) - SHOWN_FINDINGS, "finding")
        with st.expander(f"{more} more, less grave"):
            listing.show(headings, rows[SHOWN_FINDINGS:], "found_more", "As above, less grave.")


def _rows(desk: Desk, findings: pd.DataFrame) -> None:
    st.subheader("The rows themselves")
    shown = findings[findings["shown"]]
    if shown.empty:
        st.markdown("None of these findings is about single rows.")
        return
    names = [f"{row.log} {row.rule}" for row in shown.itertuples()]
    wanted = st.query_params.get("finding")
    if wanted and wanted not in names:
        st.info(f"Nothing is found any more for {formatting.plain(wanted)}.")
        st.session_state.pop("finding", None)
    chosen = st.selectbox("Finding", names, key="finding", bind="query-params")
    finding = shown.iloc[names.index(str(chosen))]
    st.markdown(f"{SAID[finding['severity']]}: {formatting.plain(finding['what_to_do'])}")
    rows = doubted_rows(desk.checked, finding["log"], finding["rule"], ROWS)
    if len(rows) < finding["rows"]:
        st.caption(f"The newest {len(rows)} of {finding['rows']} rows.")
    for row in rows[:SHOWN_ROWS].itertuples():
        _row(row, str(finding["log"]), desk)
    if len(rows) > SHOWN_ROWS:
        with st.expander(f"{formatting.count(len(rows) - SHOWN_ROWS, 'row')} more"):
            for row in rows[SHOWN_ROWS:].itertuples():
                _row(row, str(finding["log"]), desk)
    if st.session_state.pop("open_log_book", None):
        st.switch_page("pages/log_book.py", query_params={"correct": st.query_params["correct"]})


def _row(row: Any, log: str, desk: Desk) -> None:
    zone = desk.logbook.settings.timezone
    when = "" if pd.isna(row.at) else f", {formatting.moment(row.at, zone)}"
    by = f"entered by {row.entered_by}" if isinstance(row.entered_by, str) else row.log_file
    with st.container(horizontal=True, vertical_alignment="center", gap="small"):
        st.markdown(
            f"**{formatting.plain(row.about)}**{formatting.plain(when)}: "
            f"{formatting.plain(row.what)}  \n"
            f":small[{formatting.plain(by)}]",
            width="stretch",
        )
        if session.writable() is not None:
            st.button("Correct", key=f"mend_{log}_{row.name}", on_click=_mend, args=(log, row.name))
        elif isinstance(row.hull_id, str):
            st.page_link("pages/hull.py", label="Hull", query_params={"hull": row.hull_id})


def _mend(log: str, name: str) -> None:
    recent_entries.open_row(log, name)
    st.session_state["open_log_book"] = True


def _how() -> None:
    with st.expander("How this is worked out"):
        st.markdown(
            "Every row of every log is held against the rules below its line. A rule never "
            "changes or drops a row in the log: it is left out of the forecast (*set aside*), used "
            "with less weight (*doubtful*) or only told (*note*). A correction is a new row that "
            "takes the place of the old one, which stays in the history. A value in another unit "
            "is asked about, never converted in silence. Silence is a finding too: hulls that do "
            "not go out, anodes that nobody looked at, flush logs that fell silent."
        )


frame.desk_page("Log check", show)
