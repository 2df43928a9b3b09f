"""A switch for assumptions: what the list would be if the world were worse than the logs say."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal, whatif
from pages._shared import cached_answers, listing, widgets
from pages._shared.session import View

SHOWN = 10


def show(seen: View, answer: Appraisal) -> None:
    """Offer two assumptions, and list what they would change."""
    if answer.forecast.hulls.empty:
        return
    st.header("What if?")
    left, right = st.columns(2)
    with left:
        worse = st.toggle("Wear is 30 % faster from now on", key="worse", bind="query-params")
    with right:
        false = st.toggle(
            "1 flush in 5 on record was not done", key="false_flushes", bind="query-params"
        )
    if not (worse or false):
        st.caption("Switch one on to see which hulls it would bring onto the list.")
        return
    changed = cached_answers.what_if(
        seen, whatif.WORSE_BY if worse else 0.0, whatif.FALSE_FLUSHES if false else 0.0
    )
    tolerated = formatting.chance(answer.logbook.settings.tolerated_risk)
    st.markdown(
        f"**{formatting.count(changed.over_then, 'hull')} instead of {changed.over}** "
        "would be over "
        "the "
        f"{tolerated} that this fleet tolerates. The fit stays; only what is to come is changed. "
        "Everything else on this page is as it stands."
    )
    rows = [_row(hull, answer) for hull in changed.changed[:SHOWN].itertuples()]
    headings = ("Hull", "Chance now", "Chance then", "Pull by")
    caption = f"The {len(rows)} hulls whose chance moves most. Press a row for the hull."
    listing.show(headings, rows, "what_if", caption)
    widgets.download(changed.changed, "what_if", "What if as CSV")


def _row(hull: Any, answer: Appraisal) -> listing.Row:
    tolerated = answer.logbook.settings.tolerated_risk
    return listing.Row(
        (
            listing.strong(hull.hull_id, f"rank {hull.rank}, then {_rank(hull.rank_then)}"),
            listing.chance(hull.risk, tolerated),
            listing.chance(hull.risk_then, tolerated),
            listing.strong(_day(hull.pull_by_then, answer), f"now {_day(hull.pull_by, answer)}"),
        ),
        opens=hull.hull_id,
    )


def _rank(rank: Any) -> str:
    return "not known" if pd.isna(rank) else str(int(rank))


def _day(when: Any, answer: Appraisal) -> str:
    if when is None or pd.isna(when):
        return formatting.FAR_OFF
    return formatting.deadline(when, answer.forecast.on, answer.logbook.settings.timezone)
