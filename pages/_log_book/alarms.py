"""Alarms on the page: they stand above the form until somebody says that they were passed on."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from corrosion.common import formatting
from corrosion.data_entry import Desk, Row, alarms_of
from pages._shared.entry import Book


def note(book: Book, rows: Sequence[Row], desk: Desk) -> None:
    """Take up what may not wait of rows that were written; the same alarm stands once."""
    book.alarms = tuple(dict.fromkeys((*book.alarms, *alarms_of(rows, desk))))


def show(book: Book) -> None:
    """Show them, with what to do, the next hire and whom to call."""
    for alarm in book.alarms:
        st.error(
            f"**Alarm: {formatting.plain(alarm.says)}**  \n**{formatting.plain(alarm.do)}**  \n"
            f"{formatting.plain(alarm.next_hire)} {formatting.plain(alarm.call)}",
            icon=":material/front_hand:",
        )
    if book.alarms:
        st.button("It is told, and the hull stays in", on_click=_told, args=(book,),
                  key=f"told_{book.form}")  # fmt: skip


def _told(book: Book) -> None:
    book.alarms = ()


def reported(book: Book) -> None:
    """Say what was written last; beside an alarm not in green."""
    for sentence in book.said:
        if book.alarms:
            st.markdown(formatting.plain(sentence))
        else:
            st.success(formatting.plain(sentence))
