"""What parts will it take, and what is to be ordered by when?"""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion import charts, words
from corrosion.appraisal import Appraisal
from corrosion.parts import SPANS, Parts, habit_said
from corrosion.parts import parts as parts_of
from corrosion.parts.counts import count_by
from corrosion.parts.orders import order
from pages import _ask, _frame, _listing, _parts, _seen, _worked_out
from pages._seen import View

IN_PICTURE = 12


def show(seen: View, answer: Appraisal) -> None:
    """Answer first, then the picture, the parts, the moorings, and how it is worked out."""
    found = _ask.parts(seen)
    if found.table.empty:
        _parts.say("**No part can be said yet.** No anode in service has a fitting or a reading.")
        return
    _parts.say(_sentence(found, answer))
    weeks = st.segmented_control(
        "Weeks ahead", SPANS, default=SPANS[1], key="weeks", bind="query-params", required=True
    )
    _picture(seen, found, int(weeks or SPANS[1]))
    _rows(found, answer, int(weeks or SPANS[1]))
    _by_mooring(found, int(weeks or SPANS[1]))
    _rests_on(found)
    _worked_out.explain(answer.logbook, parts_of, count_by, order)


def _sentence(found: Parts, answer: Appraisal) -> str:
    quarter = found.everything.set_index("weeks").loc[SPANS[1]]
    takes = words.span(quarter["low"], quarter["likely"], quarter["high"], "anodes")
    ahead = f"The coming {SPANS[1]} weeks take {takes}, all parts together."
    due = found.table[found.table["order_by"].notna()]
    if found.table["on_hand"].isna().all():
        return f"**Nobody has counted the parts yet**, so no order can be said. {ahead}"
    if due.empty:
        return f"**No part needs ordering:** stock lasts half a year. {ahead}"
    first = due.iloc[0]
    by = words.deadline(first["order_by"], found.on, answer.logbook.settings.timezone)
    when = "today" if by == "today" else f"by {by}"
    part = words.plain(first["part_number"])
    return f"**Order {int(first['order'])} of {part} {when}.**{_others(due)} {ahead}"


def _others(due: pd.DataFrame) -> str:
    """Say how many more orders follow within four weeks of the first."""
    soon = pd.to_datetime(due["order_by"]) <= pd.Timestamp(due["order_by"].iloc[0]) + pd.Timedelta(
        weeks=4
    )
    more = int(soon.sum()) - 1
    return f" {words.count(more, 'more part')} within four weeks of it." if more else ""


def _picture(seen: View, found: Parts, weeks: int) -> None:
    most = len(found.table)
    if most > IN_PICTURE and not st.toggle(f"All {most} parts in the picture", key="all_parts"):
        most = IN_PICTURE
    shown = found.table[:most]
    _parts.picture(
        _ask.picture(
            seen, "parts", weeks, most,
            draw=lambda: charts.parts_needed(shown, weeks, dark=_seen.is_dark()),
        ),
        "parts_needed",
        f"How many of each part the coming {weeks} weeks take, as ranges, and how many are on "
        "hand. The list below says the same.",
    )  # fmt: skip
    st.caption("Dot: most likely; bar: 8 in 10; upright mark: on hand (none where nobody counted).")


def _rows(found: Parts, answer: Appraisal, weeks: int) -> None:
    st.subheader("Part by part")
    _listing.show(
        ("Part", "Order", "On hand", f"{weeks} weeks take", "Seals", "Runs out before delivery"),
        [_row(row, found, answer, weeks) for row in found.table.to_dict("records")],
        "parts",
        "The most pressing order on top. Seals: enough, looks counted in, with 9 chances in 10.",
    )
    _parts.download(found.table, "parts", "Parts as CSV")


def _row(row: dict[str, Any], found: Parts, answer: Appraisal, weeks: int) -> _listing.Row:
    used = f"{row['used_for']}; {words.count(row['anodes'], 'anode')} in service"
    needs = words.span(
        row[f"need_{weeks}_low"], row[f"need_{weeks}"], row[f"need_{weeks}_high"], ""
    )
    seals = row[f"seals_{weeks}"]
    return _listing.Row(
        (
            _listing.strong(row["part_number"], used),
            _order(row, found, answer),
            _listing.text(_pieces(row["on_hand"], "not counted")),
            _listing.text(needs),
            _listing.text(_pieces(seals, "not known")),
            _listing.text(words.chance(row["short_before"])),
        )
    )


def _order(row: dict[str, Any], found: Parts, answer: Appraisal) -> str:
    zone = answer.logbook.settings.timezone
    if pd.isna(row["on_hand"]):
        return _listing.text("count it first")
    if row["order_by"] is None or pd.isna(row["order_by"]):
        return _listing.text("none within half a year")
    by = words.deadline(row["order_by"], found.on, zone)
    until = words.deadline(row["lasts_until"], found.on, zone)
    lasts = "stock is short now" if until == "today" else f"stock lasts until {until}"
    return _listing.strong(
        f"{int(row['order'])}, {'today' if by == 'today' else f'by {by}'}", lasts
    )


def _pieces(count: float, unknown: str) -> str:
    return unknown if pd.isna(count) else f"{int(count)}"


def _by_mooring(found: Parts, weeks: int) -> None:
    with st.expander("By mooring"):
        rows = [
            _listing.Row(
                (
                    _listing.strong(row["mooring_id"]),
                    _listing.text(row["part_number"]),
                    _listing.text(row["anodes"]),
                    _listing.text(_pieces(row["on_hand"], "not counted")),
                    _listing.text(
                        words.span(
                            row[f"need_{weeks}_low"],
                            row[f"need_{weeks}"],
                            row[f"need_{weeks}_high"],
                            "",
                        )
                    ),
                )
            )
            for row in found.moorings.sort_values(["mooring_id", "part_number"]).to_dict("records")
        ]
        _listing.show(
            ("Mooring", "Part", "Anodes", "On hand there", f"{weeks} weeks take"),
            rows,
            "parts_by_mooring",
            "What lies in the fleet's common store is not in it.",
        )
        _parts.download(found.moorings, "parts_by_mooring", "By mooring as CSV")


def _rests_on(found: Parts) -> None:
    st.caption(habit_said(found.habit))
    if found.table["on_hand"].isna().any():
        st.caption(
            "Not counted: enter the pieces under `[stock]` in `fleet.toml`, and what comes and "
            "goes in the log `stock_moves`."
        )
    if found.not_counted:
        st.caption(
            f"In no number, for the logs never saw them: {words.count(found.not_counted, 'anode')}."
        )


_frame.page("Parts", show)
