"""Lists of hulls: hired out by decision, with their chances, not judged."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from pages._shared import listing, widgets


def hired_out(reasons: dict[str, str]) -> None:
    """Name the hulls hired out past their pull-by, with the reason that was given."""
    for hull_id, reason in reasons.items():
        sentence = f"{formatting.plain(hull_id)} is hired out past its pull-by"
        st.markdown(f"**▲ {sentence}** by decision: {formatting.plain(reason)}")


def hull_list(hulls: pd.DataFrame, answer: Appraisal, key: str, caption: str) -> None:
    """List hulls with their chance, pull-by, worst anode and why."""
    day = formatting.last_day(answer.until, answer.logbook.settings.timezone, year=False)
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


def _hull_row(hull: Any, answer: Appraisal) -> listing.Row:
    settings = answer.logbook.settings
    return listing.Row(
        (
            listing.strong(f"{hull.rank}. {hull.hull_id}", widgets.where(hull)),
            listing.chance(hull.risk, settings.tolerated_risk),
            listing.unbroken(widgets.pull_by(hull, answer)),
            listing.strong(hull.worst_position, f"worn {formatting.worn(hull.worn)}"),
            listing.text(hull.why),
        ),
        opens=hull.hull_id,
    )
