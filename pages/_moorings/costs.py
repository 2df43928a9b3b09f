"""What anode work has cost at each mooring, as far as the logs say."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.comparison import FEWEST_HULLS
from corrosion.forecast import Appraisal
from corrosion.workshop import EVERYWHERE, Costs
from pages._shared import cached_answers, listing, widgets
from pages._shared.session import View


def show(seen: View, answer: Appraisal, names: dict[str, str]) -> None:
    """Say what a hull-season and a hire hour cost at each mooring with enough hulls."""
    costs = cached_answers.costs(seen)
    currency = answer.logbook.settings.currency
    table = costs.table[
        (costs.table["hulls"] >= FEWEST_HULLS) | (costs.table["mooring_id"] == EVERYWHERE)
    ]
    if table["hulls"].max() < FEWEST_HULLS:
        return
    st.header("What anode work cost")
    st.markdown(_answer(table, names, currency))
    listing.show(
        ("Mooring", "A hull-season", "A hire hour", "Parts", "Work", "Looks", "Lost hire"),
        [_row(row, names) for row in table.itertuples()],
        "costs",
        _caption(costs, answer, currency),
    )
    for line in costs.not_known:
        st.caption(f"Not in the sums: {formatting.plain(line)}")
    st.caption(
        "As it happened, not adjusted: a mooring whose hulls run more costs more. What late anodes "
        "damaged is not in it."
    )
    widgets.flushing_beside(cached_answers.flushing_done(seen), answer)
    widgets.download(table, "costs", "Costs as CSV")


def _answer(table: pd.DataFrame, names: dict[str, str], currency: str) -> str:
    """Say in one sentence where a hire hour costs most and least."""
    known = table[table["per_hire_hour"].notna() & (table["mooring_id"] != EVERYWHERE)]
    known = known.sort_values("per_hire_hour", ascending=False)
    if table["total"].isna().all():
        return "Not known: nothing that was done has a price."
    if len(known) < 2:
        return ""
    dear, cheap = known.iloc[0], known.iloc[-1]
    most = formatting.plain(formatting.price(dear.per_hire_hour, currency))
    least = formatting.number(cheap.per_hire_hour)
    return (
        f"**A hire hour cost most at {formatting.plain(names[dear.mooring_id])}: {most} of anode "
        f"work, against {least} at {formatting.plain(names[cheap.mooring_id])}.**"
    )


def _caption(costs: Costs, answer: Appraisal, currency: str) -> str:
    zone = answer.logbook.settings.timezone
    unit = f"In {currency}. " if currency else ""
    return f"{unit}{formatting.day(costs.first, zone)} to {formatting.day(costs.last, zone)}."


def _row(row: Any, names: dict[str, str]) -> listing.Row:
    who = f"{formatting.count(row.hulls, 'hull')}, {formatting.count(row.changes, 'change')}"
    name = "All moorings" if row.mooring_id == EVERYWHERE else names[row.mooring_id]
    return listing.Row(
        (
            listing.strong(name, who),
            listing.strong(formatting.number(row.per_hull_season)),
            listing.strong(formatting.number(row.per_hire_hour)),
            *(listing.text(formatting.number(v)) for v in (row.parts, row.labour, row.looking)),
            listing.text(formatting.number(row.lost_hire)),
        )
    )
