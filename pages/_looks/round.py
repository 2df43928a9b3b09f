"""The week's round: what to measure, hull after hull, and the sheet to take along."""

from __future__ import annotations

from contextlib import suppress
from typing import Any

import pandas as pd
import streamlit as st
from streamlit.errors import StreamlitPageNotFoundError

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.reports import WHY, round_sheet
from corrosion.workshop import Looks
from pages._shared import listing, plan_papers, widgets

SHOWN_HULLS = 12
"""Lines of the round that stand open, shared out among the moorings; the rest unfold."""
AnodeLook = dict[Any, Any]
"""A row of the round."""
HEADINGS = ("Hull", "Measure", "Minutes", "Why", "What follows")


def show(looks: Looks, answer: Appraisal) -> None:
    """List the round by mooring, each hull a row; then the sheet."""
    widgets.cautions_in_short()
    moorings = max(looks.round["mooring_id"].nunique(), 1)
    whole = looks.round["hull_id"].nunique() <= SHOWN_HULLS
    for mooring, walk in looks.round.groupby("mooring_id", sort=False):
        minutes = formatting.number(float(walk["minutes"].sum()))
        st.subheader(f"{formatting.plain(mooring)}: {minutes} min")
        rows = [_row(own, answer) for own in _by_hull(walk)]
        heading = f"{mooring}: in the order of a walk. Press a row for the hull; its form is there."
        shown = len(rows) if whole else max(SHOWN_HULLS // moorings, 1)
        listing.show(HEADINGS, rows[:shown], f"round_{mooring}", heading)
        if rows[shown:]:
            with st.expander(
                f"{formatting.count(len(rows) - shown, 'hull')} more at {formatting.plain(mooring)}"
            ):
                listing.show(HEADINGS, rows[shown:], f"more_{mooring}", "As above, walked on.")
        _on_a_phone(str(mooring))
    with st.container(horizontal=True, vertical_alignment="bottom", key="papers"):
        paper = plan_papers.choose_paper(answer)
        st.download_button(
            "Round sheet",
            data=lambda: round_sheet(looks, answer, paper),
            file_name=f"round-{looks.week}.html",
            mime="text/html",
            key="download_round_sheet",
            icon=":material/print:",
            on_click="ignore",
        )
        widgets.download(looks.round, "round", "Round as CSV")


def _on_a_phone(mooring_id: str) -> None:
    """Lead to the log book, which asks for one anode after the other."""
    if st.session_state.get("on"):  # of another day than today
        return
    with suppress(StreamlitPageNotFoundError):  # opened past the front door, which lists the pages
        st.page_link(
            "pages/log_book.py", label="Enter this round on a phone", icon=":material/edit_note:",
            query_params={"round": mooring_id},
        )  # fmt: skip


def _by_hull(walk: pd.DataFrame) -> list[list[AnodeLook]]:
    """Return the looks of each hull, the hulls in the order of the walk."""
    hulls: dict[str, list[AnodeLook]] = {}
    for look in walk.to_dict("records"):
        hulls.setdefault(str(look["hull_id"]), []).append(look)
    return list(hulls.values())


def _row(own: list[AnodeLook], answer: Appraisal) -> listing.Row:
    first = own[0]
    why = list(dict.fromkeys(WHY[look["why"]].lower() for look in own))
    berth = str(first["group"]).removeprefix(str(first["mooring_id"])).strip()
    return listing.Row(
        (
            listing.strong(first["hull_id"], berth),
            listing.text(formatting.listed([look["position"] for look in own])),
            listing.text(formatting.number(float(sum(look["minutes"] for look in own)))),
            listing.wide(listing.text("; ".join(why))),
            listing.wide(listing.text(_follows(own, answer))),
        ),
        opens=str(first["hull_id"]),
    )


def _follows(own: list[AnodeLook], answer: Appraisal) -> str:
    """Say at which size the hull is to come out, and how likely that is."""
    unit, sentences = answer.logbook.settings.length_unit, []
    for row in own:
        if pd.isna(row["act_chance"]):
            sentences.append(f"{row['position']}: its first size")
        elif row["act_chance"] >= 0.02:
            size = formatting.size(row["act_size_mm"], unit)
            chance = formatting.chance(row["act_chance"])
            sentences.append(f"{row['position']} at {size} or less: pull it out ({chance})")
    return "; ".join(sentences) or "most likely nothing: the next look is weeks off"
