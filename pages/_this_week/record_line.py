"""How past forecasts did, in a line, where the week is read."""

from __future__ import annotations

from contextlib import suppress

import streamlit as st
from streamlit.errors import StreamlitPageNotFoundError

from corrosion.common import formatting
from corrosion.forecast import in_one_line
from pages._shared import past_forecasts
from pages._shared.session import View


def show(seen: View) -> None:
    """Say the track record in one line; where it was never worked out, offer the page."""
    record = past_forecasts.record(seen)
    line = "" if record is None else in_one_line(record.reliability)
    if line:
        st.markdown(f"How past forecasts did: {formatting.plain(line)}.")
    if record is not None and record.widening.factor > 1.0:
        st.warning(
            "The track record shows ranges that were too narrow, so the forecasts on these pages "
            f"are widened by {formatting.number(record.widening.factor)} times; the commands "
            "are where they are asked with --widened."
        )


def link() -> None:
    """Lead to the track record."""
    with suppress(StreamlitPageNotFoundError):  # opened past the front door, which lists the pages
        st.page_link("pages/track_record.py", label="How often was the forecast right?")
