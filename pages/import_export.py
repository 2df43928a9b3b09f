"""Bring in what was kept elsewhere, and take everything along."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from corrosion.common import formatting
from corrosion.data_entry import Desk
from pages._import_export import files_in
from pages._shared import cached_answers, frame, session, widgets

FORMS = {"csv": "CSV, for people and spreadsheets", "parquet": "Parquet, a fleet again"}


def show(folder: Path, desk: Desk) -> None:
    """Say what is there, take a file in, and offer everything for download."""
    tables = desk.logbook.tables
    logs = [log for log, rows in tables.items() if len(rows)]
    total = sum(len(tables[log]) for log in logs)
    widgets.say(
        f"**{formatting.count(total, 'row')} stand in {formatting.count(len(logs), 'log')}.**"
    )
    st.subheader("Import")
    if session.writable() is None:
        st.markdown("Nothing is written into the demo fleet that comes with the program.")
        st.button("Practise on a copy", on_click=session.practise)
    else:
        files_in.show(folder, desk)
    st.subheader("Export")
    _export(folder)


def _export(folder: Path) -> None:
    st.markdown("Every log with its whole history, and the settings, in one zip file.")
    form = st.segmented_control("As", list(FORMS), format_func=FORMS.get, default="csv",
                                required=True, key="form_of_export")  # fmt: skip
    chosen = str(form)
    st.download_button(
        "Everything as a zip",
        data=lambda: cached_answers.exported(folder, chosen),
        file_name=f"fleet_{chosen}.zip",
        mime="application/zip",
        icon=":material/download:",
        on_click="ignore",
        key="export",
    )
    st.caption(
        "A copy of the fleet's folder is a backup, whole at any moment. In the CSV, text that a "
        "spreadsheet would run as a formula stands after an apostrophe."
    )


frame.desk_page("Import, export", show)
