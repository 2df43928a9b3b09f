"""One register each: its rows, the form that changes one, and the form for a new one."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.data_entry import (
    ARRANGEMENTS,
    Desk,
    Draft,
    Row,
    blank_layout,
    brought_home,
    columns_of,
    correction,
    layout_rows,
    qr_sheet,
    row_of,
    rows_as_text,
    standing_now,
    stray_ids,
)
from corrosion.workshop import pieces_on_hand
from pages._shared import asking, entry, listing, register_rows, row_form, session, widgets
from pages._shared.entry import Book


@dataclass
class Section:
    """What a register page works with; `place` is None where nothing can be written."""

    book: Book
    place: Path | None
    desk: Desk
    by: str

    def write(self, made: Draft, said: str, instead_of: int | None = None) -> None:
        """Write a draft, or say what is wrong with it."""
        if self.place is None:
            return
        if entry.enter(self.book, self.place, self.desk, made, self.by, lambda _: said, instead_of):
            self._turn_page()
        if self.book.question is not None:
            st.rerun()  # it is asked at the head of the page
        asking.say_refused(self.book)

    def write_plainly(self, made: Draft, said: str) -> None:
        """Write a draft of many rows, of which nothing is asked one by one."""
        if self.place is None:
            return
        if entry.enter_plainly(self.book, self.place, self.desk, made, self.by, said):
            self._turn_page()
        asking.say_refused(self.book)

    def _turn_page(self) -> None:
        self.book.next_form()
        st.rerun()

    def ask_back(self) -> None:
        """Ask what the last form raised, above all registers, until it is answered."""
        if self.place is not None:
            asking.ask(
                self.book, self.book.name,
                lambda made: self.write(made, "Entered.", self.book.instead_of),
                hint="Or change what is typed below, and enter it again.", wide=False,
            )  # fmt: skip


def hulls(section: Section) -> None:
    """The hulls, with what happens to one: new, renamed, sold, another engine."""
    register_rows.show(section, "hulls", ("hull_id", "name", "layout", "in_service", "retired"))
    if _read_only(section):
        return
    _new_hull(section)
    _sold(section)
    _strays(section)
    st.caption(
        "A hull keeps its id for life: rename it by its name, and its history stays with it. "
        "Another engine is written in the log book (Engine): the anodes of its circuit go with it."
    )


def _new_hull(section: Section) -> None:
    name, settings = section.book.form, section.desk.logbook.settings
    layouts = sorted(standing_now(section.desk, "anode_positions")["layout"].dropna().unique())
    with st.expander("A new hull"), st.form(f"{name}_hull", border=False):
        texts = row_form.draw(f"{name}_h", "hulls", settings, {}, {"layout": layouts})
        at = st.selectbox("Lives at *", section.desk.moorings(), key=f"{name}_at")
        stays = st.selectbox("Stays *", ["afloat", "lifted"], key=f"{name}_stays")
        sent = st.form_submit_button("Enter the hull", type="primary")
    if sent:
        made = row_of("hulls", texts, settings)
        since = made.main.cells.get("in_service", section.desk.now)
        berth = {"hull_id": texts["hull_id"].strip(), "mooring_id": at, "stays": stays}
        taken = texts["hull_id"].strip() in set(standing_now(section.desk, "hulls")["hull_id"])
        wrong = (*made.wrong, *(["This hull is in the register already."] if taken else []))
        both = Draft((*made.rows, Row("berths", {**berth, "since": since})), wrong)
        section.write(both, f"{texts['hull_id']} is in the fleet.")


def _sold(section: Section) -> None:
    name, desk = section.book.form, section.desk
    with st.expander("Sold, scrapped or laid up for good"), st.form(f"{name}_sold", border=False):
        hull_id = st.selectbox("Hull", desk.hulls(), index=None, key=f"{name}_soldhull")
        day = st.date_input("Last day in the fleet", desk.local_now.date(), key=f"{name}_soldday")
        sent = st.form_submit_button("Take it out of the fleet")
    if sent and hull_id:
        rows = standing_now(desk, "hulls")
        row = rows[rows["hull_id"] == hull_id].iloc[-1]
        texts = rows_as_text(desk, "hulls", row) | {"retired": str(day)}
        made = correction(desk.logbook, "hulls", row, texts)
        section.write(made, f"{hull_id} left the fleet; its history stays.", int(row["log_row"]))


def _strays(section: Section) -> None:
    """Rows under an id that is not in the register: a hull renamed, or a slip of the pen."""
    name, desk = section.book.form, section.desk
    strays = stray_ids(desk.logbook)
    if strays.empty:
        return
    with (
        st.expander(f"{formatting.count(len(strays), 'id')} in the logs and not in the register"),
        st.form(f"{name}_strays", border=False),
    ):
        rows_of = {str(s): f"{s}: {formatting.count(int(n), 'row')}" for s, n in strays.items()}
        stray = st.selectbox("Rows under", list(rows_of), format_func=rows_of.get, key=f"{name}_of")
        hull_id = st.selectbox("belong to", desk.hulls(), index=None, key=f"{name}_home")
        sent = st.form_submit_button("Correct every one of them")
    if sent and hull_id:
        made = brought_home(desk.logbook, str(stray), hull_id)
        section.write_plainly(made, f"The rows under {stray} belong to {hull_id} now.")


def moorings(section: Section) -> None:
    """The moorings."""
    shown = ("mooring_id", "name", "water", "salinity_g_per_kg", "flush_point", "shore_power")
    register_rows.show(section, "moorings", shown)
    if not _read_only(section):
        _new(section, "moorings", "A new mooring")


def berths(section: Section) -> None:
    """Where each hull lives, since when."""
    register_rows.show(section, "berths", ("hull_id", "mooring_id", "stays", "since"))
    if _read_only(section):
        return
    if st.button("Write down a move", icon=":material/edit_note:"):
        st.switch_page("pages/log_book.py", query_params={"kind": "berth"})


def layouts(section: Section) -> None:
    """The layouts, place by place, and a new one from an arrangement."""
    shown = ("layout", "position", "circuit", "alloy", "gauge", "new_size_mm", "limit_size_mm",
             "limit_source")  # fmt: skip
    register_rows.show(section, "anode_positions", shown)
    if _read_only(section):
        return
    _new(section, "anode_positions", "One place more on a layout")
    with st.expander("A new layout"):
        _new_layout(section)


def _new_layout(section: Section) -> None:
    name = section.book.form
    chosen = st.selectbox("Start from", [*ARRANGEMENTS, "nothing"], key=f"{name}_template")
    typed = layout_table(
        f"{name}_{chosen}",
        blank_layout(str(chosen)),
        section.desk.logbook.settings.length_unit,
    )
    layout = st.text_input("Name of the layout", key=f"{name}_layout")
    if st.button("Enter the layout", type="primary", key=f"{name}_enter"):
        made = layout_rows(layout, typed, section.desk.logbook.settings)
        section.write(made, f"Layout {layout} is entered.")


def layout_table(key: str, blank: pd.DataFrame, unit: str) -> pd.DataFrame:
    """Show places of a layout as a table to fill in; gives what stands in it."""
    st.caption(
        "Places and circuits are as they are common; sizes, metals and limits stand in the "
        f"engine's own manual. Lengths in {unit}, the limit with its manual and page."
    )
    columns = [column for column in columns_of("anode_positions") if column.name != "layout"]
    config = {
        column.name: st.column_config.SelectboxColumn(options=list(column.words))
        if column.words
        else st.column_config.TextColumn()
        for column in columns
    }
    typed = st.data_editor(blank, column_config=config, num_rows="dynamic",
                           hide_index=True, key=f"{key}_table")  # fmt: skip
    return pd.DataFrame(typed)


def stock(section: Section) -> None:
    """Parts on hand, and what came or went."""
    logbook = section.desk.logbook
    held = pieces_on_hand(logbook.settings, section.desk.checked.stock_moves)
    st.markdown(f"**{formatting.count(int(held['pieces'].sum()), 'piece')} on hand.**")
    headings = ("Part", "Where", "Pieces")
    rows = [
        listing.Row(
            (
                listing.strong(row.part_number),
                listing.text(row.mooring_id or "common"),
                listing.text(row.pieces),
            )
        )
        for row in held.itertuples()
    ]
    listing.show(headings, rows, "stock", "Counted in the settings, with what moved since.")
    widgets.download(held, "stock", "Stock as CSV")
    if not _read_only(section):
        _new(section, "stock_moves", "Parts came or went")


def qr_codes(section: Section) -> None:
    """A sheet of codes that open the log book on a hull."""
    desk = section.desk
    st.markdown("A code on the console opens the log book for that hull on any phone.")
    typed = st.text_input(
        "Address of this dashboard as phones see it",
        desk.logbook.settings.address,
        placeholder="https://anodes.example.org",
        key="address",
    )
    chosen = st.multiselect("Hulls (none: all)", desk.hulls(), key="coded")
    paper = st.segmented_control(
        "Paper", ["a4", "letter"], default="a4", key="paper", required=True
    )
    if not typed.startswith(("http://", "https://")):
        st.info("Type the address first; it begins with http:// or https://.")
        return
    html = qr_sheet(desk, typed, chosen or desk.hulls(), "letter" if paper == "letter" else "a4")
    st.download_button("Sheet of codes, to print", html.encode(), "qr_codes.html", "text/html",
                       icon=":material/print:", on_click="ignore", key="qr")  # fmt: skip


def _new(section: Section, log: str, title: str) -> None:
    """A form for one new row."""
    name, settings = section.book.form, section.desk.logbook.settings
    choices = {"mooring_id": section.desk.moorings()} if log == "stock_moves" else {}
    start = {"moved_at": section.desk.now.floor("min")} if log == "stock_moves" else {}
    with st.expander(title), st.form(f"{name}_{log}", border=False):
        texts = row_form.draw(f"{name}_{log}", log, settings, start, choices)
        sent = st.form_submit_button("Enter it", type="primary")
    if sent:
        section.write(row_of(log, texts, settings), "Entered.")


def _read_only(section: Section) -> bool:
    if section.place is None:
        st.button("Practise on a copy of the demo", on_click=session.practise)
    return section.place is None
