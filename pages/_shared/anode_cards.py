"""Every anode of a hull: what is left of it, in words and as a picture."""

from __future__ import annotations

from typing import Any

import pandas as pd
import plotly.graph_objects as go
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal, crust_in_words
from corrosion.reports import Dossier, charts, metal_left
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


def picture(hull: Dossier, seen: View, answer: Appraisal) -> None:
    """Draw one anode's course, the riskiest unless another is chosen."""
    st.header("The course of an anode")
    positions = hull.anodes["position"].tolist()
    position, before = positions[0], False
    with st.container(horizontal=True, vertical_alignment="center"):
        if len(positions) > 1:
            position = st.segmented_control(
                "Anode", positions, default=positions[0], key=f"anode_{hull.hull_id}",
                required=True, format_func=formatting.label,
            )  # fmt: skip
        before = st.toggle("With lives before", key="before")
    anode = next(row for row in hull.anodes.itertuples() if row.position == position)
    _show(anode, hull, seen, answer, before=before)
    st.caption(
        "● caliper reading with its 80 % error, ◇ by eye, × doubtful. Line: the fitted course "
        "through the looks; dotted: since the last look, and the most likely way ahead; band: 8 "
        "times in 10 inside. Dashed: limit, replace at or below; the part's manual wins."
    )
    for sentence in crust_in_words(answer):
        st.caption(formatting.plain(sentence))


def show(hull: Dossier, seen: View, answer: Appraisal) -> None:
    """List the anodes, riskiest first."""
    st.header("Anodes, riskiest first")
    looks = inspections.of_hull(hull.hull_id, seen, answer)
    rows = [_row(row, looks.get(row.position, ""), answer) for row in hull.anodes.itertuples()]
    headings = ("Anode", "Days left", "Chance", "Metal left", "Last measured", "Driven by")
    caption = f"Days left: 8 times in 10 inside the range. {metal_left.KEY}"
    listing.show(headings, rows, "anodes", caption)
    widgets.download(hull.anodes, f"anodes_{hull.hull_id}", "Anodes as CSV")


def _row(anode: Any, look: str, answer: Appraisal) -> listing.Row:
    settings = answer.logbook.settings
    size = last_seen(anode, settings.length_unit)
    limit = formatting.size(anode.limit_size_mm, settings.length_unit)
    read = formatting.day(anode.last_read_at, settings.timezone)
    flag, pull = FLAGS.get(anode.flag, ""), f"pull by: {widgets.pull_by(anode, answer)}"
    return listing.Row(
        (
            listing.strong(anode.position, flag or f"{anode.circuit} circuit"),
            listing.strong(_left(anode), "; ".join(filter(None, [pull, look]))),
            listing.chance(anode.risk, settings.tolerated_risk),
            listing.metal(anode),
            listing.strong(size, f"{read}; limit {limit}"),
            listing.text(CLOCKS.get(anode.clock, "not known")),
        )
    )


def _left(anode: Any) -> str:
    return formatting.days_left(anode.days_left_10, anode.days_left_50, anode.days_left_90)


def last_seen(anode: Any, length_unit: str) -> str:
    """Say what the last look saw: a size, or a verdict where nothing was measured."""
    if pd.isna(anode.last_size_mm) and isinstance(anode.last_verdict, str):
        return f"seen: {anode.last_verdict}"
    if pd.isna(anode.last_size_mm) and not pd.isna(anode.last_worn):
        return f"by eye: worn {formatting.worn(anode.last_worn)}"
    return formatting.size(anode.last_size_mm, length_unit)


def _show(anode: Any, hull: Dossier, seen: View, answer: Appraisal, *, before: bool) -> None:
    position, left = anode.position, _left(anode)
    st.markdown(f"**{formatting.plain(position)}** · {left}")
    widgets.picture(
        cached_answers.picture(
            seen, hull.hull_id, position, before, draw=lambda: _course(anode, hull, answer, before)
        ),
        f"course_{hull.hull_id}_{position}",
        f"{position} of {hull.hull_id}: {left}; size over time with its limit.",
    )


def _course(anode: Any, hull: Dossier, answer: Appraisal, before: bool) -> go.Figure:
    settings = answer.logbook.settings
    looks, course, marks, past = (
        _local(table[table["position"] == anode.position], settings.timezone)
        for table in (hull.looks, hull.courses, hull.marks, hull.past)
    )
    if not before and len(past):
        looks = looks[looks["at"] >= past["at"].min()]
        marks = marks[marks["at"] >= past["at"].min()]
    return charts.anode_course(
        looks,
        course,
        pd.concat([marks, _dates(anode, answer)], ignore_index=True),
        anode.limit_size_mm,
        anode.new_size_mm,
        past=past,
        length_unit=settings.length_unit,
        dark=session.is_dark(),
    )


def _dates(anode: Any, answer: Appraisal) -> pd.DataFrame:
    zone = answer.logbook.settings.timezone
    today = answer.forecast.on.tz_convert(zone).tz_localize(None)
    dates = pd.DataFrame({"at": [today], "label": ["today"]})
    pull_by = pd.Timestamp(anode.pull_by)
    if pd.isna(pull_by) or pull_by <= today:
        return dates
    pull_by_text = f"pull by {formatting.day(pull_by, zone, year=False)}"
    return pd.concat(
        [dates, pd.DataFrame({"at": [pull_by], "label": [pull_by_text]})], ignore_index=True
    )


def _local(table: pd.DataFrame, zone: Any) -> pd.DataFrame:
    """Show wall-clock time: pictures know no time zones."""
    return table.assign(at=table["at"].dt.tz_convert(zone).dt.tz_localize(None))
