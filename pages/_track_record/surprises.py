"""The looks that found what had been given less than the tolerated chance."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal, Record
from pages._shared import listing, widgets

SHOWN = 20


def show(record: Record, answer: Appraisal) -> None:
    """List the latest surprises, each with what was known on the day."""
    st.header("What came as a surprise")
    table = record.misses
    if table.empty:
        st.markdown("None: no look found what had been given less than the tolerated chance.")
        return
    rows = [_row(row, answer) for row in table[:SHOWN].itertuples()]
    caption = (
        f"{min(len(table), SHOWN)} of {len(table)}. What the program knew on the day of the "
        "last forecast at least three days before the look. Press a row for the hull."
    )
    headings = ("Anode", "What happened", "Said", "Known that day", "Found")
    listing.show(headings, rows, "misses", caption)
    widgets.download(table, "surprises", "Surprises as CSV")


def _row(row: Any, answer: Appraisal) -> listing.Row:
    zone = answer.logbook.settings.timezone
    reading = "by eye" if pd.isna(row.next_worn) else formatting.worn(row.next_worn)
    return listing.Row(
        (
            listing.strong(f"{row.hull_id} {row.position}", row.mooring_id),
            listing.text(row.what),
            listing.strong(formatting.chance(row.chance), f"on {formatting.day(row.week, zone)}"),
            listing.strong(
                f"worn {formatting.worn(row.worn_then)} by estimate",
                f"{formatting.worn(row.last_worn)} on {formatting.day(row.last_read_at, zone)}",
            ),
            listing.strong(reading, formatting.day(row.next_at, zone)),
        ),
        opens=row.hull_id,
    )
