"""The price of looking, position by position."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.reports import charts
from corrosion.workshop import PriceOfLooking
from pages._shared import cached_answers, listing, session, widgets
from pages._shared.session import View


def show(seen: View, answer: Appraisal) -> None:
    """Draw the cost of one position against how often it is looked at; then all of them."""
    st.subheader("The price of looking")
    if not st.toggle("Work it out", key="price", help="Draws some lives; takes some seconds."):
        return
    prices, currency = cached_answers.look_prices(seen), answer.logbook.settings.currency
    if prices.places.empty:
        st.caption("Nothing can be said yet: no anode was ever looked at.")
        return
    names = [f"{row.position}, {row.mooring_id}" for row in prices.places.itertuples()]
    chosen = st.selectbox("Position and mooring", names, index=_dearest(prices), key="price_of")
    place = prices.places.iloc[names.index(chosen)]
    same = (prices.curve["position"] == place["position"]) & (
        prices.curve["mooring_id"] == place["mooring_id"]
    )
    widgets.picture(
        cached_answers.picture(
            seen, "price", chosen,
            draw=lambda: charts.price_of_looking(
                prices.curve[same], place, currency, dark=session.is_dark()
            ),
        ),
        "price_of_looking",
        f"Cost a year of one {chosen} against the days between two looks; the list says it too.",
    )  # fmt: skip
    st.markdown(_sentence(place, currency))
    st.caption(
        "Lives that wear as this fleet's do, replaced as the plan would with what the looks told. "
        "Strays, loose anodes and readings that went wrong are in no life drawn: the schedule's "
        "longest gaps and its sentinels guard against those, and are paid for in its line."
    )
    with st.expander("Every position"):
        rows = [_row(row, currency) for row in prices.places.to_dict("records")]
        listing.show(
            ("Position", "Lasts", "Your habit", "The schedule", "Saves a year", "A missed look"),
            rows, "prices", "Amounts a year and anode, but for what is saved: all of them.",
        )  # fmt: skip
        widgets.download(prices.curve, "price_of_looking", "Curves as CSV")


def _dearest(prices: PriceOfLooking) -> int:
    saves = prices.places["saves"].fillna(float("-inf"))
    return int(saves.to_numpy().argmax())


def _sentence(place: pd.Series, currency: str) -> str:
    if pd.isna(place["habit_days"]):
        return "Nobody looked at these in the last half year, so no habit can be priced."
    saves = float(place["saves"])
    money = formatting.price(abs(saves), currency)
    verb = "saves" if saves >= 0 else "costs"
    more = "" if saves >= 0 else " more"
    missed = formatting.price(float(place["missed"]), currency)
    return (
        f"Looked at every {formatting.number(place['habit_days'])} days, as of late; the schedule "
        f"{verb} {money}{more} a year on {formatting.count(int(place['anodes']), 'anode')}. "
        f"A look of the schedule that is left out costs about {missed}."
    )


def _row(row: dict[str, Any], currency: str) -> listing.Row:
    def money(value: float) -> str:
        return "not known" if pd.isna(value) else formatting.price(value, currency)

    habit = "nobody looked"
    if pd.notna(row["habit_days"]):
        habit = f"every {formatting.number(row['habit_days'])} days: {money(row['habit_cost'])}"
    looks = f"{formatting.number(row['schedule_looks'])} looks: {money(row['schedule_cost'])}"
    return listing.Row(
        (
            listing.strong(row["position"], row["mooring_id"]),
            listing.text(f"{formatting.number(row['life_days'])} days"),
            listing.text(habit),
            listing.text(looks),
            listing.text(money(row["saves"])),
            listing.text(money(row["missed"])),
        )
    )
