"""The entries written down last, each with the way to correct it."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.data_entry import Desk, entries_of, recent
from pages._shared.caching import written_once

STANDING = {"corrected": "✎ corrected later", "voided": "✕ struck out"}
SHOWN = 6


def show(desk: Desk, *, can_write: bool) -> None:
    """List them, newest first; what was struck out stays in sight."""
    st.subheader("Written down last")
    entries = written_once((desk.checked,), "recent", write=lambda: recent(desk.logbook, SHOWN))
    if entries.empty:
        st.markdown("Nothing yet: no row says when it was written.")
        return
    for entry in entries.itertuples():
        _entry(entry, desk, can_write=can_write)


def _entry(entry: Any, desk: Desk, *, can_write: bool) -> None:
    zone = desk.logbook.settings.timezone
    name = f"**{formatting.plain(entry.hull_id)}** " if entry.hull_id else ""
    standing = STANDING.get(entry.standing, "")
    with st.container(horizontal=True, vertical_alignment="center", gap="small"):
        st.markdown(
            f"{name}{formatting.plain(entry.what)}{f' · {standing}' if standing else ''}  \n"
            f":small[{formatting.plain(formatting.moment(entry.at, zone))}; written "
            f"{formatting.plain(formatting.moment(entry.entered_at, zone))}, "
            f"{formatting.plain(entry.entered_by)}]",
            width="stretch",
        )
        if can_write and entry.standing == "stands":
            buttons(entry.log, entry.name)


def buttons(log: str, name: str, at: str = "") -> None:
    """Offer the two ways to amend a row; `at` tells apart two lists with the same row."""
    key = f"{at}_{log}_{name}"
    with st.container(horizontal=True, width="content", gap="small"):
        st.button("Correct", key=f"fix{key}", on_click=open_row, args=(log, name))
        st.button("Strike out", key=f"strike{key}", on_click=open_row, args=(log, name, True))


def older(desk: Desk, hull_id: str) -> None:
    """Offer any entry about a hull for a correction, the latest first."""
    with st.expander("Correct an older entry"):
        entries = _of(hull_id, desk) if hull_id else None
        if entries is None or entries.empty:
            st.markdown("Choose a hull that something is written about.")
            return
        zone = desk.logbook.settings.timezone
        lines = [f"{formatting.moment(e.at, zone)}: {e.what}" for e in entries.itertuples()]
        at = st.selectbox(
            f"What was written about {formatting.plain(hull_id)}",
            range(len(lines)),
            index=None,
            format_func=lambda number: lines[number],
            key=f"older_{hull_id}",
        )
        if st.button("Open it", disabled=at is None, key="open_older"):
            row = entries.iloc[int(at or 0)]
            open_row(row["log"], row["name"])
            st.rerun()


def _of(hull_id: str, desk: Desk) -> pd.DataFrame:
    return written_once(
        (desk.checked,), "entries", hull_id, write=lambda: entries_of(desk.logbook, hull_id)
    )


def open_row(log: str, name: str, strike: bool = False) -> None:
    """Open the correction form on a row, in the address too; or the form that strikes it out."""
    st.query_params["correct"] = f"{log}/{name}"
    st.session_state["strike"] = strike
