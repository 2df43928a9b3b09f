"""Write down what was done or seen."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from corrosion.common import formatting
from corrosion.data_entry import KINDS, Desk, Place, entry_named, row_named
from pages._log_book import alarms, amend, form, phone, walk
from pages._shared import (
    entry,
    form_fields,
    frame,
    kept_forms,
    recent_entries,
    session,
    widgets,
)
from pages._shared.browser_mark import browser
from pages._shared.entry import Book
from pages._shared.form_fields import Fields

BOOK = "log_book"


def show(folder: Path, desk: Desk) -> None:
    """Ask what it is and which hull, draw its form, ask back, write, and list what came last."""
    writable = session.writable()
    if writable is None:
        _practise()
    else:
        book = _opened_book(writable)
        by = _by(desk)
        correcting: Book = st.session_state.setdefault(form.CORRECTIONS, Book())
        if st.query_params.get("correct"):
            amend.show(correcting, writable, desk, by)
        elif walk.is_wanted():
            walk.show(book, writable, desk, by)
            alarms.show(correcting)
            alarms.reported(correcting)
        else:
            walk.offer(desk)
            above = st.container()
            _form(book, writable, desk, by)
            with above:
                alarms.show(book)
                alarms.show(correcting)
            alarms.reported(book)
            alarms.reported(correcting)
    recent_entries.show(desk, can_write=writable is not None)
    if writable is not None:
        recent_entries.older(desk, str(st.session_state.get("hull") or ""))


def _opened_book(folder: Path) -> Book:
    """Open the session's book; a page that is loaded again finds the form it had.

    The form belongs to the fleet that it was drawn for; with another one open it is not sent.
    """
    owner = f"{browser()} {session.mark(folder)}"
    book: Book | None = st.session_state.get(BOOK)
    if book is None:
        book = entry.book_of(owner, st.query_params.get("form", ""))
    elif book.owner != owner:
        book = Book(owner, str(st.session_state.get("kind") or ""))
        book.wrong = (
            "Not written: another fleet is open here now than when the form was drawn. Look which "
            "one it is, and write it again.",
        )
    st.session_state[BOOK] = book
    return book


def _practise() -> None:
    widgets.say("**Nothing is written into the demo fleet that comes with the program.**")
    st.markdown("Practise on a copy of it: the copy is yours alone, and every form works.")
    st.button("Practise on a copy", type="primary", on_click=session.practise)


def _by(desk: Desk) -> str:
    roles = list(desk.logbook.settings.roles)
    last = phone.remembered("by")
    if "by" not in st.session_state and "by" not in st.query_params and last in roles:
        st.session_state["by"] = last
    chosen = st.selectbox("Written by", roles, key="by", bind="query-params",
                          help="A role or a shift, never a person's name.")  # fmt: skip
    return str(chosen or roles[0])


def _form(book: Book, folder: Path, desk: Desk, by: str) -> None:
    kind = _kind()
    hull_id = _hull(desk, kind)
    if not hull_id and kind != "water":
        st.info("Choose the hull. Where there is none yet, enter it in the registers.")
        return
    _turned(book, kind, hull_id, desk)
    if st.query_params.get("form") != book.form:
        st.query_params["form"] = book.form
    phone.help_thumbs(book.form, by, hull_id, walk.under_way())
    if book.written:
        _after(book, kind)
        return
    # two runs of this page may hold the same press: both write under the name drawn, not the next
    name = book.name
    filled = kept_forms.kept_form(name)
    fields = Fields(f"{book.form}_{kind}", desk, filled)
    fields.filled["hull_id"] = hull_id
    looked = _anode(fields, hull_id) if kind == "reading" else None
    if kind == "reading" and looked is None:
        st.info("No place for an anode is known of this hull's layout: enter it in the registers.")
        return
    form.take(book, folder, desk, by, fields, kind, looked, name)


def _turned(book: Book, kind: str, hull_id: str, desk: Desk) -> None:
    """Turn to the form that is wanted: another hull or kind after an entry is another form."""
    if book.written and book.about != (kind, hull_id):
        book.next_form()
    fresh = not book.kind
    book.turn_to(kind)
    log = KINDS[kind].log
    row = row_named(desk.logbook, log, book.name) if fresh else None
    if row is not None:  # the page was loaded again before its answer came
        book.finish(f"Written: {entry_named(desk.logbook, log, book.name)}.")
        book.about = (kind, hull_id)
        alarms.note(book, [row], desk)


def _after(book: Book, kind: str) -> None:
    """After an entry, the way to the next one stands where the form stood."""
    label = "Next anode" if kind == "reading" else f"Write another: {KINDS[kind].called.lower()}"
    st.button(label, on_click=book.next_form, width="stretch", key=f"next_{book.form}")


def _kind() -> str:
    """Choose what is written down; the address names it, so that a link opens the right form."""
    wanted = st.query_params.get("kind")
    if "kind" not in st.session_state:
        st.session_state["kind"] = wanted if wanted in KINDS else "reading"
    kind = st.segmented_control(
        "What",
        list(KINDS),
        format_func=lambda kind: KINDS[kind].called,
        key="kind",
        required=True,
        label_visibility="collapsed",
    )
    if wanted != kind:
        st.query_params["kind"] = str(kind)
    return str(kind)


def _hull(desk: Desk, kind: str) -> str:
    hulls = desk.hulls()
    wanted = st.query_params.get("hull")
    if wanted and wanted not in hulls:
        st.warning(f"There is no hull {formatting.plain(wanted)} in the fleet now. Choose one.")
        st.session_state.pop("hull", None)
    session.keep_hull("log_book", hulls)
    own = phone.remembered("hull")
    last = own if own in hulls else desk.last_hull()
    if "hull" not in st.session_state and not wanted and last in hulls and kind != "water":
        st.session_state["hull"] = last
    chosen = st.selectbox("Hull", hulls, index=None, key="hull", bind="query-params",
                          placeholder="Choose a hull")  # fmt: skip
    return str(chosen or "")


def _anode(fields: Fields, hull_id: str) -> Place | None:
    """Choose the anode: the next one in access order that was not looked at in this visit."""
    places = {place.position: place for place in fields.desk.places(hull_id)}
    if not places:
        return None
    seen = fields.desk.now - form_fields.SAME_VISIT
    waiting = [p.position for p in places.values() if p.last_at is None or p.last_at < seen]
    labels = {p: f"{p}" if p in waiting else f"✓ {p}" for p in places}
    start = (waiting or list(places))[0]
    key = f"{hull_id}_position"
    if st.session_state.get(fields.key(key, start)) not in places:
        st.session_state[fields.key(key)] = start
    position = fields.choice(key, "Anode", labels, start)
    fields.filled["position"] = position or start
    looked = places[position or start]
    st.caption(form.facts(looked, fields.unit, fields))
    way = fields.choice("way", "How", form_fields.WAYS, "caliper")
    fields.filled["way"] = way
    return looked


frame.desk_page("Log book", show)
