"""The lists of the week: past their limit, ranked, odd, not judged."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion import words
from corrosion.appraisal import Appraisal
from corrosion.headline import next_hires
from pages import _anodes, _listing, _parts

SHOWN = 20


def past_limit(past: pd.DataFrame, answer: Appraisal, hired_out: dict[str, str]) -> None:
    """Name the anodes at or past their limit, and the hulls hired out past their pull-by."""
    st.subheader("At or past a limit now")
    for hull_id, reason in hired_out.items():
        said = f"{words.plain(hull_id)} is hired out past its pull-by"
        st.markdown(f"**▲ {said}** by decision: {words.plain(reason)}")
    if past.empty:
        st.markdown("None that is known.")
        return
    hires = next_hires(answer.checked.bookings, answer.forecast.on)
    _listing.show(
        ("Hull", "Anode", "Worn now", "Last look", "Next hire"),
        [
            _past_row(anode, hires.get(anode.hull_id), anode.hull_id in hired_out, answer)
            for anode in past.itertuples()
        ],
        "past",
        "Change these before the next hire. Press a row for the hull.",
    )
    _parts.cautions_in_short()


def ranked(answer: Appraisal) -> None:
    """List every judged hull, riskiest first."""
    hulls, settings = answer.forecast.hulls, answer.logbook.settings
    if hulls.empty:
        return
    st.subheader("Hulls, riskiest first")
    every = len(hulls) <= SHOWN or st.toggle(f"All {len(hulls)} hulls in the list", key="all_rows")
    shown = hulls if every else hulls[:SHOWN]
    caption = (
        f"{len(shown)} of {words.count(len(hulls), 'hull')}. High: above the "
        f"{words.chance(settings.tolerated_risk)} that this fleet tolerates. "
        "Press a row for the hull."
    )
    hull_list(shown, answer, "ranked", caption)
    _parts.download(hulls, "hulls", "Hulls as CSV")


def hull_list(hulls: pd.DataFrame, answer: Appraisal, key: str, caption: str) -> None:
    """List hulls with their chance, pull-by, worst anode and why."""
    by = answer.forecast.on + pd.Timedelta(days=answer.forecast.days)
    day = words.day(by, answer.logbook.settings.timezone, year=False)
    headings = ("Hull", f"Chance by {day}", "Pull by", "Worst anode", "Why")
    _listing.show(headings, [_hull_row(hull, answer) for hull in hulls.itertuples()], key, caption)


def not_judged(answer: Appraisal) -> None:
    """List the hulls without a forecast, and why."""
    table = answer.forecast.not_judged
    if table.empty:
        return
    st.subheader("Hulls that cannot be judged")
    rows = [
        _listing.Row((_listing.strong(row.hull_id), _listing.text(row.reason)), opens=row.hull_id)
        for row in table.itertuples()
    ]
    _listing.show(("Hull", "Why not"), rows, "not_judged", "Not known is not safe: look at these.")
    _parts.download(table, "not_judged", "Hulls not judged as CSV")


def _past_row(
    anode: Any, hire: pd.Timestamp | None, decided: bool, answer: Appraisal
) -> _listing.Row:
    settings = answer.logbook.settings
    return _listing.Row(
        (
            _listing.strong(anode.hull_id, anode.mooring_id or "berth not known"),
            _listing.strong(anode.position, f"{anode.circuit} circuit"),
            _listing.strong(words.worn(anode.worn), f"range: {_anodes.worn_range(anode)}"),
            _listing.strong(
                _anodes.last_seen(anode, settings.length_unit),
                f"{words.day(anode.last_read_at, settings.timezone)}; "
                f"limit {words.size(anode.limit_size_mm, settings.length_unit)}",
            ),
            _listing.strong(_hire(hire, answer), "hired out by decision" if decided else ""),
        ),
        opens=anode.hull_id,
    )


def _hire(starts: pd.Timestamp | None, answer: Appraisal) -> str:
    if starts is None:
        return "none booked"
    zone = answer.logbook.settings.timezone
    out = "out now, since " if starts <= answer.forecast.on else ""
    return f"{out}{words.moment(starts, zone)}"


def _hull_row(hull: Any, answer: Appraisal) -> _listing.Row:
    settings = answer.logbook.settings
    return _listing.Row(
        (
            _listing.strong(f"{hull.rank}. {hull.hull_id}", hull.mooring_id or "berth not known"),
            _listing.chance(hull.risk, settings.tolerated_risk),
            _listing.unbroken(_parts.pull_by(hull, answer)),
            _listing.strong(hull.worst_position, f"worn {words.worn(hull.worn)}"),
            _listing.text(hull.why),
        ),
        opens=hull.hull_id,
    )
