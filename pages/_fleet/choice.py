"""Which hulls are looked at: the filters, which stay in the address, and the answer for them."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.reports import EVERYWHERE, STANDINGS, FleetTable, choose_hulls

MARKS = {
    "past": "■ past a limit",
    "high": "▲ high",
    "watch": "● watch",
    "low": "▽ low",
    "not known": "? not known",
}

STOPPED = "not for hire"
FILTER_PX = 164
"""Two stand beside each other on a phone, so that the hulls are on its first screen but one."""


def ask(hulls: pd.DataFrame) -> pd.DataFrame:
    """Offer the filters and return the hulls that they keep."""
    with st.container(horizontal=True):
        mooring = st.selectbox(
            "Mooring", _names(hulls["mooring_id"]), index=None, placeholder="All", key="mooring",
            bind="query-params", width=FILTER_PX,
        )  # fmt: skip
        standing = st.selectbox(
            "Standing", list(STANDINGS), index=None, placeholder="All", key="standing",
            format_func=lambda name: name if name != "high" else "high or past",
            bind="query-params", width=FILTER_PX,
        )  # fmt: skip
        layout = st.selectbox(
            "Layout", _names(hulls["layout"]), index=None, placeholder="All", key="layout",
            bind="query-params", width=FILTER_PX,
        )  # fmt: skip
        typed = st.text_input("Hull or name", key="find", bind="query-params", width=FILTER_PX)
    return choose_hulls(hulls, mooring or "", standing or "", layout or "", typed or "")


def sentence(chosen: pd.DataFrame, fleet: FleetTable, answer: Appraisal) -> str:
    """Say how many of the hulls looked at stand where, and what the weeks ahead bring to all."""
    by = formatting.last_day(answer.until, answer.logbook.settings.timezone)
    counts = chosen["standing"].value_counts()
    counted = ", ".join(f"{counts[name]} {MARKS[name]}" for name in STANDINGS if name in counts)
    whole = len(chosen) == len(fleet.hulls)
    every = formatting.count(len(fleet.hulls), "hull")
    start = every if whole else f"{len(chosen)} of {every} looked at"
    ahead = _ahead(fleet, answer) if whole else ""
    return f"**{start}: {counted or 'none'}** by {by}.{_stopped(chosen)}{ahead}"


def stopped(hulls: pd.DataFrame) -> pd.Series:
    """Mark the hulls that must not be hired out, wherever they stand otherwise."""
    return hulls["stop"] != ""


def _stopped(chosen: pd.DataFrame) -> str:
    count = int(stopped(chosen).sum())
    return f" **{count} {STOPPED}.**" if count else ""


def _ahead(fleet: FleetTable, answer: Appraisal) -> str:
    every = fleet.expected[fleet.expected["mooring_id"] == EVERYWHERE]
    if every.empty:
        return ""
    last = every.iloc[-1]
    by = formatting.day(last["by"], answer.logbook.settings.timezone, year=False)
    count = spread(last["low"], last["high"])
    return f" If nobody acts, {count} will have an anode at its limit by {by}."


def spread(low: int, high: int) -> str:
    """Say a range of how many hulls: ``3 to 5``, ``none``, ``up to 2``."""
    if high == 0:
        return "probably none"
    if low == high:
        return f"about {high}"
    return f"up to {high}" if low == 0 else f"{low} to {high}"


def _names(column: pd.Series) -> list[str]:
    return sorted({str(name) for name in column if name})
