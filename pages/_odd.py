"""The odd anodes, hulls and berths: what they do, how that is known, what to do about it."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion import sisters, words
from corrosion.appraisal import Appraisal
from pages import _ask, _listing, _parts
from pages._seen import View

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


def week(seen: View, answer: Appraisal) -> None:
    """List what is odd over the whole fleet, hull by hull; what stops a hull first."""
    odd = _ask.odd(seen)
    if odd.empty:
        return
    st.subheader("Look again")
    stops = sorted(set(odd.loc[odd["stop"], "hull_id"]))
    if stops:
        st.error(
            f"**Stop:** {words.plain(words.listed(stops))}: an anode's alloy is spent within weeks "
            "in the water that the hull lies in. Do not hire it out like that."
        )
    keys = ["kind", "hull_id", "mooring_id"]
    rows = [_row(same, answer, with_hull=True) for _, same in odd.groupby(keys, sort=False)]
    said = f"{words.count(len(odd), 'case')}. Press a row for the hull. {_rate()}"
    _listing.show(("Where", "What", "How it is known", "What to do"), rows, "odd", said)
    _parts.download(odd, "look_again", "Odd ones as CSV")


def hull(seen: View, hull_id: str, answer: Appraisal) -> None:
    """List what is odd about one hull and its berth."""
    every = _ask.odd(seen)
    own = every[every["hull_id"] == hull_id]
    moorings = set(answer.forecast.anodes.query("hull_id == @hull_id")["mooring_id"])
    berth = every[(every["kind"] == "hot-berth") & every["mooring_id"].isin(moorings)]
    odd = pd.concat([own, berth])
    if odd.empty:
        return
    st.subheader("What is odd here")
    rows = [_row(same, answer, with_hull=False) for _, same in odd.groupby("kind", sort=False)]
    _listing.show(("Where", "What", "How it is known", "What to do"), rows, "odd_here", _rate())


def _rate() -> str:
    return (
        "Too fast and not at all are told so that 40 hulls may expect at most "
        f"{words.number(sisters.FALSE_A_MONTH + sisters.FALSE_STILL_A_MONTH)} new false calls a "
        "month, and "
        f"{words.number(sisters.FALSE_BY_NATURE)} hulls called out for being fast by nature."
    )


def _row(same: pd.DataFrame, answer: Appraisal, *, with_hull: bool) -> _listing.Row:
    first: Any = same.iloc[0]
    zone = answer.logbook.settings.timezone
    places = ", ".join(dict.fromkeys(str(p) for p in same["position"] if p))
    where = first["hull_id"] if with_hull and first["hull_id"] else places or "all anodes"
    under = first["mooring_id"] if with_hull else ""
    since = "" if pd.isna(first["since"]) else f"since {words.day(first['since'], zone)}"
    about = places if with_hull and first["hull_id"] else ""
    more = len(same) - 1
    known = f"{first['evidence']}{f'; {more} more alike' if more else ''}"
    return _listing.Row(
        (
            _listing.strong(where, under),
            _listing.strong(KINDS[first["kind"]], " · ".join(filter(None, [about, since]))),
            _listing.wide(_listing.text(known)),
            _listing.wide(_listing.text(first["what_to_do"])),
        ),
        opens=(first["hull_id"] or None) if with_hull else None,
    )
