"""The rows of a register that stand: found by a word, a page at a time, one opened for a change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Protocol

import streamlit as st

from corrosion.common import formatting
from corrosion.data_entry import Desk, columns_of, label_of, rows_as_text, standing_now
from pages._shared import listing, recent_entries, widgets

PAGE_ROWS = 20
"""Rows on a page: about four screens of cards on a phone."""


class Place(Protocol):
    """Where rows are read, and whether they may be changed: `place` is None where they may not."""

    desk: Desk
    place: Path | None


def show(section: Place, log: str, shown: Sequence[str]) -> None:
    """List the rows that stand, and open one for a change."""
    settings, rows = section.desk.logbook.settings, standing_now(section.desk, log)
    texts = [rows_as_text(section.desk, log, row) for _, row in rows.iterrows()]
    labels = {column.name: label_of(column, settings) for column in columns_of(log)}
    if rows.empty:
        st.markdown("Nothing is entered yet.")
        return
    listed = [
        listing.Row((listing.strong(cells[shown[0]]), *(listing.text(cells[c]) for c in shown[1:])))
        for cells in _turned_to(log, texts, shown)
    ]
    part = f"{len(listed)} of " if len(listed) < len(rows) else ""
    caption = f"{part}{formatting.count(len(rows), 'row')} that stand."
    listing.show(tuple(labels[name] for name in shown), listed, f"rows_{log}", caption)
    widgets.download(rows.drop(columns=["name"]), log, "Register as CSV")
    if section.place is not None:
        _change(log, [" ".join(filter(None, (cells[c] for c in shown[:4]))) for cells in texts],
                list(rows["name"]))  # fmt: skip


def _turned_to(
    log: str, texts: Sequence[Mapping[str, str]], shown: Sequence[str]
) -> Sequence[Mapping[str, str]]:
    """Return the rows that hold the words typed, the page that is turned to; all where they fit."""
    if len(texts) <= PAGE_ROWS:
        return texts
    left, right = st.columns([3, 1], vertical_alignment="bottom")
    typed = left.text_input("Find rows with", key=f"find_{log}", placeholder="any word or number")
    wanted = typed.casefold().split()
    matching = [
        cells
        for cells in texts
        if all(word in " ".join(cells[c] for c in shown).casefold() for word in wanted)
    ]
    if not matching:
        st.markdown(f"No row holds {formatting.plain(typed)}.")
    pages = max(-(-len(matching) // PAGE_ROWS), 1)
    key = f"page_{log}"
    if int(st.session_state.get(key, 1)) > pages:
        st.session_state[key] = pages
    page = int(right.number_input(f"Page, of {pages}", 1, pages, key=key))
    return matching[PAGE_ROWS * (page - 1) : PAGE_ROWS * page]


def _change(log: str, lines: list[str], names: list[str]) -> None:
    with st.container(horizontal=True, vertical_alignment="bottom"):
        chosen = st.selectbox("Change a row", range(len(lines)), index=None,
                              format_func=lambda at: lines[at], key=f"change_{log}")  # fmt: skip
        if st.button("Open it", key=f"open_{log}", disabled=chosen is None):
            recent_entries.open_row(log, names[int(chosen or 0)])
            st.switch_page(
                "pages/log_book.py", query_params={"correct": st.query_params["correct"]}
            )
