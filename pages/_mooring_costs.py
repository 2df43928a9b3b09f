"""What anode work has cost at each mooring, as far as the logs say."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion import words
from corrosion.appraisal import Appraisal
from corrosion.costs import EVERYWHERE, Costs
from corrosion.moorings import FEWEST_HULLS
from pages import _ask, _listing, _parts
from pages._seen import View


def show(seen: View, answer: Appraisal, names: dict[str, str]) -> None:
    """Say what a hull-season and a hire hour cost at each mooring with enough hulls."""
    found = _ask.costs(seen)
    currency = answer.logbook.settings.currency
    table = found.table[
        (found.table["hulls"] >= FEWEST_HULLS) | (found.table["mooring_id"] == EVERYWHERE)
    ]
    if table["hulls"].max() < FEWEST_HULLS:
        return
    st.subheader("What anode work cost")
    st.markdown(_answer(table, names, currency))
    _listing.show(
        ("Mooring", "A hull-season", "A hire hour", "Parts", "Work", "Looks", "Lost hire"),
        [_row(row, names) for row in table.itertuples()],
        "costs",
        _caption(found, answer, currency),
    )
    for line in found.not_known:
        st.caption(f"Not in the sums: {words.plain(line)}")
    st.caption(
        "As it happened, not adjusted: a mooring whose hulls run more costs more. Flushing itself "
        "and what late anodes damaged are not in it."
    )
    _parts.download(table, "costs", "Costs as CSV")


def _answer(table: pd.DataFrame, names: dict[str, str], currency: str) -> str:
    """Say in one sentence where a hire hour costs most and least."""
    known = table[table["per_hire_hour"].notna() & (table["mooring_id"] != EVERYWHERE)]
    known = known.sort_values("per_hire_hour", ascending=False)
    if table["total"].isna().all():
        return "Not known: no part, wage or hire has a price in the logs."
    if len(known) < 2:
        return ""
    dear, cheap = known.iloc[0], known.iloc[-1]
    return (
        f"**A hire hour cost most at {words.plain(names[dear.mooring_id])}: "
        f"{_money(dear.per_hire_hour)} {currency} of anode work, against "
        f"{_money(cheap.per_hire_hour)} at {words.plain(names[cheap.mooring_id])}.**"
    )


def _caption(found: Costs, answer: Appraisal, currency: str) -> str:
    zone = answer.logbook.settings.timezone
    unit = f"In {currency}. " if currency else ""
    return f"{unit}{words.day(found.first, zone)} to {words.day(found.last, zone)}."


def _row(row: Any, names: dict[str, str]) -> _listing.Row:
    who = f"{words.count(row.hulls, 'hull')}, {words.count(row.changes, 'change')}"
    name = "All moorings" if row.mooring_id == EVERYWHERE else names[row.mooring_id]
    return _listing.Row(
        (
            _listing.strong(name, who),
            _listing.strong(_money(row.per_hull_season)),
            _listing.strong(_money(row.per_hire_hour)),
            *(_listing.text(_money(v)) for v in (row.parts, row.labour, row.looking)),
            _listing.text(_money(row.lost_hire)),
        )
    )


def _money(amount: float) -> str:
    return "not known" if pd.isna(amount) else words.number(amount)
