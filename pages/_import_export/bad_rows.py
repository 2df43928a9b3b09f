"""Say of a file how many of its rows are taken, and of each other one its line, hull and why."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.data_entry import Desk, objections_to_file
from corrosion.records import Imported, Proposal
from pages._shared import widgets

NAMED = 8
"""So many rows are named one by one; the rest lie in the file of those set aside."""


def show(proposal: Proposal, trial: Imported, desk: Desk, key: str) -> None:
    """Count the rows, then name those that are not taken and those that would not be believed."""
    st.markdown(
        f"**{formatting.count(trial.taken, 'row')} would be taken**, {trial.already} are in the "
        f"log already, {len(trial.aside)} are set aside with a reason."
    )
    if len(trial.aside):
        _name_those_set_aside(proposal, trial.aside)
        st.caption("Mend them in that file and import it again; what is in already adds nothing.")
        widgets.download(trial.aside, f"{key}_rows_set_aside", "Rows set aside as CSV")
    if trial.taken:
        _name_doubts(proposal, desk)


def _name_those_set_aside(proposal: Proposal, aside: pd.DataFrame) -> None:
    lines = pd.Series(proposal.raw.lines)
    places = [int(np.flatnonzero(lines == line)[0]) for line in aside["line"][:NAMED]]
    named = [
        f"- {_row(proposal, place)}: {formatting.plain(reason)}"
        for place, reason in zip(places, aside["reason"], strict=False)
    ]
    more = len(aside) - len(named)
    named += [f"- and {more} more, in the file below"] if more else []
    st.markdown("\n".join(named))


def _name_doubts(proposal: Proposal, desk: Desk) -> None:
    """Say before they are taken which of the rows would not be believed."""
    sound = np.flatnonzero([not reason for reason in proposal.reasons])
    doubts = objections_to_file(desk, proposal.log, proposal.rows.iloc[sound])
    if doubts.empty:
        return
    named = [
        f"- {formatting.count(row.rows, 'row')}, {row.rule} ({row.severity}): "
        f"{_rows(proposal, sound[list(row.at)])}. {formatting.plain(row.what_to_do)}"
        for row in doubts.itertuples()
    ]
    st.warning(
        "Some of these rows would not be believed; mend them in the file, or later in the log "
        "check, where the row itself is shown:\n\n" + "\n".join(named)
    )


def _rows(proposal: Proposal, places: Sequence[int]) -> str:
    shown = "; ".join(_row(proposal, place) for place in places[:3])
    return shown + (f"; and {len(places) - 3} more" if len(places) > 3 else "")


def _row(proposal: Proposal, place: int) -> str:
    """A row as whoever keeps the file finds it: its line, and the hull or mooring it is about."""
    cells = proposal.rows.iloc[place]
    about = [cells[key] for key in ("hull_id", "mooring_id") if key in cells]
    named = next((str(name) for name in about if not pd.isna(name)), "")
    line = f"line {proposal.raw.lines[place]}"
    return f"{line}, {formatting.plain(named)}" if named else line
