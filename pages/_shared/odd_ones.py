"""The odd anodes, hulls and berths: what they do, how that is known, what to do about it."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.life_model import peer_comparison
from pages._shared import cached_answers, listing, widgets
from pages._shared.session import View

KINDS = {
    "alloy-against-water": "■ alloy against water",
    "hot-berth": "▲ the berth: all wear faster here lately",
    "not-wearing": "◆ not wearing where it should: an alarm",
    "wearing-fast": "▲ wears faster than its sisters",
    "impossible": "? gone faster than any current could take it",
    "moved": "? moved to another water, not measured there",
    "grew": "? the last reading grew",
    "unread": "? not read for long",
}


CASE = ["kind", "hull_id", "mooring_id"]
"""What makes a case, one line of the list: anodes of one hull that are odd in one way are one."""


def cases(odd: pd.DataFrame) -> int:
    """Count the lines of the list of odd ones."""
    return 0 if odd.empty else int(odd.groupby(CASE, sort=False).ngroups)


def week(seen: View, answer: Appraisal) -> None:
    """List what is odd over the whole fleet, hull by hull; what stops a hull first."""
    odd = cached_answers.odd(seen)
    if odd.empty:
        return
    st.header("Look again")
    everything(seen, answer)


def everything(seen: View, answer: Appraisal) -> None:
    """List each odd anode, hull and berth with what it does and what to do about it."""
    odd = cached_answers.odd(seen)
    rows = [_row(same, answer, with_hull=True) for _, same in odd.groupby(CASE, sort=False)]
    sentence = f"{formatting.count(cases(odd), 'case')}. Press a row for the hull. {_rate()}"
    listing.show(("Where", "What", "How it is known", "What to do"), rows, "odd", sentence)
    widgets.download(odd, "look_again", "Odd ones as CSV")


def hull(seen: View, hull_id: str, answer: Appraisal) -> None:
    """List what is odd about one hull and its berth."""
    every = cached_answers.odd(seen)
    own = every[every["hull_id"] == hull_id]
    anodes = answer.forecast.anodes
    moorings = set(anodes.loc[anodes["hull_id"] == hull_id, "mooring_id"])
    berth = every[(every["kind"] == "hot-berth") & every["mooring_id"].isin(moorings)]
    odd = pd.concat([own, berth])
    if odd.empty:
        return
    st.header("What is odd here")
    rows = [_row(same, answer, with_hull=False) for _, same in odd.groupby("kind", sort=False)]
    listing.show(("Where", "What", "How it is known", "What to do"), rows, "odd_here", _rate())


def _rate() -> str:
    a_month = peer_comparison.FALSE_A_MONTH + peer_comparison.FALSE_STILL_A_MONTH
    return (
        "Too fast and not at all are told so that 40 hulls may expect at most "
        f"{formatting.number(a_month)} new false calls a month, and "
        f"{formatting.number(peer_comparison.FALSE_BY_NATURE)} hulls called out for being fast "
        "by nature."
    )


def _row(same: pd.DataFrame, answer: Appraisal, *, with_hull: bool) -> listing.Row:
    first: Any = same.iloc[0]
    zone = answer.logbook.settings.timezone
    places = ", ".join(dict.fromkeys(str(p) for p in same["position"] if p))
    where = first["hull_id"] if with_hull and first["hull_id"] else places or "all anodes"
    under = first["mooring_id"] if with_hull else ""
    since = "" if pd.isna(first["since"]) else f"since {formatting.day(first['since'], zone)}"
    about = places if with_hull and first["hull_id"] else ""
    more = len(same) - 1
    known = f"{first['evidence']}{f'; {more} more alike' if more else ''}"
    return listing.Row(
        (
            listing.strong(where, under),
            listing.strong(KINDS[first["kind"]], " · ".join(filter(None, [about, since]))),
            listing.wide(listing.text(known)),
            listing.wide(listing.text(first["what_to_do"])),
        ),
        opens=(first["hull_id"] or None) if with_hull else None,
    )
