"""Start a fleet in an empty folder."""

from __future__ import annotations

from datetime import datetime

import pandas as pd
import streamlit as st

from corrosion import CAUTION
from corrosion.common import Refusal, formatting
from corrosion.data_entry import ARRANGEMENTS, blank_layout, first_rows, write_draft
from corrosion.records import WATERS, Settings, read_settings, settings_of, write_settings
from corrosion.records import changed_text as changed
from pages._shared import layout_fields, register_tables, session
from pages._shared.entry import Book

BOOK = "start_book"
STARTED = "fleet_started"
"""In the session: the fleet was started just now, and what was kept so far comes next."""


def is_wanted() -> bool:
    """Tell whether the fleet folder holds no log yet, or is still to be made."""
    return session.is_empty()


def show() -> None:
    """Ask for the settings, then for the first mooring, layout and hulls."""
    folder = session.folder()
    if folder is None:
        return
    st.title("Start a fleet")
    st.markdown(
        f"Nothing is written in {formatting.plain(folder)} yet. Two steps, and the log book works; "
        "what you kept so far, in CSV or a spreadsheet, is asked for after that."
    )
    try:
        settings = read_settings(folder)
    except Refusal as refusal:
        st.error(formatting.plain(refusal))
        return
    if not (folder / "fleet.toml").exists():
        _settings()
    else:
        _first(settings)
    st.divider()
    st.caption(CAUTION)


def _settings() -> None:
    st.subheader("1. The fleet")
    folder = session.folder()
    with st.form("start_settings", border=False):
        typed: dict[str, object] = {
            "name": st.text_input("Name of the fleet"),
            "timezone": st.text_input("Time zone (IANA)", _zone()),
            "currency": st.text_input("Currency", placeholder="EUR"),
            "length_unit": st.selectbox("The calipers show", ["mm", "in"]),
        }
        sent = st.form_submit_button("Next", type="primary")
    if sent and folder is not None:
        try:
            folder.mkdir(parents=True, exist_ok=True)
            text = changed("", {key: value for key, value in typed.items() if value})
            write_settings(folder, text, datetime.now(settings_of(text).timezone))
        except Refusal as refusal:
            st.error(f"**Not written.** {formatting.plain(refusal)}")
            return
        except OSError as error:
            st.error(f"**Not written.** The folder cannot be made ({error.strerror}).")
            return
        st.rerun()


def _zone() -> str:
    return st.context.timezone or "UTC"


def _first(settings: Settings) -> None:
    book: Book = st.session_state.setdefault(BOOK, Book())
    st.subheader("2. The first mooring, layout and hulls")
    with st.container(horizontal=True):
        mooring = st.text_input("Name of the mooring", key="start_mooring")
        water = st.selectbox("Its water", [*WATERS], None, key="start_water",
                             placeholder="salt, brackish or fresh")  # fmt: skip
    chosen = str(st.selectbox("Arrangement of the anodes", [*ARRANGEMENTS, "nothing"],
                              key="start_template"))  # fmt: skip
    is_blank = blank_layout(chosen).empty
    ask = register_tables.layout_table if is_blank else layout_fields.show
    typed = ask(f"start_{chosen}", chosen, settings.length_unit)
    layout = st.text_input("Name of the layout", "" if is_blank else chosen,
                           key=f"start_layout_{chosen}")  # fmt: skip
    hulls = st.text_input("Hulls of this layout that live there, with commas between",
                          placeholder="H01, H02, H03", key="start_hull")  # fmt: skip
    with st.container(horizontal=True):
        stays = st.selectbox("They stay", ["afloat", "lifted"], key="start_stays")
        since = st.text_input(
            "In the fleet since", str(datetime.now(settings.timezone).date()), key="start_since",
            help="The day of the oldest entry that you bring, or earlier; such as 3 May 2031.",
        )  # fmt: skip
    texts = {"mooring_id": mooring, "water": str(water or ""), "hull_id": hulls,
             "stays": str(stays), "since": since}  # fmt: skip
    if st.button("Start the fleet", type="primary"):
        _write(book, texts, layout, typed, settings)


def _write(
    book: Book, texts: dict[str, str], layout: str, typed: pd.DataFrame, settings: Settings
) -> None:
    folder = session.folder()
    made = first_rows(texts, layout, typed, settings)
    for sentence in made.wrong:
        st.error(formatting.plain(sentence))
    if made.wrong or folder is None:
        return
    try:
        write_draft(folder, made, settings.roles[-1], book.name)
    except Refusal as refusal:
        st.error(f"**Not written.** {formatting.plain(refusal)}")
        return
    st.session_state[STARTED] = True
    st.switch_page("pages/import_export.py")
