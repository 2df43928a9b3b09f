"""The weeks ahead: how many hulls each brings to a limit, and which."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.reports import EVERYWHERE, FleetTable, charts
from pages._fleet.choice import spread
from pages._shared import cached_answers, listing, session, widgets
from pages._shared.session import View

IN_PICTURE = 8


def show(seen: View, fleet: FleetTable, chosen: pd.DataFrame, answer: Appraisal) -> None:
    """Count hulls at a limit by mooring and week, then draw the riskiest of those looked at."""
    if fleet.expected.empty:
        return
    st.header("The weeks ahead, if nobody acts")
    _counts(fleet, answer)
    hulls = tuple(chosen.loc[chosen["risk"].notna(), "hull_id"].iloc[:IN_PICTURE])
    shown = fleet.weeks[fleet.weeks["hull_id"].isin(hulls)]
    if shown.empty:
        return
    widgets.picture(
        cached_answers.picture(
            seen, "fleet", hulls, draw=lambda: charts.fleet_ahead(shown, dark=session.is_dark())
        ),
        "ahead",
        f"The {len(hulls)} riskiest of the hulls chosen by weeks ahead; each cell says the chance "
        "that an anode reaches its limit by then. The file has every hull.",
    )
    st.caption(
        "Chance that at least one anode of the hull reaches its limit by the date on top. "
        "Blank: under 1 in 50."
    )
    widgets.download(fleet.weeks, "weeks_ahead", "Weeks ahead as CSV")


def _counts(fleet: FleetTable, answer: Appraisal) -> None:
    zone = answer.logbook.settings.timezone
    table = fleet.expected
    days = [formatting.day(by, zone, year=False) for by in table["by"].unique()]
    rows = []
    for mooring, own in table.groupby("mooring_id", sort=False):
        name = "All" if mooring == EVERYWHERE else str(mooring)
        counts = [listing.text(spread(row.low, row.high)) for row in own.itertuples()]
        hulls = formatting.count(int(own["hulls"].iloc[0]), "hull")
        rows.append(listing.Row((listing.strong(name, hulls), *counts)))
    headings = ("Mooring", *(f"by {day}" for day in days))
    caption = "How many hulls have an anode at its limit by then; 8 times in 10 inside the range."
    listing.show(headings, rows, "expected", caption)
