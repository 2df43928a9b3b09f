"""What if these hulls moved there?"""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import TooLittle, formatting
from corrosion.comparison import FEWEST_HULLS, STAYS, MooringStudy, Move
from corrosion.forecast import Appraisal
from pages._shared import cached_answers, listing, widgets
from pages._shared.session import View

BY_LAYOUT = "all of layout "
LIES = {"as now": "As now", "afloat": "Afloat", "lifted": "Lifted"}


def show(seen: View, study: MooringStudy, answer: Appraisal, names: dict[str, str]) -> None:
    """Ask for hulls and a mooring, and say what would change."""
    berthed = answer.forecast.hulls[answer.forecast.hulls["mooring_id"].notna()]
    there = study.comparison.table
    there = list(there.loc[there["compared"] & there["adjusted_ratio"].notna(), "mooring_id"])
    if berthed.empty or len(there) < 2:
        st.markdown(f"Two moorings with {FEWEST_HULLS} hulls or more are needed to ask this.")
        return
    hulls = _chosen(berthed, answer)
    to = st.selectbox(
        "To",
        there,
        index=None,
        format_func=lambda mooring: names[mooring],
        key="to",
        bind="query-params",
        placeholder="Choose a mooring",
    )
    stays = st.segmented_control(
        "Where they lie", STAYS, default=STAYS[0], format_func=LIES.get, key="stays", required=True
    )
    if not hulls or to is None:
        st.caption("Choose hulls, or a layout, and a mooring.")
        return
    try:
        move = cached_answers.move(seen, tuple(hulls), to, str(stays))
    except TooLittle as refusal:
        st.warning(formatting.plain(refusal))
        return
    _said(move, answer, names)


def _chosen(berthed: pd.DataFrame, answer: Appraisal) -> list[str]:
    """Let the reader choose hulls one by one, or all of a layout."""
    layouts = answer.checked.hulls.set_index("hull_id")["layout"]
    ids = sorted(map(str, berthed["hull_id"]))
    groups = sorted({str(layouts[hull]) for hull in ids if isinstance(layouts.get(hull), str)})
    chosen_hulls = st.multiselect(
        "Hulls",
        [*(f"{BY_LAYOUT}{layout}" for layout in groups), *ids],
        key="movers",
        bind="query-params",
        placeholder="Choose hulls, or all of a layout",
    )
    wanted = {name.removeprefix(BY_LAYOUT) for name in chosen_hulls if name.startswith(BY_LAYOUT)}
    return [hull for hull in ids if hull in chosen_hulls or layouts.get(hull) in wanted]


def _said(move: Move, answer: Appraisal, names: dict[str, str]) -> None:
    where = formatting.plain(names[move.to])
    if move.stop:
        st.error(
            f"**Stop: these anodes must not go to {where}.** {formatting.plain(move.stop)} "
            "Change them "
            "for the alloy that suits that water first; see the engine's manual.",
            icon=":material/block:",
        )
        return
    total = move.total.iloc[0]
    before = formatting.span(total.before_low, total.before, total.before_high, "")
    after = formatting.span(total.after_low, total.after, total.after_high, "")
    st.markdown(
        f"**{formatting.count(int(total.hulls), 'hull')} at {where}: {after} anodes a year, "
        "against "
        f"{before} where they lie**, under the hours that they ran in the last year."
    )
    _alloys(move, names[move.to])
    listing.show(
        ("Hull", "Anodes a year now", "There", "Times", "Pull by now", "There, from today"),
        [_row(row, answer, names) for row in move.hulls.itertuples()],
        "moves",
        "Press a row for the hull.",
    )
    st.caption(
        f"{move.unknown} A hull keeps its use and its own pace; the water is the other mooring's. "
        "**A move re-opens the forecast: measure every anode before it goes, and again two weeks "
        "after.**"
    )
    widgets.download(move.hulls, "moves", "This move as CSV")


def _alloys(move: Move, where: str) -> None:
    for row in move.alloys.itertuples():
        sentence = (
            f"{row.alloy.capitalize()} at {where}: {row.verdict}. "
            f"{row.why[:1].upper()}{row.why[1:]} ({row.positions}). {row.caution}"
        )
        (st.warning if row.stop or row.verdict != "suits" else st.info)(formatting.plain(sentence))


def _row(row: Any, answer: Appraisal, names: dict[str, str]) -> listing.Row:
    zone, on = answer.logbook.settings.timezone, answer.forecast.on
    low, high = f"{row.times_low:.2g}", f"{row.times_high:.2g}"
    dates = [_date(when, on, zone) for when in (row.pull_by_now, row.pull_by_then)]
    return listing.Row(
        (
            listing.strong(row.hull_id, f"{names[row.mooring_id]}; {row.layout}"),
            listing.text(formatting.number(row.before)),
            listing.text(formatting.number(row.after)),
            listing.strong(f"{row.times:.2g} ×", f"{low} to {high}"),
            listing.text(dates[0]),
            listing.text("not known" if pd.isna(row.risk_then) else dates[1]),
        ),
        opens=row.hull_id,
    )


def _date(when: Any, on: pd.Timestamp, zone: Any) -> str:
    return formatting.FAR_OFF if pd.isna(when) else formatting.deadline(when, on, zone)
