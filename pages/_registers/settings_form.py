"""The settings of the fleet: the ones in daily use as fields, bays as a table, all as text."""

from __future__ import annotations

from datetime import datetime

import pandas as pd
import streamlit as st

from corrosion.common import Refusal, formatting
from corrosion.data_entry import (
    bays_of,
    bays_table,
    merged_settings,
    mine_over,
    plain_settings,
    settings_changes,
)
from corrosion.records import changed_text, settings_of, settings_text, write_settings
from pages._shared import session, visitors
from pages._shared.entry import ONE_AT_A_TIME
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


DRAWN, CLASH = "set_drawn", "set_clash"


def show(section: Section) -> None:
    """Draw the forms; each change keeps the old file under its date.

    They stay as they were drawn; what somebody else writes meanwhile is compared when they are
    sent.
    """
    if section.place is None:
        st.button("Practise on a copy of the demo", on_click=session.practise)
        return
    if "set_name" not in st.session_state:  # not drawn yet, or drawn anew
        st.session_state[DRAWN] = settings_text(section.place)
    text = str(st.session_state[DRAWN])
    if CLASH in st.session_state:
        _ask_which(section, text, st.session_state[CLASH])
    _fields(section, text)
    _bays(section, text)
    with st.expander("The whole file, fleet.toml"):
        typed = st.text_area("fleet.toml", text, height=320, key=f"{section.book.form}_toml")
        if st.button("Write the file", key="write_toml"):
            _send(section, text, typed)


def _ask_which(section: Section, drawn: str, mine: str) -> None:
    """Show what stands in the file beside what was typed, and ask which it shall be."""
    if section.place is None:
        return
    now = settings_text(section.place)
    both = merged_settings(drawn, now, mine)
    with st.container(key="question", border=True):
        st.markdown("**Not written: somebody wrote other settings since this form was opened.**")
        for clash in both.clashes:
            st.markdown(
                f"- `{clash.key}`: {formatting.plain(clash.was)} before; "
                f"**{formatting.plain(clash.now)}** in the file now; "
                f"**{formatting.plain(clash.mine)}** in your form"
            )
        if st.button("Write what is in my form", width="stretch"):
            del st.session_state[CLASH]
            _send(section, now, mine_over(drawn, now, mine))
        if st.button("Leave what is in the file", width="stretch"):
            _send(section, now, both.text)


def _fields(section: Section, text: str) -> None:
    now = plain_settings(settings_of(text))
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
            _send(section, text, changed_text(text, changes))


def _bays(section: Section, text: str) -> None:
    st.subheader("Bays")
    st.caption("Weekdays by name, such as Tue, Thu; empty: every day. Empty numbers: no limit.")
    moorings = st.column_config.SelectboxColumn(options=section.desk.moorings())
    typed = st.data_editor(
        bays_table(settings_of(text)),
        column_config={"mooring_id": moorings},
        num_rows="dynamic",
        hide_index=True,
        key=f"{section.book.form}_bays",
    )
    if st.button("Write the bays"):
        _send(section, text, changed_text(text, {"bays": bays_of(pd.DataFrame(typed), text)}))


def _send(section: Section, drawn: str, mine: str) -> None:
    """Write what was typed, unless the file says something else by now than when it was drawn."""
    if section.place is None:
        return
    moment = datetime.now(section.desk.logbook.settings.timezone)
    try:
        with ONE_AT_A_TIME:
            both = merged_settings(drawn, settings_text(section.place), mine)
            by = visitors.writer(section.by)
            old_file = (
                None if both.clashes else write_settings(section.place, both.text, by, moment)
            )
    except Refusal as refusal:
        st.error(f"**Not written.** {formatting.plain(refusal)}")
        return
    if both.clashes:
        st.session_state[CLASH] = mine
        st.rerun()
    about_old = f" The old ones are kept as {old_file.name}." if old_file else ""
    beside = f" Changed by others meanwhile, and left: {', '.join(both.others)}."
    section.book.next_form()
    section.book.said = (f"Settings written.{about_old}{beside if both.others else ''}",)
    for key in list(st.session_state):
        if str(key).startswith("set_"):
            del st.session_state[key]
    st.rerun()
