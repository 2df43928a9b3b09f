"""Start a fleet in a folder that is empty, or that lacks some of the registers."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pandas as pd
import streamlit as st

from corrosion import CAUTION
from corrosion.common import Refusal, formatting
from corrosion.data_entry import (
    ARRANGEMENTS,
    Begun,
    Draft,
    blank_layout,
    first_rows,
    logs_to_start,
    make_folder,
    named_places,
    what_is_begun,
    write_draft,
)
from corrosion.records import (
    WATERS,
    Settings,
    read_fleet,
    read_settings,
    settings_of,
    write_settings,
)
from corrosion.records import changed_text as changed
from pages._shared import layout_fields, register_tables, session, visitors
from pages._shared.entry import Book

BOOK = "start_book"
STARTED = "fleet_started"
"""In the session: the fleet was started just now, and what was kept so far comes next."""
OWN_PLACES = "as the readings name them"


def is_wanted() -> bool:
    """Tell whether the fleet folder lacks a log that every page needs, or is still to be made."""
    return session.is_begun_only()


def show() -> None:
    """Ask for the settings, then for what is missing of mooring, layout, hulls and berths."""
    folder = session.folder()
    if folder is None:
        return
    st.title("Start a fleet")
    try:
        settings = read_settings(folder)
        begun = (
            what_is_begun(read_fleet(folder, is_begun_only=True)) if folder.exists() else Begun()
        )
    except Refusal as refusal:
        st.error(formatting.plain(refusal))
        return
    st.markdown(_sentence(folder, begun))
    if not (folder / "fleet.toml").exists():
        _settings()
    else:
        _first(settings, begun)
    st.divider()
    st.caption(CAUTION)


def _sentence(folder: Path, begun: Begun) -> str:
    name = formatting.plain(folder)
    if not begun.rows:
        return (
            f"Nothing is written in {name} yet. Two steps, and the log book works; "
            "what you kept so far, in CSV or a spreadsheet, is asked for after that."
        )
    held = [f"{formatting.count(rows, 'row')} of {log}" for log, rows in begun.rows]
    return (
        f"{name} holds {formatting.listed(held)}, and nothing of "
        f"**{formatting.listed(list(begun.missing))}**. Say what is missing, and every page "
        "answers; what is there stays as it is."
    )


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
            by = visitors.writer("")
            make_folder(folder, by)
            text = changed("", {key: value for key, value in typed.items() if value})
            write_settings(folder, text, by, datetime.now(settings_of(text).timezone))
        except Refusal as refusal:
            st.error(f"**Not written.** {formatting.plain(refusal)}")
            return
        st.rerun()


def _zone() -> str:
    return st.context.timezone or "UTC"


def _first(settings: Settings, begun: Begun) -> None:
    book: Book = st.session_state.setdefault(BOOK, Book())
    st.subheader("2. The first mooring, layout and hulls" if not begun.rows else "What is missing")
    texts, waters = _moorings(begun)
    layout, typed = _layout(settings, begun)
    if "hulls" in begun.missing:
        texts["hull_id"] = st.text_input(
            "Hulls of this layout that live there, with commas between", ", ".join(begun.hulls),
            placeholder="H01, H02, H03", key="start_hull")  # fmt: skip
    with st.container(horizontal=True):
        if "berths" in begun.missing:
            texts["stays"] = str(st.selectbox("They stay", ["afloat", "lifted"], key="start_stays"))
        if {"hulls", "berths"} & {*begun.missing}:
            texts["since"] = st.text_input(
                "In the fleet since", str(begun.since or datetime.now(settings.timezone).date()),
                key="start_since",
                help="The day of the oldest entry that you bring, or earlier; such as 3 May 2031.",
            )  # fmt: skip
    if st.button("Start the fleet", type="primary"):
        _write(book, first_rows(texts, layout, typed, settings, begun, waters), settings, begun)


def _moorings(begun: Begun) -> tuple[dict[str, str], dict[str, str]]:
    """Ask for what is missing of the moorings; gives the one of the berths, and waters by name."""
    if "moorings" not in begun.missing:
        if "berths" not in begun.missing:
            return {}, {}
        mooring = st.selectbox("Mooring where the hulls live", begun.moorings, key="start_mooring")
        return {"mooring_id": str(mooring or "")}, {}
    names = begun.moorings or ("",)
    waters: dict[str, str] = {}
    for at, known in enumerate(names):
        with st.container(horizontal=True):
            name = known or st.text_input("Name of the mooring", key="start_mooring")
            label = f"Water at {known}" if known else "Its water"
            water = st.selectbox(label, [*WATERS], None, key=f"start_water{at or ''}",
                                 placeholder="salt, brackish or fresh")  # fmt: skip
        waters[name] = str(water or "")
    return {"mooring_id": next(iter(waters))}, waters


def _layout(settings: Settings, begun: Begun) -> tuple[str, pd.DataFrame]:
    """Ask for the places of one layout, or for which layout the hulls have; name and places."""
    nothing = blank_layout("")
    if "anode_positions" not in begun.missing:
        if "hulls" not in begun.missing:
            return "", nothing
        name = st.selectbox("Layout of the hulls", begun.layouts, key="start_layout")
        return str(name or ""), nothing
    own = [OWN_PLACES] if begun.positions else []
    chosen = str(st.selectbox("Arrangement of the anodes", [*own, *ARRANGEMENTS, "nothing"],
                              key="start_template"))  # fmt: skip
    blank = named_places(begun.positions) if chosen == OWN_PLACES else blank_layout(chosen)
    unit = settings.length_unit
    if chosen in ARRANGEMENTS:
        typed = layout_fields.show(f"start_{chosen}", chosen, unit)
    else:
        typed = register_tables.layout_table(f"start_{chosen}", blank, unit)
    if begun.layouts:
        name = str(st.selectbox("Name of the layout, as the hulls have it", begun.layouts,
                                key="start_layout"))  # fmt: skip
        others = [layout for layout in begun.layouts if layout != name]
        if others:
            st.caption(f"After this, enter {formatting.listed(others)} in *Registers*, *layouts*.")
        return name, typed
    return st.text_input("Name of the layout", chosen if chosen in ARRANGEMENTS else "",
                         key=f"start_layout_{chosen}"), typed  # fmt: skip


def _write(book: Book, made: Draft, settings: Settings, begun: Begun) -> None:
    folder = session.folder()
    for sentence in made.wrong:
        st.error(formatting.plain(sentence))
    if made.wrong or folder is None:
        return
    if logs_to_start(folder) != begun.missing:
        st.error(
            "**Not written.** Somebody else has begun this fleet meanwhile: load the page again."
        )
        return
    try:
        write_draft(folder, made, visitors.writer(settings.roles[-1]), book.name)
    except Refusal as refusal:
        st.error(f"**Not written.** {formatting.plain(refusal)}")
        return
    if {"outings", "readings"} & {log for log, _ in begun.rows}:
        st.switch_page("pages/this_week.py")
    st.session_state[STARTED] = True
    st.switch_page("pages/import_export.py")
