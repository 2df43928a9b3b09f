"""A round on the phone: anode after anode with the form of a reading, skipped with a reason.

The address says which round it is, the logs say how far it has come: a page that is loaded again
goes on where it was. The list is the one that was known when the round began.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count
from pathlib import Path
from urllib.parse import parse_qs

import streamlit as st

from corrosion.common import Refusal, formatting
from corrosion.data_entry import (
    ALL,
    GOES_ON,
    LISTS,
    SKIPS,
    WEEK,
    Desk,
    Place,
    Round,
    RoundAddress,
    RoundAnode,
    entry_named,
    read_round,
    row_named,
)
from pages._log_book import alarms, form, phone
from pages._shared import cached_answers, form_fields, kept_forms
from pages._shared.entry import Book
from pages._shared.form_fields import Fields

UNDER_WAY = "round"
PARAMETERS = ("round", "list", "since", "skip")


def is_wanted() -> bool:
    """Tell whether the address asks for a round."""
    return bool(st.query_params.get("round"))


def under_way() -> str | None:
    """Give the address of the round under way, as the phone keeps it; None: as it did before."""
    kept: str | None = st.session_state.get(UNDER_WAY)
    return kept


def offer(desk: Desk) -> None:
    """Offer to go on with the round under way, and to begin one at a mooring."""
    last = _remembered(desk)
    if last is not None:
        at = formatting.label(last.mooring_id)
        since = formatting.moment(last.began, desk.logbook.settings.timezone)
        st.button(f"Go on with the round at {at}, begun {since}", on_click=_go, args=(last,),
                  width="stretch", key="go_on")  # fmt: skip
    moorings = desk.moorings()
    if not moorings:
        return
    with st.expander("Work through a round"):
        st.selectbox("At", moorings, key="round_at")
        st.segmented_control(
            "Which anodes", list(LISTS), format_func=LISTS.__getitem__, key="round_list",
            default=WEEK, required=True,
        )  # fmt: skip
        st.button("Begin the round", on_click=_begin, args=(desk,), key="begin_round")


def show(book: Book, folder: Path, desk: Desk, by: str) -> None:
    """Show how far the round has come, and the form of the anode whose turn it is."""
    address = _address(desk)
    if address is None:
        return
    st.subheader(f"Round at {formatting.plain(address.mooring_id)}")
    try:
        walk = cached_answers.round_of(folder, desk, address)
    except (Refusal, ArithmeticError, ValueError) as refusal:  # whatever the model says, one reads
        _no_schedule(book, address, desk, str(refusal))
        return
    _loaded_again(book, walk, desk)
    above = st.container(key="round_head")
    if walk.turn is None:
        _end(book, address, walk, desk)
    else:
        _anode(book, folder, desk, by, address, walk, walk.turn)
    turn = walk.turn
    hull_id, position = ("", "the end") if turn is None else (turn.hull_id, turn.position)
    phone.help_thumbs(book.form, by, hull_id, under_way(), f"{hull_id} {position}")
    with above:
        alarms.show(book)
        alarms.reported(book)
        _how_far(address, walk, desk)
    _skipped(book, address, walk, opened=walk.turn is None)
    st.button("Stop here; it can be gone on with later", on_click=_leave, args=(book,),
              key="stop_round")  # fmt: skip


def _address(desk: Desk) -> RoundAddress | None:
    """Read the address; a link that names a mooring alone goes on with its round under way."""
    parameters = {name: st.query_params.get_all(name) for name in PARAMETERS}
    address = read_round(parameters, desk.now)
    if address is None:
        return None
    last = _remembered(desk)
    if not parameters["since"] and last is not None and last.mooring_id == address.mooring_id:
        address = last
    _keep(address)
    return address


def _remembered(desk: Desk) -> RoundAddress | None:
    """Give the round that this phone was at last, if it is of these days and not ended."""
    kept = under_way()
    text = phone.remembered(UNDER_WAY) if kept is None else kept
    last = read_round(parse_qs(text), desk.now)
    return None if last is None or last.began < desk.now - GOES_ON else last


def _keep(address: RoundAddress) -> None:
    """Write the round into the address bar, and keep it for later."""
    st.session_state[UNDER_WAY] = address.text()
    told = address.parameters()
    for name in PARAMETERS:
        if name in told:
            st.query_params[name] = told[name]
        else:
            st.query_params.pop(name, None)


def _go(address: RoundAddress) -> None:
    st.query_params.pop("form", None)
    _keep(address)


def _begin(desk: Desk) -> None:
    # what is chosen when the button is pressed, which may not have been drawn yet
    chosen = st.session_state
    _go(RoundAddress(str(chosen["round_at"]), desk.now, str(chosen["round_list"])))


def _leave(book: Book, *, over: bool = False) -> None:
    """Go back to the log book; a round that is over is not offered again."""
    if over:
        st.session_state[UNDER_WAY] = ""
    for name in PARAMETERS:
        st.query_params.pop(name, None)
    book.next_form()
    book.said = ()


def _no_schedule(book: Book, address: RoundAddress, desk: Desk, why: str) -> None:
    st.info(f"What is to be measured this week can't be worked out: {formatting.plain(why)}")
    _every_anode(address, desk)
    st.button("Back to the log book", on_click=_leave, args=(book,), kwargs={"over": True},
              key="stop_round")  # fmt: skip


def _every_anode(address: RoundAddress, desk: Desk) -> None:
    label = f"Walk every anode of every hull at {formatting.label(address.mooring_id)}"
    whole = RoundAddress(address.mooring_id, desk.now, ALL)
    st.button(label, on_click=_go, args=(whole,), key="every_anode")


def _loaded_again(book: Book, walk: Round, desk: Desk) -> None:
    """Say in a page loaded again what was written last, and raise its alarm again."""
    fresh = not book.kind
    book.turn_to("reading")
    if not fresh or not walk.done:
        return
    entries = walk.done[-1].entries
    rows = [row for row in (row_named(desk.logbook, *each) for each in entries) if row is not None]
    told = "; ".join(entry_named(desk.logbook, *each) for each in entries)
    book.said = (f"Written last in this round: {told}.",)
    alarms.note(book, rows, desk)


def _how_far(address: RoundAddress, walk: Round, desk: Desk) -> None:
    total, done = len(walk.anodes), len(walk.done)
    skipped = f", {len(walk.skipped)} skipped" if walk.skipped else ""
    since = formatting.moment(address.began, desk.logbook.settings.timezone)
    if total:
        st.progress(done / total, text=f"{done} of {total} done{skipped}; begun {since}")


def _anode(
    book: Book, folder: Path, desk: Desk, by: str, address: RoundAddress, walk: Round,
    anode: RoundAnode,
) -> None:  # fmt: skip
    _turn(book, desk, address, anode)
    at = f" ({formatting.plain(anode.berth)})" if anode.berth else ""
    st.markdown(f"### {formatting.plain(anode.hull_id)} {formatting.plain(anode.position)}{at}")
    name = book.name
    fields = Fields(f"{book.form}_reading", desk, kept_forms.kept_form(name))
    looked = _place(desk, anode)
    st.caption(form.facts(looked, fields.unit, fields))
    way = fields.choice("way", "How", form_fields.WAYS, "caliper")
    about = {"hull_id": anode.hull_id, "position": anode.position, "way": way}
    fields.filled |= about
    form.take(book, folder, desk, by, fields, "reading", looked, name)
    _skip(book, address, walk, anode)


def _place(desk: Desk, anode: RoundAnode) -> Place:
    return next(p for p in desk.places(anode.hull_id) if p.position == anode.position)


def _turn(book: Book, desk: Desk, address: RoundAddress, anode: RoundAnode) -> None:
    """Turn to the form of an anode: the first of its forms whose name no row has yet.

    A row under it may be struck out by now, or went to the neighbour when that was asked.
    """
    free = next(
        mark for mark in (address.form_of(anode, attempt) for attempt in count())
        if row_named(desk.logbook, "readings", book.name_of(mark)) is None
    )  # fmt: skip
    if free == book.form:
        book.written = False  # the answer was to write nothing: it is still this anode's turn
        return
    refused = book.refused
    book.next_form(free)
    if refused:  # in another tab it was this anode's turn too
        book.wrong = (f"Not written: {refused} Below is the form of the next anode.",)


def _skip(book: Book, address: RoundAddress, walk: Round, anode: RoundAnode) -> None:
    """Offer the reasons to pass over the anode, or the hull; none is written into the logs."""
    with st.expander("Skip it"):
        for why, told in SKIPS.items():
            anodes = walk.goes_with(anode, why)
            whole = anode.hull_id if len(anodes) > 1 else f"{anode.hull_id} {anode.position}"
            st.button(
                f"{formatting.label(whole)} {told}",
                on_click=_pass_over,
                args=(book, address.skipping(anodes, why)),
                key=f"skip_{why}_{book.form}",
                width="stretch",
            )


def _pass_over(book: Book, address: RoundAddress) -> None:
    book.said = ()
    _keep(address)


def _skipped(book: Book, address: RoundAddress, walk: Round, *, opened: bool) -> None:
    """List what was skipped and why, with the way back to it."""
    if not walk.skipped:
        return
    with st.expander(f"Skipped: {len(walk.skipped)}", expanded=opened):
        for hull_id, why, anodes in walk.skipped_hulls():
            positions = formatting.listed([anode.position for anode in anodes])
            st.markdown(
                f"**{formatting.plain(hull_id)}** {formatting.plain(positions)}: {SKIPS[why]}"
            )
            st.button(f"Go back to {formatting.label(hull_id)}: {formatting.label(positions)}",
                      on_click=_pass_over, args=(book, address.back_to(anodes)),
                      key=f"back_{hull_id}_{why}", width="stretch")  # fmt: skip


def _end(book: Book, address: RoundAddress, walk: Round, desk: Desk) -> None:
    at = formatting.plain(address.mooring_id)
    if not walk.anodes and address.listed == WEEK:
        st.info(f"Nothing needs measuring at {at} this week.")
        _every_anode(address, desk)
    elif not walk.anodes:
        st.info(f"No hull with an anode lies at {at}.")
    else:
        st.markdown(f"**The round at {at} is through.** {_counted(walk.anodes, walk)}")
    st.button("End the round", type="primary", on_click=_leave, args=(book,),
              kwargs={"over": True}, key="end_round", width="stretch")  # fmt: skip


def _counted(anodes: Sequence[RoundAnode], walk: Round) -> str:
    skipped = f" {len(walk.skipped)} not read: see below." if walk.skipped else ""
    return f"{len(walk.done)} of {len(anodes)} read.{skipped}"
