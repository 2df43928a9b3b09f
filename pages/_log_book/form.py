"""The form of an entry: drawn, sent, asked back, and what is said of it once it is written."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.data_entry import Desk, Draft, Place, draft
from corrosion.records import LOGS, tell_entry
from pages._log_book import alarms, amend
from pages._shared import asking, cached_answers, entry, form_fields, kept_forms, widgets
from pages._shared.entry import Book
from pages._shared.form_fields import Fields

CORRECTIONS = "corrections"


def facts(anode: Place, unit: str, fields: Fields) -> str:
    """Say what is known of an anode before it is looked at."""
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


def take(
    book: Book, folder: Path, desk: Desk, by: str, fields: Fields, kind: str, looked: Place | None,
    name: str,
) -> None:  # fmt: skip
    """Draw the form, take a sent one as far as it goes, and ask back.

    `name` is the one that the row was drawn with, `looked` the anode of a reading.
    """
    if _drawn(fields, kind, str(fields.filled["hull_id"]), looked):
        # nothing of Streamlit from here to the row: a second tap would stop the script there
        book.typed = fields.typed
        kept_forms.keep_form(name, fields.typed)
        advance(book, folder, desk, draft(kind, fields.filled, desk), by, name)
    ask_back(book, folder, desk, by, name)


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


def advance(book: Book, folder: Path, desk: Desk, made: Draft, by: str, name: str) -> None:
    """Take a draft as far as it goes, then draw the page that says how far that was."""
    newest = partial(cached_answers.newest_desk, folder)
    say = partial(_said, desk=desk)
    if entry.enter(book, folder, desk, made, by, say, name=name, newest=newest):
        book.about = (book.kind, str(st.session_state.get("hull") or ""))
        alarms.note(book, made.rows, desk)
        st.session_state[CORRECTIONS].said = ()
    st.rerun()


def ask_back(book: Book, folder: Path, desk: Desk, by: str, name: str) -> None:
    """Ask the question that the draft raises, with a button for each answer."""
    asking.say_refused(book, " What you typed is still here: to write it, write it down again.")
    if book.draft is not None:
        asking.ask(
            book, book.name, lambda made: advance(book, folder, desk, made, by, name),
            hint="Or change what is typed above, and write it down again.",
        )  # fmt: skip


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
