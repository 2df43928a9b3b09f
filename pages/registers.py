"""What the fleet has: hulls, moorings, berths, layouts, stock, settings."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import streamlit as st

from corrosion.common import formatting
from corrosion.data_entry import Desk, standing_now
from pages._registers import settings_form
from pages._shared import frame, register_tables, session, widgets
from pages._shared.entry import Book
from pages._shared.register_tables import Section

BOOK = "registers_book"


def show(folder: Path, desk: Desk) -> None:
    """Count the fleet, then show one register: its rows, the way to change them, and new ones."""
    widgets.say(_sentence(desk))
    book: Book = st.session_state.setdefault(BOOK, Book())
    for sentence in book.said:
        st.success(formatting.plain(sentence))
    chosen = _chosen()
    section = Section(book, session.writable(), desk, _by(desk))
    section.ask_back()
    SECTIONS[chosen](section)


def _sentence(desk: Desk) -> str:
    moorings, layouts = len(desk.moorings()), standing_now(desk, "anode_positions")["layout"]
    gone = desk.checked.hulls["hull_id"].nunique() - len(desk.hulls())
    left = f" and {gone} that left the fleet," if gone else ""
    return (
        f"**{formatting.count(len(desk.hulls()), 'hull')}{left} at "
        f"{formatting.count(moorings, 'mooring')}, "
        f"{formatting.count(layouts.nunique(), 'layout')} with "
        f"{formatting.count(len(layouts), 'place')} for anodes.**"
    )


def _by(desk: Desk) -> str:
    return str(st.session_state.get("by") or desk.logbook.settings.roles[-1])


def _chosen() -> str:
    wanted = st.query_params.get("register", "hulls")
    if "register" not in st.session_state:
        st.session_state["register"] = wanted if wanted in SECTIONS else "hulls"
    chosen = st.segmented_control(
        "Register",
        list(SECTIONS),
        format_func=lambda name: name[:1].upper() + name[1:],
        key="register",
        required=True,
        label_visibility="collapsed",
    )
    if wanted != chosen:
        st.query_params["register"] = str(chosen)
    return str(chosen)


SECTIONS: dict[str, Callable[[Section], None]] = {
    "hulls": register_tables.hulls,
    "moorings": register_tables.moorings,
    "berths": register_tables.berths,
    "layouts": register_tables.layouts,
    "stock": register_tables.stock,
    "settings": settings_form.show,
    "QR codes": register_tables.qr_codes,
}

frame.desk_page("Registers", show)
