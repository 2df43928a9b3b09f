"""Every hull at a glance, by mooring: a tile each, with the metal left on its worst anode."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.reports import STANDINGS, metal_left
from pages._fleet.choice import MARKS, STOPPED, stopped
from pages._shared import listing

TILES = 48
"""Tiles in the picture; of a larger fleet the riskiest are drawn and the rest are counted."""


def show(hulls: pd.DataFrame) -> None:
    """Draw the hulls mooring by mooring, the riskiest first."""
    st.header("At a glance")
    drawn = set(hulls["hull_id"].iloc[:TILES])
    groups = [_group(str(name), own, drawn) for name, own in hulls.groupby("mooring_id")]
    listing.press("".join(groups), "glance")
    marks = ", ".join(mark for mark in MARKS.values())
    st.caption(
        f"A tile is a hull with its worst anode; press it. {marks}; ▲ STOP: {STOPPED}. "
        f"{metal_left.KEY}"
    )


def _group(name: str, hulls: pd.DataFrame, drawn: set[str]) -> str:
    tiles = "".join(f"<li>{_tile(row)}</li>" for row in hulls.itertuples() if row.hull_id in drawn)
    rest = hulls[~hulls["hull_id"].isin(drawn)]
    summary = f"{formatting.count(len(hulls), 'hull')}: {_counts(hulls)}"
    more = "" if rest.empty else f"<p>and {len(rest)} more: {listing.text(_counts(rest))}</p>"
    head = listing.text(name or "Berth not known")
    title = f'<p class="moor"><b>{head}</b> · {listing.text(summary)}</p>'
    return f'{title}<ul class="tiles">{tiles}</ul>{more}'


def _counts(hulls: pd.DataFrame) -> str:
    counts = hulls["standing"].value_counts()
    counted = [f"{counts[name]} {MARKS[name]}" for name in STANDINGS if name in counts]
    halted = int(stopped(hulls).sum())
    return ", ".join([*counted, *([f"{halted} of them {STOPPED}"] if halted else [])])


def _tile(hull: Any) -> str:
    """Draw a hull; one that must not sail is marked so, however much metal it has left."""
    halted = hull.stop != ""
    shape = "▲" if halted else MARKS[hull.standing].split()[0]
    left = metal_left.metal_left(hull)
    states = [STOPPED] if halted else []
    words = listing.text(", ".join([*states, MARKS[hull.standing], metal_left.in_words(left)]))
    inside = (
        f"<b>{shape} {listing.text(hull.hull_id)}{' STOP' if halted else ''}</b>"
        f"{metal_left.draw(left)}"
        f'<span class="unseen">{words}</span>'
    )
    return listing.link(
        hull.hull_id, inside, f"tile {'past' if halted else hull.standing.replace(' ', '-')}"
    )
