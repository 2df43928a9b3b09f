"""What the looks changed: one sentence, and the counts folded."""

from __future__ import annotations

import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Record, looks_in_one_line
from pages._shared import listing


def show(record: Record) -> None:
    """Say how often a look changed what was done."""
    table = record.looks
    line = looks_in_one_line(table)
    if not line:
        return
    st.markdown(f"**Looks between two forecasts:** {line}.")
    with st.expander("What became of the looks"):
        rows = [
            listing.Row(
                (
                    listing.text(f"{row.what[0].upper()}{row.what[1:]}"),
                    listing.strong(str(row.looks), f"{formatting.number(100 * row.share)} %"),
                )
            )
            for row in table.itertuples()
        ]
        caption = (
            "Each look stands between the last forecast before it and the first within two weeks "
            "after it. Due: past the tolerated risk within two weeks. Looks that change nothing "
            "still guard against strays; the page Looks says what each is worth."
        )
        listing.show(("The look", "Looks"), rows, "looks_changed", caption)
