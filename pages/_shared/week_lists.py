"""The lists of the week: past their limit, ranked, odd, not judged."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.reports import next_hires
from pages._shared import anode_cards, listing, widgets

SHOWN = 20


def past_limit(past: pd.DataFrame, answer: Appraisal, hired_out: dict[str, str]) -> None:
    """Name the anodes at or past their limit, and the hulls hired out past their pull-by."""
    st.header("At or past a limit now")
    for hull_id, reason in hired_out.items():
        said = f"{formatting.plain(hull_id)} is hired out past its pull-by"
        st.markdown(f"**▲ {said}** by decision: {formatting.plain(reason)}")
    if past.empty:
        st.markdown("None that is known.")
        return
    hires = next_hires(answer.checked.bookings, answer.forecast.on)
    listing.show(
        ("Hull", "Anode", "Worn now", "Last look", "Next hire"),
        [
            _past_row(anode, hires.get(anode.hull_id), anode.hull_id in hired_out, answer)
            for anode in past.itertuples()
        ],
        "past",
        "Change these before the next hire. Press a row for the hull.",
    )
    widgets.cautions_in_short()


def ranked(answer: Appraisal) -> None:
    """List every judged hull, riskiest first."""
    hulls, settings = answer.forecast.hulls, answer.logbook.settings
    if hulls.empty:
        return
    st.header("Hulls, riskiest first")
    every = len(hulls) <= SHOWN or st.toggle(f"All {len(hulls)} hulls in the list", key="all_rows")
    shown = hulls if every else hulls[:SHOWN]
    caption = (
        f"{len(shown)} of {formatting.count(len(hulls), 'hull')}. High: above the "
        f"{formatting.chance(settings.tolerated_risk)} that this fleet tolerates. "
        "Press a row for the hull."
    )
    hull_list(shown, answer, "ranked", caption)
    widgets.download(hulls, "hulls", "Hulls as CSV")


def hull_list(hulls: pd.DataFrame, answer: Appraisal, key: str, caption: str) -> None:
    """List hulls with their chance, pull-by, worst anode and why."""
    day = formatting.day(answer.until, answer.logbook.settings.timezone, year=False)
    headings = ("Hull", f"Chance by {day}", "Pull by", "Worst anode", "Why")
    listing.show(headings, [_hull_row(hull, answer) for hull in hulls.itertuples()], key, caption)


def not_judged(answer: Appraisal) -> None:
    """List the hulls without a forecast, and why."""
    table = answer.forecast.not_judged
    if table.empty:
        return
    st.header("Hulls that cannot be judged")
    rows = [
        listing.Row((listing.strong(row.hull_id), listing.text(row.reason)), opens=row.hull_id)
        for row in table.itertuples()
    ]
    listing.show(("Hull", "Why not"), rows, "not_judged", "Not known is not safe: look at these.")
    widgets.download(table, "not_judged", "Hulls not judged as CSV")


def _past_row(
    anode: Any, hire: pd.Timestamp | None, decided: bool, answer: Appraisal
) -> listing.Row:
    settings = answer.logbook.settings
    return listing.Row(
        (
            listing.strong(anode.hull_id, anode.mooring_id or "berth not known"),
            listing.strong(anode.position, f"{anode.circuit} circuit"),
            listing.strong(formatting.worn(anode.worn), f"range: {anode_cards.worn_range(anode)}"),
            listing.strong(
                anode_cards.last_seen(anode, settings.length_unit),
                f"{formatting.day(anode.last_read_at, settings.timezone)}; "
                f"limit {formatting.size(anode.limit_size_mm, settings.length_unit)}",
            ),
            listing.strong(_hire(hire, answer), "hired out by decision" if decided else ""),
        ),
        opens=anode.hull_id,
    )


def _hire(starts: pd.Timestamp | None, answer: Appraisal) -> str:
    if starts is None:
        return "none booked"
    zone = answer.logbook.settings.timezone
    out = "out now, since " if starts <= answer.forecast.on else ""
    return f"{out}{formatting.moment(starts, zone)}"


def _hull_row(hull: Any, answer: Appraisal) -> listing.Row:
    settings = answer.logbook.settings
    return listing.Row(
        (
            listing.strong(f"{hull.rank}. {hull.hull_id}", hull.mooring_id or "berth not known"),
            listing.chance(hull.risk, settings.tolerated_risk),
            listing.unbroken(widgets.pull_by(hull, answer)),
            listing.strong(hull.worst_position, f"worn {formatting.worn(hull.worn)}"),
            listing.text(hull.why),
        ),
        opens=hull.hull_id,
    )
