"""The hulls looked at, riskiest first, one line each."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from pages._shared import anode_cards, listing, widgets

SHOWN = 12


def show(hulls: pd.DataFrame, answer: Appraisal) -> None:
    """List some of the hulls, and let the reader turn to the others."""
    st.header("Riskiest first")
    start = _start(len(hulls))
    shown = hulls.iloc[start : start + SHOWN]
    day = formatting.last_day(answer.until, answer.logbook.settings.timezone, year=False)
    headings = ("Hull", f"Chance by {day}", "Metal left", "Pull by", "Last look")
    tolerated = formatting.chance(answer.logbook.settings.tolerated_risk)
    caption = (
        f"{start + 1} to {start + len(shown)} of {formatting.count(len(hulls), 'hull')}. High: "
        f"above the {tolerated} that this fleet tolerates. Press a row for the hull."
    )
    rows = [_row(hull, answer) for hull in shown.itertuples()]
    listing.show(headings, rows, "ranked", caption)
    widgets.download(hulls, "hulls", "Hulls as CSV")


def _start(hulls: int) -> int:
    """Ask which stretch of a long list to show; the address keeps it."""
    starts = range(0, hulls, SHOWN)
    if len(starts) < 2:
        return 0
    labels = {f"{start + 1} to {min(start + SHOWN, hulls)}": start for start in starts}
    chosen = st.selectbox("Rows", list(labels), key="rows", bind="query-params", width=200)
    return labels.get(chosen or "", 0)


def _row(hull: Any, answer: Appraisal) -> listing.Row:
    settings = answer.logbook.settings
    if pd.isna(hull.risk):
        return listing.Row(
            (
                listing.strong(hull.hull_id, hull.mooring_id or "berth not known"),
                listing.chance(hull.risk, settings.tolerated_risk),
                "",
                listing.unbroken("not known"),
                listing.text(hull.why),
            ),
            opens=hull.hull_id,
        )
    where = widgets.where(hull)
    look = anode_cards.last_seen(hull, settings.length_unit)
    read = formatting.day(hull.last_read_at, settings.timezone)
    limit = formatting.size(hull.limit_size_mm, settings.length_unit)
    return listing.Row(
        (
            listing.strong(f"{hull.rank:.0f}. {hull.hull_id}", where),
            listing.chance(hull.risk, settings.tolerated_risk),
            listing.metal(hull),
            listing.unbroken(widgets.pull_by(hull, answer)),
            listing.strong(f"{hull.position}: {look}", f"{read}; limit {limit}"),
        ),
        opens=hull.hull_id,
    )
