"""When to look: the fleet's own rule, hours or months, and where a look now would pay."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from pages._shared import listing, widgets

SHOWN = 20
CLOCK = {"hours": "by hours", "months": "by the calendar"}


def week(answer: Appraisal) -> None:
    """List the hulls with anodes to look at by the end of the horizon; then where a look pays."""
    anodes = answer.forecast.anodes
    end = answer.until.date()
    due = anodes[[isinstance(d, type(end)) and d <= end for d in anodes["inspect_by"]]]
    pays = anodes[anodes["look_pays"].eq(True)]
    if due.empty and pays.empty:
        return
    st.subheader("To be looked at")
    rows = [_hull_row(same, answer) for _, same in _by_hull(due)]
    rows += [_pays_row(same) for _, same in _by_hull(pays[~pays["hull_id"].isin(due["hull_id"])])]
    caption = (
        f"{formatting.count(due['hull_id'].nunique(), 'hull')} by the fleet's own rule, hours or "
        f"months, whichever comes first; {formatting.count(pays['hull_id'].nunique(), 'hull')} "
        "where a "
        "reading now would move the pull-by by a week or more."
    )
    listing.show(("Hull", "Look by", "Anodes", "Why"), rows[:SHOWN], "inspect", caption)
    widgets.download(
        pd.concat([due, pays]).drop_duplicates(["hull_id", "position"]),
        "to_be_looked_at", "To be looked at as CSV",
    )  # fmt: skip


def _by_hull(anodes: pd.DataFrame) -> list[tuple[Any, pd.DataFrame]]:
    ordered = anodes.sort_values(["inspect_by", "hull_id"], key=lambda c: c.astype(str))
    return list(ordered.groupby("hull_id", sort=False))


def _hull_row(same: pd.DataFrame, answer: Appraisal) -> listing.Row:
    first: Any = same.iloc[0]
    said = formatting.deadline(
        min(same["inspect_by"]), answer.forecast.on, answer.logbook.settings.timezone
    )
    why = " and ".join(CLOCK[rule] for rule in sorted(set(same["inspect_rule"])) if rule in CLOCK)
    pays = "; a look would pay" if same["look_pays"].eq(True).any() else ""
    return listing.Row(
        (
            listing.strong(first["hull_id"], first["mooring_id"]),
            listing.unbroken(said),
            listing.text(formatting.listed(list(same["position"]))),
            listing.text(f"due {why}{pays}"),
        ),
        opens=str(first["hull_id"]),
    )


def _pays_row(same: pd.DataFrame) -> listing.Row:
    first: Any = same.iloc[0]
    most = same["look_moves_days"].max()
    return listing.Row(
        (
            listing.strong(first["hull_id"], first["mooring_id"]),
            listing.unbroken("when convenient"),
            listing.text(formatting.listed(list(same["position"]))),
            listing.text(
                f"a look would pay: it may move the date by {formatting.number(most)} days"
            ),
        ),
        opens=str(first["hull_id"]),
    )


def of_anode(anode: Any, answer: Appraisal) -> str:
    """Say by when one anode is to be looked at; empty without a rule."""
    said = []
    if anode.inspect_rule in CLOCK:
        day = formatting.deadline(
            anode.inspect_by, answer.forecast.on, answer.logbook.settings.timezone
        )
        said.append(f"look by: {day} ({CLOCK[anode.inspect_rule]})")
    if anode.look_pays is True or str(anode.look_pays) == "True":
        said.append("a look now would pay")
    return "; ".join(said)
