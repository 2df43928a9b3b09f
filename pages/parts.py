"""What parts will it take, and what is to be ordered by when?"""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.reports import charts
from corrosion.workshop import SPANS, Parts, habit_said
from pages._shared import cached_answers, frame, listing, session, widgets, worked_out
from pages._shared.session import View

IN_PICTURE = 12
WORKED_OUT = (
    "**How many**: each anode is worn on as the forecast has it and replaced when it is as worn as "
    "the anodes that this fleet usually replaces; the new one wears on from there. Anodes of one "
    "hull share its luck, and hulls share the season's, so the range is wider than if they were "
    "strangers.",
    "**Order by**: the last day from which the delivery (`lead_days`) still comes before the stock "
    "runs out, as surely as `service_level` asks.",
    "**Seals** count every look and every change, for each opens a cover.",
)


def show(seen: View, answer: Appraisal) -> None:
    """Answer first, then the picture, the parts, the moorings, and how it is worked out."""
    parts = cached_answers.parts(seen)
    if parts.table.empty:
        widgets.say("**No part can be said yet.** No anode in service has a fitting or a reading.")
        return
    widgets.say(_sentence(parts, answer))
    weeks = st.segmented_control(
        "Weeks ahead", SPANS, default=SPANS[1], key="weeks", bind="query-params", required=True
    )
    _picture(seen, parts, int(weeks or SPANS[1]))
    _rows(parts, answer, int(weeks or SPANS[1]))
    _by_mooring(parts, int(weeks or SPANS[1]))
    _rests_on(parts)
    worked_out.explain(answer.logbook, *WORKED_OUT)


def _sentence(parts: Parts, answer: Appraisal) -> str:
    quarter = parts.everything.set_index("weeks").loc[SPANS[1]]
    takes = formatting.span(quarter["low"], quarter["likely"], quarter["high"], "anodes")
    ahead = f"The coming {SPANS[1]} weeks take {takes}, all parts together."
    due = parts.table[parts.table["order_by"].notna()]
    if parts.table["on_hand"].isna().all():
        return f"**Nobody has counted the parts yet**, so no order can be said. {ahead}"
    if due.empty:
        return f"**No part needs ordering:** stock lasts half a year. {ahead}"
    first = due.iloc[0]
    by = formatting.deadline(first["order_by"], parts.on, answer.logbook.settings.timezone)
    when = "today" if by == "today" else f"by {by}"
    part = formatting.plain(first["part_number"])
    return f"**Order {int(first['order'])} of {part} {when}.**{_others(due)} {ahead}"


def _others(due: pd.DataFrame) -> str:
    """Say how many more orders follow within four weeks of the first."""
    soon = pd.to_datetime(due["order_by"]) <= pd.Timestamp(due["order_by"].iloc[0]) + pd.Timedelta(
        weeks=4
    )
    more = int(soon.sum()) - 1
    return f" {formatting.count(more, 'more part')} within four weeks of it." if more else ""


def _picture(seen: View, parts: Parts, weeks: int) -> None:
    most = len(parts.table)
    if most > IN_PICTURE and not st.toggle(f"All {most} parts in the picture", key="all_parts"):
        most = IN_PICTURE
    shown = parts.table[:most]
    widgets.picture(
        cached_answers.picture(
            seen, "parts", weeks, most,
            draw=lambda: charts.parts_needed(shown, weeks, dark=session.is_dark()),
        ),
        "parts_needed",
        f"How many of each part the coming {weeks} weeks take, as ranges, and how many are on "
        "hand. The list below says the same.",
    )  # fmt: skip
    st.caption("Dot: most likely; bar: 8 in 10; upright mark: on hand (none where nobody counted).")


def _rows(parts: Parts, answer: Appraisal, weeks: int) -> None:
    st.header("Part by part")
    listing.show(
        ("Part", "Order", "On hand", f"{weeks} weeks take", "Seals", "Runs out before delivery"),
        [_row(row, parts, answer, weeks) for row in parts.table.to_dict("records")],
        "parts",
        "The most pressing order on top. Seals: enough, looks counted in, with 9 chances in 10.",
    )
    widgets.download(parts.table, "parts", "Parts as CSV")


def _row(row: dict[str, Any], parts: Parts, answer: Appraisal, weeks: int) -> listing.Row:
    used = f"{row['used_for']}; {formatting.count(row['anodes'], 'anode')} in service"
    needs = formatting.span(
        row[f"need_{weeks}_low"], row[f"need_{weeks}"], row[f"need_{weeks}_high"], ""
    )
    seals = row[f"seals_{weeks}"]
    return listing.Row(
        (
            listing.strong(row["part_number"], used),
            _order(row, parts, answer),
            listing.text(_pieces(row["on_hand"], "not counted")),
            listing.text(needs),
            listing.text(_pieces(seals, "not known")),
            listing.text(formatting.chance(row["short_before"])),
        )
    )


def _order(row: dict[str, Any], parts: Parts, answer: Appraisal) -> str:
    zone = answer.logbook.settings.timezone
    if pd.isna(row["on_hand"]):
        return listing.text("count it first")
    if row["order_by"] is None or pd.isna(row["order_by"]):
        return listing.text("none within half a year")
    by = formatting.deadline(row["order_by"], parts.on, zone)
    until = formatting.deadline(row["lasts_until"], parts.on, zone)
    lasts = "stock is short now" if until == "today" else f"stock lasts until {until}"
    return listing.strong(f"{int(row['order'])}, {'today' if by == 'today' else f'by {by}'}", lasts)


def _pieces(count: float, unknown: str) -> str:
    return unknown if pd.isna(count) else f"{int(count)}"


def _by_mooring(parts: Parts, weeks: int) -> None:
    with st.expander("By mooring"):
        rows = [
            listing.Row(
                (
                    listing.strong(row["mooring_id"]),
                    listing.text(row["part_number"]),
                    listing.text(row["anodes"]),
                    listing.text(_pieces(row["on_hand"], "not counted")),
                    listing.text(
                        formatting.span(
                            row[f"need_{weeks}_low"],
                            row[f"need_{weeks}"],
                            row[f"need_{weeks}_high"],
                            "",
                        )
                    ),
                )
            )
            for row in parts.moorings.sort_values(["mooring_id", "part_number"]).to_dict("records")
        ]
        listing.show(
            ("Mooring", "Part", "Anodes", "On hand there", f"{weeks} weeks take"),
            rows,
            "parts_by_mooring",
            "What lies in the fleet's common store is not in it.",
        )
        widgets.download(parts.moorings, "parts_by_mooring", "By mooring as CSV")


def _rests_on(parts: Parts) -> None:
    st.caption(habit_said(parts.habit))
    if parts.table["on_hand"].isna().any():
        st.caption(
            "Not counted: enter the pieces under `[stock]` in `fleet.toml`, and what comes and "
            "goes in the log `stock_moves`."
        )
    if parts.not_counted:
        st.caption(
            "In no number, for the logs never saw them: "
            f"{formatting.count(parts.not_counted, 'anode')}."
        )


frame.page("Parts", show)
