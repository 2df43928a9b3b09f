"""What the fleet has: hulls, moorings, berths, layouts, stock, settings."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import streamlit as st

from corrosion import words
from corrosion.desk import Desk, standing_now
from pages import _frame, _parts, _register_parts, _seen, _settings_form, _start
from pages._entry import Book
from pages._register_parts import Section

BOOK = "registers_book"


def show(place: Path, desk: Desk) -> None:
    """Count the fleet, then show one register: its rows, the way to change them, and new ones."""
    _parts.say(_sentence(desk))
    book: Book = st.session_state.setdefault(BOOK, Book())
    for sentence in book.said:
        st.success(words.plain(sentence))
    chosen = _chosen()
    section = Section(book, _seen.writable(), desk, _by(desk))
    SECTIONS[chosen](section)


def _sentence(desk: Desk) -> str:
    moorings, layouts = len(desk.moorings()), standing_now(desk, "anode_positions")["layout"]
    return (
        f"**{words.count(len(desk.hulls()), 'hull')} at {words.count(moorings, 'mooring')}, "
        f"{words.count(layouts.nunique(), 'layout')} with "
        f"{words.count(len(layouts), 'place')} for anodes.**"
    )


def _by(desk: Desk) -> str:
    return str(st.session_state.get("by") or desk.logbook.settings.roles[-1])


def _chosen() -> str:
    asked = st.query_params.get("register", "hulls")
    if "register" not in st.session_state:
        st.session_state["register"] = asked if asked in SECTIONS else "hulls"
    chosen = st.segmented_control(
        "Register",
        list(SECTIONS),
        format_func=lambda name: name[:1].upper() + name[1:],
        key="register",
        required=True,
        label_visibility="collapsed",
    )
    if asked != chosen:
        st.query_params["register"] = str(chosen)
    return str(chosen)


SECTIONS: dict[str, Callable[[Section], None]] = {
    "hulls": _register_parts.hulls,
    "moorings": _register_parts.moorings,
    "berths": _register_parts.berths,
    "layouts": _register_parts.layouts,
    "stock": _register_parts.stock,
    "settings": _settings_form.show,
    "QR codes": _register_parts.qr_codes,
}

if _start.is_wanted():
    _start.show()
else:
    _frame.desk_page("Registers", show)
