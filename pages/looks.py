"""What to measure, where, in which order?"""

from __future__ import annotations

from typing import Any

import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal, crust_in_words
from corrosion.reports import WHY
from corrosion.workshop import Looks
from pages._looks import price
from pages._looks import round as walk
from pages._shared import cached_answers, frame, listing, odd_ones, widgets, worked_out
from pages._shared.session import View

SHOWN = 60
CENT = 0.005
WORKED_OUT = (
    "**Look by** is the first of several dates: two weeks before the chance of a worn anode is "
    "more than the fleet tolerates; the manual's interval where the register says that it "
    "binds; the longest time that a fleet may go without a look in that water; soon after a "
    "move, an engine swap or something odd; or the day on which a look pays most.",
    "**Worth** is what a reading saves on average: for the readings that may come, the best day to "
    "replace then, less what replacing blindly on the best day costs. One look ahead is weighed, "
    "for the list is made anew every week.",
    "**At each berth** one hull is looked at every week, in turn, so that a berth that turned hot "
    "shows; when wear rises on a hull, or on all a little, its sisters there are measured too.",
)


def show(seen: View, answer: Appraisal) -> None:
    """Answer first, then the round, what is odd, every date, and what looking costs."""
    looks = cached_answers.looks(seen)
    widgets.say(_sentence(looks, answer))
    _surprises(looks)
    walk.show(looks, answer)
    odd_ones.week(seen, answer)
    _every_date(looks, answer)
    price.show(seen, answer)
    _rests_on(looks, answer)
    worked_out.explain(answer.logbook, *WORKED_OUT)


def _surprises(looks: Looks) -> None:
    """Say at which hulls wear rose, berth by berth."""
    groups: dict[str, list[str]] = {}
    for surprise in looks.surprises:
        times = f"{surprise.hull_id} {formatting.number(surprise.ratio)} times"
        groups.setdefault(surprise.group, []).append(times)
    lines = [f"{group}: {formatting.listed(hulls, len(hulls))}" for group, hulls in groups.items()]
    if lines:
        st.warning(
            "Wear rose at the last look, against the hull's own past. Sisters there are on the "
            f"round. {formatting.plain('; '.join(lines))}.",
            icon=":material/trending_up:",
        )


def _sentence(looks: Looks, answer: Appraisal) -> str:
    zone, week = answer.logbook.settings.timezone, looks.round
    begins = formatting.day(looks.week, zone)
    along = int(looks.table["with_pull_out"].notna().sum())
    more = f" Planned pull-outs take {formatting.count(along, 'more look')} along." if along else ""
    if week.empty:
        return f"**Nothing needs measuring in the week of {begins}.**{more}"
    hulls = formatting.count(week["hull_id"].nunique(), "hull")
    minutes = formatting.number(float(week["minutes"].sum()))
    money = formatting.price(float(week["cost"].sum()), answer.logbook.settings.currency)
    return (
        f"**{formatting.count(len(week), 'anode')} on {hulls} to measure in the week of "
        f"{begins}:** about {minutes} minutes, at a cost of {money}.{more}"
    )


def _every_date(looks: Looks, answer: Appraisal) -> None:
    with st.expander("The next look at every anode"):
        rows = [_row(row, answer) for row in looks.table.head(SHOWN).to_dict("records")]
        left = len(looks.table) - len(rows)
        rest = f" {left} later ones are in the download." if left > 0 else ""
        listing.show(
            ("Anode", "Look by", "Why", "Worth", "Costs"), rows, "dates",
            f"The first on top. Worth: what the look saves on average.{rest}",
        )  # fmt: skip
        widgets.download(looks.table, "looks", "Every date as CSV")


def _row(row: dict[str, Any], answer: Appraisal) -> listing.Row:
    settings = answer.logbook.settings
    by = formatting.deadline(row["look_by"], answer.forecast.on, settings.timezone)
    why = WHY[row["why"]]
    if row["with_pull_out"] is not None:
        why, by = f"{why}; its pull-out takes the look along", by
    elif not row["asks"]:
        why = "A pull-out is due; no reading would change that"
    worth = row["worth"]
    return listing.Row(
        (
            listing.strong(f"{row['hull_id']} {row['position']}", row["mooring_id"]),
            listing.unbroken(by),
            listing.text(why),
            listing.text(
                _worth(worth, settings.currency)
            ),
            listing.text(formatting.price(row["cost"], settings.currency)),
        ),
        opens=str(row["hull_id"]),
    )  # fmt: skip


def _worth(worth: float, currency: str) -> str:
    """Say what a look is worth; what would round to no cent is worth nothing."""
    return formatting.price(0.0 if worth < CENT else worth, currency)


def _rests_on(looks: Looks, answer: Appraisal) -> None:
    for sentence in (*looks.assumed, *crust_in_words(answer)):
        st.caption(formatting.plain(sentence))


frame.page("Looks", show)
