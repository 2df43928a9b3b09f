"""The track record, where it was worked out before, and working it out."""

from __future__ import annotations

import streamlit as st

from corrosion.forecast import Record, remembered, track_record
from pages._shared import session


def record(seen: session.View) -> Record | None:
    """Give the track record where it was worked out before for these logs, else None."""
    return remembered(seen.folder, None if seen.on is None else seen.on.isoformat())


def make_record(seen: session.View) -> None:
    """Work the track record out, with progress; it is kept on disk for `record`.

    Raises
    ------
    Refusal
        No four weeks of readings are on record.
    """
    bar = st.progress(0.0, "Reading the logs …")

    def tell(done: int, of: int) -> None:
        bar.progress(min(done / max(of, 1), 1.0), f"{done} of {of} past weeks")

    track_record(seen.folder, None if seen.on is None else seen.on.isoformat(), progress=tell)
    bar.empty()
