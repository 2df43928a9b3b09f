"""The sums behind the week's plan: each anode of a hull that comes out, and the whole."""

from __future__ import annotations

from typing import Any

import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.reports import PlannedWeek
from pages._shared import listing, widgets
from pages._shared.caching import written_once


def show(planned: PlannedWeek, answer: Appraisal) -> None:
    """Show the sums behind the plan: neighbours, and what it costs."""
    plan = planned.plan
    currency = answer.logbook.settings.currency
    with st.expander("Neighbours: replace now, or leave; what the plan costs; if a lift is out"):
        sums = written_once((planned, answer), "sums", write=lambda: _sums(planned, answer))
        listing.press(sums, "neighbours")
        costs = zip(plan.costs["item"], plan.costs["amount"], strict=True)
        amounts = {item: formatting.price(amount, currency) for item, amount in costs}
        listing.facts(amounts, "costs")
        _lift_out(planned, answer)
        for line in plan.assumed:
            st.caption(f"Taken for granted: {formatting.plain(line)}")
        widgets.download(plan.neighbours, "neighbours", "Neighbours as CSV")


def _sums(planned: PlannedWeek, answer: Appraisal) -> str:
    """Write what replacing each neighbour of this week's hulls costs and saves."""
    neighbours, currency = planned.plan.neighbours, answer.logbook.settings.currency
    out = neighbours["hull_id"].isin(planned.pulls["hull_id"])
    rows = [_neighbour(row, answer) for row in neighbours[out].itertuples()]
    headings = ("Hull and anode", "Choice", "Part", "Life thrown away", "Visit saved", "Net")
    caption = (
        f"Sums in {currency or 'the fleet’s currency'}, for the hulls of this week. Net: what "
        "replacing it at this visit saves over leaving it."
    )
    return listing.written(headings, rows, caption)


def _lift_out(planned: PlannedWeek, answer: Appraisal) -> None:
    """Say, mooring by mooring, what it costs if nothing can be hauled there all week."""
    for mooring, own in planned.pulls.groupby("mooring_id"):
        hulls = formatting.count(len(own), "hull")
        later = f"{hulls} a week later" if len(own) == 1 else f"{hulls}, each a week later"
        cost = max(float(own["slip_cost"].sum()), 0.0)
        money = formatting.plain(formatting.price(cost, answer.logbook.settings.currency))
        st.markdown(
            f"If the lift at {formatting.plain(mooring)} is out all week: {later}, {money} more, "
            "as far as a bay is free for them then. Stops stay."
        )


def _neighbour(row: Any, answer: Appraisal) -> listing.Row:
    zone = answer.logbook.settings.timezone
    due = formatting.deadline(row.due, answer.forecast.on, zone)
    return listing.Row(
        (
            listing.strong(f"{row.hull_id} · {row.position}", f"due by itself: {due}"),
            listing.strong("replace now" if row.choice == "replace" else "leave", row.because),
            *(
                listing.text(formatting.number(amount))
                for amount in (row.part_cost, row.life_thrown_away, row.visit_saved, row.net)
            ),
        )
    )
