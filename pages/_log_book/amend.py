"""The form that corrects or strikes out a row of any log, with the history of that row."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.data_entry import (
    Desk,
    Draft,
    as_cells,
    as_it_stands,
    correction,
    matter,
    next_question,
    standing_row,
    striking_out,
)
from corrosion.records import LOGS, tell_entry
from pages._log_book import alarms
from pages._shared import asking, entry, row_form
from pages._shared.entry import Book

STANDING = {"stands": "stands", "corrected": "✎ corrected later", "voided": "✕ struck out"}


def names(log: str) -> tuple[str, ...]:
    """Columns of a log."""
    return LOGS[log].names


def show(book: Book, folder: Path, desk: Desk, by: str) -> None:
    """Show the row in the address with its history, and the form that takes its place."""
    log, _, name = st.query_params.get("correct", "").partition("/")
    rows = matter(desk.logbook, log, name) if log in LOGS else pd.DataFrame()
    st.button("← Back to the log book", on_click=leave)
    if rows.empty:
        st.warning("There is no such row in the newest logs; it may have been written elsewhere.")
        return
    row = standing_row(rows)
    _history(rows, log, desk)
    if row is None:
        st.info("This row was struck out. Write it again as a new entry if that was wrong.")
        return
    _suggested(book, folder, desk, by, log, row)
    _form(book, folder, desk, by, log, row)
    _strike(book, folder, desk, by, log, row)


def leave() -> None:
    """Go back to the forms."""
    st.query_params.pop("correct", None)


def _history(rows: pd.DataFrame, log: str, desk: Desk) -> None:
    settings = desk.logbook.settings
    st.subheader(f"Correct an entry: {log.replace('_', ' ')}")
    lines = []
    for _, row in rows.iterrows():
        cells = as_cells(row)
        when = formatting.moment(row["entered_at"], settings.timezone)
        struck = bool(cells.get("void") is True)
        what = "struck out" if struck else tell_entry(log, cells, settings.length_unit)
        about = cells.get("hull_id") or cells.get("mooring_id") or cells.get("layout") or ""
        why = cells.get("reason")
        lines.append(
            f"- {formatting.plain(about)} {formatting.plain(what)}"
            f"{f' ({formatting.plain(why)})' if isinstance(why, str) else ''}: "
            f"{STANDING.get(row['standing'], '')}; entered {formatting.plain(when)} by "
            f"{formatting.plain(row['entered_by'] or 'not said')}"
        )
    st.markdown("\n".join(lines))


def _suggested(book: Book, folder: Path, desk: Desk, by: str, log: str, row: pd.Series) -> None:
    """Ask of the row as it stands what would be asked today; an answer mends it at once."""
    question = next_question(as_it_stands(log, row), desk, int(row["log_row"]))
    if question is None or book.question is not None:
        return
    with st.container(key="suggested", border=True):
        st.markdown(f"**{formatting.plain(question.asks)}**")
        for number, answer in enumerate(question.answers):
            changed = answer.draft.rows and not _same(answer.draft, log, row)
            if changed and st.button(answer.label, key=f"{book.form}_mend_{number}"):
                said = "Corrected; the old row stays in the history."
                _advance(book, folder, desk, answer.draft, by, row, said)
        st.caption("Or correct it below.")


def _same(made: Draft, log: str, row: pd.Series) -> bool:
    """Tell whether an answer leaves every row as it is."""
    now = as_it_stands(log, row).main.cells
    cells = {name: cell for name, cell in made.main.cells.items() if name != "answered"}
    return len(made.rows) == 1 and cells == dict(now)


def _form(book: Book, folder: Path, desk: Desk, by: str, log: str, row: pd.Series) -> None:
    settings = desk.logbook.settings
    with st.form(f"{book.form}_correct", border=False, enter_to_submit=False):
        texts = row_form.draw(f"{book.form}_{row['name']}", log, settings, as_cells(row))
        sent = st.form_submit_button("Write the correction", type="primary", width="stretch")
    if sent:
        made = correction(desk.logbook, log, row, texts)
        _advance(book, folder, desk, made, by, row, "Corrected; the old row stays in the history.")
    ask_back(book, folder, desk, by, row)


def _strike(book: Book, folder: Path, desk: Desk, by: str, log: str, row: pd.Series) -> None:
    with (
        st.expander("Strike it out", expanded=bool(st.session_state.get("strike"))),
        st.form(f"{book.form}_strike", border=False, enter_to_submit=False),
    ):
        why = st.text_input("Why", key=f"{book.form}_why", placeholder="entered twice, …")
        if st.form_submit_button("Strike the row out", width="stretch"):
            made = striking_out(log, row, why)
            _advance(book, folder, desk, made, by, row, "Struck out; the row stays in the history.")


def ask_back(book: Book, folder: Path, desk: Desk, by: str, row: pd.Series) -> None:
    """Say what is wrong, or ask the question that the correction raises."""

    def take(made: Draft) -> None:
        _advance(book, folder, desk, made, by, row, "Corrected.")
        st.rerun()

    asking.say_refused(book, " What you typed is still here.")
    asking.ask(book, book.form, take)


def _advance(
    book: Book, folder: Path, desk: Desk, made: Draft, by: str, row: pd.Series, said: str
) -> None:
    if entry.enter(book, folder, desk, made, by, lambda _: said, int(row["log_row"])):
        book.next_form()
        alarms.note(book, made.rows, desk)
        leave()
        st.rerun()
