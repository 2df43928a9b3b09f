"""Every anode of a hull: what is left of it, in words and as a picture."""

from __future__ import annotations

from typing import Any

import pandas as pd
import plotly.graph_objects as go
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.reports import Dossier, charts
from pages._shared import cached_answers, inspections, listing, session, widgets
from pages._shared.session import View

FLAGS = {
    "past-limit": "■ past its limit: change it",
    "not-wearing": "◆ not wearing where it should: an alarm, look at bond, paint and crust",
    "wearing-fast": "▲ wears faster than its sisters: have the berth tested by a qualified marine "
    "electrician",
    "grew": "? the last reading grew: a new part, crust or a mix-up; measure again",
    "unread": "? not read for long: measure it",
}
CLOCKS = {
    "running": "engine hours",
    "unflushed": "salty hours after shut-down",
    "afloat": "hours afloat",
}


def show(hull: Dossier, seen: View, answer: Appraisal) -> None:
    """List the anodes, riskiest first, then draw each."""
    st.subheader("Anodes, riskiest first")
    rows = [_row(anode, answer) for anode in hull.anodes.itertuples()]
    headings = ("Anode", "Days left", "Chance", "Worn", "Last measured", "Driven by")
    listing.show(headings, rows, "anodes", "Days left: 8 times in 10 inside the range.")
    widgets.download(hull.anodes, f"anodes_{hull.hull_id}", "Anodes as CSV")
    for anode in hull.anodes.itertuples():
        _show(anode, hull, seen, answer)
    st.caption(
        "● caliper reading with its 80 % error, ◇ by eye, × doubtful. Dotted: most likely way "
        "ahead; band: 8 times in 10 inside. Dashed: limit, replace at or below. Follow the limit "
        "in the part's manual where it differs."
    )


def _row(anode: Any, answer: Appraisal) -> listing.Row:
    settings = answer.logbook.settings
    size = last_seen(anode, settings.length_unit)
    limit = formatting.size(anode.limit_size_mm, settings.length_unit)
    read = formatting.day(anode.last_read_at, settings.timezone)
    flag = FLAGS.get(anode.flag, "")
    return listing.Row(
        (
            listing.strong(anode.position, flag or f"{anode.circuit} circuit"),
            listing.strong(_left(anode), _by_when(anode, answer)),
            listing.chance(anode.risk, settings.tolerated_risk),
            listing.strong(formatting.worn(anode.worn), worn_range(anode)),
            listing.strong(size, f"{read}; limit {limit}"),
            listing.text(CLOCKS.get(anode.clock, "not known")),
        )
    )


def _by_when(anode: Any, answer: Appraisal) -> str:
    pull = f"pull by: {widgets.pull_by(anode, answer)}"
    return "; ".join(filter(None, [pull, inspections.of_anode(anode, answer)]))


def _left(anode: Any) -> str:
    return formatting.days_left(anode.days_left_10, anode.days_left_50, anode.days_left_90)


def last_seen(anode: Any, length_unit: str) -> str:
    """Say what the last look saw: a size, or a verdict where nothing was measured."""
    if pd.isna(anode.last_size_mm) and isinstance(anode.last_verdict, str):
        return f"seen: {anode.last_verdict}"
    if pd.isna(anode.last_size_mm) and not pd.isna(anode.last_worn):
        return f"by eye: worn {formatting.worn(anode.last_worn)}"
    return formatting.size(anode.last_size_mm, length_unit)


def worn_range(anode: Any) -> str:
    """Say the 80 % range of worn; one word when both ends read alike."""
    low, high = formatting.worn(anode.worn_low), formatting.worn(anode.worn_high)
    return low if low == high else f"{low} to {high}"


def _show(anode: Any, hull: Dossier, seen: View, answer: Appraisal) -> None:
    position, left = anode.position, _left(anode)
    st.markdown(f"**{formatting.plain(position)}** · {left}")
    widgets.picture(
        cached_answers.picture(
            seen, hull.hull_id, position, draw=lambda: _course(anode, hull, answer)
        ),
        f"course_{hull.hull_id}_{position}",
        f"{position} of {hull.hull_id}: {left}; size over time with its limit.",
    )


def _course(anode: Any, hull: Dossier, answer: Appraisal) -> go.Figure:
    settings = answer.logbook.settings
    looks, course, marks = (
        _local(table[table["position"] == anode.position], settings.timezone)
        for table in (hull.looks, hull.courses, hull.marks)
    )
    return charts.anode_course(
        looks,
        course,
        pd.concat([marks, _dates(anode, answer)], ignore_index=True),
        anode.limit_size_mm,
        anode.new_size_mm,
        length_unit=settings.length_unit,
        dark=session.is_dark(),
    )


def _dates(anode: Any, answer: Appraisal) -> pd.DataFrame:
    zone = answer.logbook.settings.timezone
    today = answer.forecast.on.tz_convert(zone).tz_localize(None)
    dates = pd.DataFrame({"at": [today], "label": ["as of"]})
    pull_by = pd.Timestamp(anode.pull_by)
    if pd.isna(pull_by) or pull_by <= today:
        return dates
    said = f"pull by {formatting.day(pull_by, zone, year=False)}"
    return pd.concat([dates, pd.DataFrame({"at": [pull_by], "label": [said]})], ignore_index=True)


def _local(table: pd.DataFrame, zone: Any) -> pd.DataFrame:
    """Show wall-clock time: pictures know no time zones."""
    return table.assign(at=table["at"].dt.tz_convert(zone).dt.tz_localize(None))
