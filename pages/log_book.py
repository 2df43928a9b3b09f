"""Write down what was done or seen."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.data_entry import KINDS, Desk, Draft, Place, draft, entry_named, row_named
from corrosion.records import LOGS, tell_entry
from pages._log_book import alarms, amend, phone
from pages._shared import (
    cached_answers,
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

BOOK, CORRECTIONS = "log_book", "corrections"


def show(folder: Path, desk: Desk) -> None:
    """Ask what it is and which hull, draw its form, ask back, write, and list what came last."""
    writable = session.writable()
    if writable is None:
        _practise()
    else:
        book = _opened_book(writable)
        by = _by(desk)
        correcting: Book = st.session_state.setdefault(CORRECTIONS, Book())
        if st.query_params.get("correct"):
            amend.show(correcting, writable, desk, by)
        else:
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
    phone.help_thumbs(book.form, by, hull_id)
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
    if _drawn(fields, kind, hull_id, looked):
        # nothing of Streamlit from here to the row: a second tap would stop the script there
        book.typed = fields.typed
        kept_forms.keep_form(name, fields.typed)
        _advance(book, folder, desk, draft(kind, fields.filled, desk), by, name)
    _ask_back(book, folder, desk, by, name)


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
    st.caption(_facts(looked, fields.unit, fields))
    way = fields.choice("way", "How", form_fields.WAYS, "caliper")
    fields.filled["way"] = way
    return looked


def _facts(anode: Place, unit: str, fields: Fields) -> str:
    last = "never looked at"
    if anode.last_at is not None:
        seen = "" if anode.last_mm is None else f"{formatting.size(anode.last_mm, unit)} on "
        last = f"last: {seen}{formatting.day(anode.last_at, fields.zone, year=False)}"
    source = f" ({anode.limit_source})" if anode.limit_source else ""
    gauge = anode.gauge or "size"
    return formatting.plain(
        f"{gauge}, new {formatting.size(anode.new_mm, unit)}, limit "
        f"{formatting.size(anode.limit_mm, unit)}{source}; {last}"
    )


def _drawn(fields: Fields, kind: str, hull_id: str, looked: Place | None) -> bool:
    """Draw the form; True when it was sent."""
    with st.form(f"{fields.name}_{kind}", border=False, enter_to_submit=False):
        if looked is not None:
            form_fields.reading(fields, looked, str(fields.filled["way"]))
        else:
            form_fields.FORMS[kind](fields, hull_id)
        _caution(kind)
        name = fields.desk.logbook.settings.name or "this fleet"
        clock = formatting.moment(fields.desk.now, fields.zone)
        st.caption(
            f"Goes into the logs of {formatting.plain(name)}, whose clock shows "
            f"{formatting.plain(clock)} ({formatting.plain(fields.zone.key)})."
        )
        return bool(st.form_submit_button("Write it down", type="primary", width="stretch"))


def _caution(kind: str) -> None:
    """Say the usual cautions where the work is."""
    if kind in ("reading", "engine"):
        widgets.cautions_in_short()
    elif kind == "flush":
        st.caption(
            "Engine running ashore or alongside: carbon monoxide. Outdoors only, people clear. "
            "The order of water and engine differs by engine: go by your own card for it."
        )


def _advance(book: Book, folder: Path, desk: Desk, made: Draft, by: str, name: str) -> None:
    """Take a draft as far as it goes, then draw the page that says how far that was."""
    newest = partial(cached_answers.newest_desk, folder)
    say = partial(_said, desk=desk)
    if entry.enter(book, folder, desk, made, by, say, name=name, newest=newest):
        book.about = (book.kind, str(st.session_state.get("hull") or ""))
        alarms.note(book, made.rows, desk)
        st.session_state[CORRECTIONS].said = ()
    st.rerun()


def _ask_back(book: Book, folder: Path, desk: Desk, by: str, name: str) -> None:
    """Ask the question that the draft raises, with a button for each answer."""
    for sentence in book.wrong:
        st.error(formatting.plain(sentence))
    if book.refused:
        st.error(f"**Not written.** {formatting.plain(book.refused)} What you typed is still here.")
    if book.question is None or book.draft is None:
        return
    with st.container(key="question", border=True):
        st.markdown(f"**{formatting.plain(book.question.asks)}**")
        for number, answer in enumerate(book.question.answers):
            key = f"{book.name}_{book.question.name}_{number}"
            if st.button(formatting.label(answer.label), key=key, width="stretch"):
                _advance(book, folder, desk, answer.draft, by, name)
        st.caption("Or change what is typed above, and write it down again.")


def _said(done: Draft, desk: Desk) -> str:
    unit = desk.logbook.settings.length_unit
    rows = [
        f"{row.cells.get('hull_id', '')} "
        f"{tell_entry(row.log, _whole(row.log, dict(row.cells)), unit)}"
        for row in done.rows
    ]
    return f"Written: {'; '.join(rows)}{_on(done, desk)}.{_in_another_water(done, desk)}"


def _on(done: Draft, desk: Desk) -> str:
    """Name the day where it is not today by the fleet's clock."""
    at = done.main.cells.get(LOGS[done.main.log].event_time) if done.rows else None
    if not isinstance(at, pd.Timestamp):
        return ""
    zone = desk.logbook.settings.timezone
    today = at.tz_convert(zone).date() == desk.local_now.date()
    return "" if today else f" (not today: {formatting.moment(at, zone)})"


def _in_another_water(done: Draft, desk: Desk) -> str:
    """Ask for a look where a hull moved into another water."""
    if not done.rows or done.main.log != "berths":
        return ""
    was = desk.water(str(done.main.cells["hull_id"]))
    now = desk.water_at(str(done.main.cells["mooring_id"]))
    if not was or not now or was == now:
        return ""
    return f" It moved from {was} to {now} water: look at its anodes, past wear says less there."


def _whole(log: str, cells: dict[str, object]) -> dict[str, object]:
    return {**dict.fromkeys(amend.names(log)), **cells}


frame.desk_page("Log book", show)
