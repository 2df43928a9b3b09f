"""The settings of the fleet: the ones in daily use as fields, bays as a table, all as text."""

from __future__ import annotations

from datetime import datetime

import pandas as pd
import streamlit as st

from corrosion.common import Refusal, formatting
from corrosion.data_entry import bays_of, bays_table, plain_settings, settings_changes
from corrosion.records import changed_text, settings_text, write_settings
from pages._shared import session
from pages._shared.register_tables import Section

FIELDS = {
    "name": "Name of the fleet",
    "timezone": "Time zone (IANA, such as Europe/Lisbon)",
    "currency": "Currency",
    "length_unit": "What the calipers show: mm or in",
    "tolerated_risk": "Risk that you accept for a hull, such as 0.10",
    "wage_per_hour": "An hour's work costs",
    "flush_minutes": "A flush takes, min",
    "roles": "Who writes: roles or shifts, one a line",
    "address": "Address of this dashboard as phones see it",
}


def show(section: Section) -> None:
    """Draw the forms; each change keeps the old file under its date."""
    if section.place is None:
        st.button("Practise on a copy of the demo", on_click=session.practise)
        return
    text = settings_text(section.place)
    _fields(section, text)
    _bays(section, text)
    with st.expander("The whole file, fleet.toml"):
        typed = st.text_area("fleet.toml", text, height=320, key=f"{section.book.form}_toml")
        if st.button("Write the file", key="write_toml"):
            _write(section, typed)


def _fields(section: Section, text: str) -> None:
    now = plain_settings(section.desk.logbook.settings)
    with st.form("settings_fields", border=False):
        typed = {
            key: st.text_area(label, now[key], key=f"set_{key}")
            if key == "roles"
            else st.text_input(label, now[key], key=f"set_{key}")
            for key, label in FIELDS.items()
        }
        sent = st.form_submit_button("Write the settings", type="primary")
    if sent:
        changes, wrong = settings_changes(typed, now)
        for sentence in wrong:
            st.error(formatting.plain(sentence))
        if not wrong:
            _write(section, changed_text(text, changes))


def _bays(section: Section, text: str) -> None:
    st.subheader("Bays")
    st.caption("Weekdays by name, such as Tue, Thu; empty: every day. Empty numbers: no limit.")
    moorings = st.column_config.SelectboxColumn(options=section.desk.moorings())
    typed = st.data_editor(
        bays_table(section.desk.logbook.settings),
        column_config={"mooring_id": moorings},
        num_rows="dynamic",
        hide_index=True,
        key=f"{section.book.form}_bays",
    )
    if st.button("Write the bays"):
        _write(section, changed_text(text, {"bays": bays_of(pd.DataFrame(typed), text)}))


def _write(section: Section, text: str) -> None:
    if section.place is None:
        return
    now = datetime.now(section.desk.logbook.settings.timezone)
    try:
        kept = write_settings(section.place, text, now)
    except Refusal as refusal:
        st.error(f"**Not written.** {formatting.plain(refusal)}")
        return
    said = f" The old ones are kept as {kept.name}." if kept else ""
    section.book.said = (f"Settings written.{said}",)
    for key in list(st.session_state):
        if str(key).startswith("set_"):
            del st.session_state[key]
    st.rerun()
