"""What speeds wear up?"""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.comparison import SMALLEST_GROUP
from corrosion.forecast import Appraisal
from corrosion.life_model import warmth
from corrosion.reports import charts
from pages._shared import cached_answers, frame, listing, session, widgets, worked_out
from pages._shared.session import View

STATES = {"running": "running", "unflushed": "left unflushed", "afloat": "lying afloat"}
CIRCUITS = {"engine": "inside the engine", "hull": "outside on the hull"}


def show(seen: View, answer: Appraisal) -> None:
    """Answer first, then the picture, each state's rows, temperature, and the method."""
    every = answer.habits
    table = _shown(every)
    widgets.say(_sentence(table, answer))
    if not table.empty:
        _picture(seen, table)
        _rows(table)
    _left_out(every)
    _told_apart(every)
    _warmth(answer)
    _worked_out(answer)


def _shown(table: pd.DataFrame) -> pd.DataFrame:
    """Give the states that enough hulls were in, what wore most first."""
    enough = table[(table["hulls"] >= SMALLEST_GROUP) & (table["hours"] > 0)]
    return enough.sort_values("anodes", ascending=False, ignore_index=True)


def _sentence(table: pd.DataFrame, answer: Appraisal) -> str:
    when = formatting.day(answer.logbook.on, answer.logbook.settings.timezone)
    shown = table[table["shown"]]
    if shown.empty:
        return f"**These logs do not tell yet what speeds wear up** ({when})."
    most = [f"{_part(row)} {_state(row)}" for row in shown[:3].itertuples()]
    return (
        f"**Most wear over the year to {when} came from {formatting.listed(most)}.** All "
        "together wore "
        f"off {formatting.number(float(table['anodes'].sum()))} anodes' worth of metal."
    )


def _state(row: Any) -> str:
    """Name a state as in a sentence: `running in salt water`."""
    circuit = "" if row.circuit == "engine" else ", outside"
    return f"{STATES[row.state]} in {row.water} water{circuit}"


def _part(row: Any) -> str:
    return f"{formatting.share(row.share)} ({formatting.share_span(row.share_low, row.share_high)})"


def _picture(seen: View, table: pd.DataFrame) -> None:
    st.header("Anodes worn off in a season")
    drawn = pd.DataFrame(
        {
            "label": [_state(row) for row in table.itertuples()],
            "share": table["anodes"],
            "low": table["anodes_low"],
            "high": table["anodes_high"],
        }
    )
    widgets.picture(
        cached_answers.picture(
            seen, "habits", draw=lambda: charts.wear_by_state(drawn, dark=session.is_dark())
        ),
        "states",
        "Anodes worn off in a season by each operating state, most first, with 95 % intervals. "
        "The list below says the same.",
    )
    st.caption(
        "The last 365 days of the whole fleet, at the warmth that was. One anode: its whole "
        "allowance. Lines: 95 % intervals; one that begins at nothing is not told apart from none."
    )


def _rows(table: pd.DataFrame) -> None:
    rows = [
        listing.Row(
            (
                listing.strong(_name(row), CIRCUITS[row.circuit]),
                listing.strong(_rate(row.worn_per_100h), _rates(row)),
                listing.strong(
                    formatting.number(row.anodes), _ends(row.anodes_low, row.anodes_high, "anodes")
                ),
                listing.strong(formatting.share(row.share), _share_ends(row)),
                listing.strong(
                    formatting.count(int(row.hulls), "hull"), f"{formatting.number(row.hours)} h"
                ),
            )
        )
        for row in table.itertuples()
    ]
    listing.show(
        ("State", "An anode, per 100 h at 15 °C", "Anodes a season", "Of all wear", "Behind it"),
        rows,
        "habit_rows",
        "Each with its 95 % interval. Hours left unflushed count while the passages dry.",
    )
    widgets.download(table, "habits", "States as CSV")


def _name(row: Any) -> str:
    return f"{STATES[row.state].capitalize()}, {row.water}"


def _rate(worn: float) -> str:
    return f"{formatting.number(100 * worn)} %"


def _rates(row: Any) -> str:
    low = "nothing" if row.low == 0 else formatting.number(100 * row.low)
    return f"{low} to {formatting.number(100 * row.high)} %"


def _ends(low: float, high: float, unit: str) -> str:
    return (
        f"{'nothing' if low == 0 else formatting.number(low)} to {formatting.number(high)} {unit}"
    )


def _share_ends(row: Any) -> str:
    return formatting.share_span(row.share_low, row.share_high)


def _left_out(every: pd.DataFrame) -> None:
    few = every[(every["hulls"] > 0) & (every["hulls"] < SMALLEST_GROUP)]
    if len(few):
        names = formatting.listed([_state(row) for row in few.itertuples()])
        st.markdown(
            f"Not shown, fewer than {SMALLEST_GROUP} hulls: {formatting.plain(names)}. "
            "They are in what each hull's own page says."
        )


def _told_apart(every: pd.DataFrame) -> None:
    """Say how far the looks, and how far common practice, part wet hours from running ones."""
    for row in every.dropna(subset=["by_looks"]).itertuples():
        st.markdown(
            f"In {row.water} water, what an unflushed hour wears beside an hour of running is "
            f"known to {100 * row.by_looks:.0f} % by this fleet's looks, the rest by common "
            "practice (no source)."
        )


def _warmth(answer: Appraisal) -> None:
    middle, low, high = warmth(answer.life)
    sampled = int(answer.checked.water_samples["temperature_c"].notna().sum())
    st.header("Temperature")
    st.markdown(
        f"A degree warmer wears **{100 * middle:.1f} % more** ({100 * low:.1f} to "
        f"{100 * high:.1f} %, 95 %), from {formatting.count(sampled, 'water sample')}. Ten "
        "degrees make "
        f"{formatting.number(1 + 10 * middle)} times the wear."
        if sampled
        else "No water temperature is on record (`water_samples`), so warmth is not told from time."
    )


def _worked_out(answer: Appraisal) -> None:
    with st.expander("How this is worked out"):
        readings = formatting.count(len(answer.checked.readings), "reading")
        st.markdown(
            f"""
Fitted to {readings} of this fleet, all states at once, with a part that belongs to each hull and
one to each anode.

- **Per 100 h** is the share of the allowance that an average anode of that circuit loses, at 15 °C.
- **Anodes a season** puts those rates to the fleet's own hours of the last 365 days, at the
  water's own warmth, on every anode of every hull, at each hull's own pace.
- **Intervals** are 95 %, from the fit's covariance (delta method on the logarithm). Where no wear
  at all fits the looks about as well (likelihood ratio under 5.4, passed by chance once in 100;
  Self & Liang 1987), the interval begins at nothing.
- **What these are not:** a promise for other use. Two states that always come together cannot be
  told apart, and then share the wear as common practice has it, with wide intervals.
{worked_out.of_today(answer)}
"""
        )


frame.page("Habits", show)
