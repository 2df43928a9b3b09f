"""When to look, where other things are said: a line on *This week*, a word at each anode."""

from __future__ import annotations

from contextlib import suppress
from typing import Any

import streamlit as st
from streamlit.errors import StreamlitPageNotFoundError

from corrosion.common import Refusal, formatting
from corrosion.forecast import Appraisal
from corrosion.reports import WHY
from pages._shared import cached_answers
from pages._shared.session import View


def line(seen: View) -> None:
    """Say what the week's round takes, and lead to it."""
    try:
        week = cached_answers.looks(seen).round
    except Refusal:
        return
    sentence = "Nothing to measure this week"
    if len(week):
        hulls = formatting.count(week["hull_id"].nunique(), "hull")
        minutes = formatting.number(float(week["minutes"].sum()))
        sentence = (
            f"To measure: {formatting.count(len(week), 'anode')} on {hulls}, {minutes} minutes"
        )
    with suppress(StreamlitPageNotFoundError):  # opened past the front door, which lists the pages
        st.page_link("pages/looks.py", label=sentence, icon=":material/search:")


def of_hull(hull_id: str, seen: View, answer: Appraisal) -> dict[str, str]:
    """Say, by position, by when each anode is to be looked at; empty where no plan can be made."""
    try:
        table = cached_answers.looks(seen).table
    except Refusal:
        return {}
    own = table[table["hull_id"] == hull_id].to_dict("records")
    return {str(look["position"]): _by_when(look, answer) for look in own}


def _by_when(look: dict[Any, Any], answer: Appraisal) -> str:
    if look["with_pull_out"] is not None:
        return "looked at when it comes out"
    if not look["asks"]:
        return "no look needed: a pull-out is due"
    zone = answer.logbook.settings.timezone
    day = formatting.deadline(look["look_by"], answer.forecast.on, zone)
    why = WHY[look["why"]]
    return f"look by: {day} ({why[0].lower()}{why[1:]})"
