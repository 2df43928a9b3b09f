"""How often was the forecast right?"""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal, Record, in_one_line, scores, scores_by
from corrosion.reports import charts
from pages._shared import (
    cached_answers,
    frame,
    listing,
    past_forecasts,
    session,
    widgets,
    worked_out,
)
from pages._shared.session import View
from pages._track_record import looks_changed, method_words, surprises, worst_band

RULES = {
    "these forecasts": "these forecasts",
    "the average": "always the fleet's average",
    "by the calendar": "rule of thumb: by the calendar",
    "by engine hours": "rule of thumb: by engine hours",
    "half gone": "rule of thumb: half gone",
}


def show(seen: View, answer: Appraisal) -> None:
    """Answer first, then said against happened, the rivals, ranges, places, and every miss."""
    record = past_forecasts.record(seen)
    if record is None:
        _offer(seen)
        return
    if record.judged.empty or record.reliability.empty:
        st.info("No forecast has been followed by a look yet: nothing can be said of it.")
        return
    widgets.say(_sentence(record))
    _picture(seen, record)
    _rivals(record)
    _ranges(record)
    _widened(record)
    looks_changed.show(record)
    _horizons(record)
    _places(record)
    surprises.show(record, answer)
    worked_out.explain(answer.logbook, *method_words.WORKED_OUT)


def _offer(seen: View) -> None:
    widgets.say("**Past forecasts have not been worked out yet for these logs.**")
    st.markdown(
        "Each Monday of the past year is gone back to: the logs are cut at that moment, the whole "
        "forecast is made again without a look at what came later, and what the looks since then "
        "found is set beside it. That takes some seconds the first time; after that only what "
        "changed is worked out again."
    )
    if st.button("Go back and check", type="primary", key="go_back"):
        past_forecasts.make_record(seen)
        st.rerun()


def _sentence(record: Record) -> str:
    line = in_one_line(record.reliability)
    table = record.rivals.set_index("rule")
    skill = float(table.loc["these forecasts", "skill"])
    looks = len(scores.next_looks(record.judged).drop_duplicates(scores.LOOK))
    better = table.loc["these forecasts", "brier"] <= table["brier"].drop("these forecasts").min()
    verdict = (
        "They beat the average and all three rules of thumb"
        if better
        else "**They do not beat the best of the average and the rules of thumb: doubt them**"
    )
    gone = formatting.number(100 * max(skill, 0.0))
    beaten = f"{verdict}: {gone} % of the average's error is gone."
    if pd.isna(skill):
        beaten = "All looks found the same, so no way of forecasting can be told from another."
    return (
        f"**{line[0].upper()}{line[1:]}.** Forecasts of {record.weeks} Mondays met "
        f"{formatting.count(looks, 'look')}. {beaten}{worst_band.sentence(record.reliability)}"
    )


def _picture(seen: View, record: Record) -> None:
    st.header("Said against happened")
    table = record.reliability
    widgets.picture(
        cached_answers.picture(
            seen, "record", record.on.isoformat(), len(record.judged),
            draw=lambda: charts.said_and_found(table, dark=session.is_dark()),
        ),
        "said_and_found",
        "Share of anodes found worn at their next look against the chance that was said, by bands "
        "of chance, with 95 % intervals. The list below has the numbers.",
    )  # fmt: skip
    st.caption(
        "Each dot is a band of chances, as high as the share of its forecasts that came true; "
        "under it, how many of the looks that they met found the anode worn. "
        "On the dashed line, things happened as often as was said. Bars: 95 % intervals."
    )
    st.markdown(_blame(record))
    rows = [_band_row(band) for band in table.itertuples()]
    headings = ("Chance said", "Looks", "Found worn", "Share of the forecasts, 95 %")
    caption = (
        "Chance that the next look finds the anode worn. Several Mondays meet at one look: it "
        "counts once in each band that they said, and in the share with each of them."
    )
    listing.show(headings, rows, "bands", caption)
    widgets.download(table, "said_and_found", "Said and found as CSV")


def _blame(record: Record) -> str:
    """Say how far use that came otherwise, and how far wear, made the middle chances wrong."""
    row = record.blame.iloc[0]
    number = formatting.number
    judgement = "as chance has it" if row["low"] <= row["found"] <= row["high"] else "**off**"
    return (
        f"Of the middle chances (5 to 95 %), each look counted once: {number(row['said'])} worn "
        f"looks said, {number(row['found'])} found. Had the engine hours until each look been "
        f"known, {number(row['said_with_use'])} would have been said; chance alone gives "
        f"{number(row['low'])} to {number(row['high'])}: {judgement}. The rest is use that came "
        f"otherwise ({number(row['hours_run'])} h run for {number(row['hours_said'])} h expected)."
    )


def _band_row(band: Any) -> listing.Row:
    share, ends = _percent(band.found), f"{_percent(band.low)} to {_percent(band.high)}"
    return listing.Row(
        (
            listing.strong(
                formatting.chance(band.said), f"{formatting.count(band.forecasts, 'forecast')}"
            ),
            listing.text(band.looks),
            listing.text(int(band.worn)),
            listing.strong(share, ends),
        )
    )


def _percent(share: float) -> str:
    """Say a share of what was counted; never that nothing or everything will be so."""
    if not 0.01 <= share <= 0.99:
        return "under 1 %" if share < 0.01 else "over 99 %"
    return f"{formatting.number(100 * share)} %"


def _rivals(record: Record) -> None:
    st.header("Against simpler ways")
    rows = [
        listing.Row(
            (
                listing.strong(RULES[row.rule]),
                listing.text(f"{row.brier:.4f}"),
                listing.text(_better(row.skill)),
            )
        )
        for row in record.rivals.itertuples()
    ]
    caption = (
        "Brier score: mean squared distance between chance and what happened, less is better. "
        "Each rule is given, with hindsight, the best chance that it could have said."
    )
    headings = ("Way", "Brier score", "Better than the average by")
    listing.show(headings, rows, "rivals", caption)


def _better(skill: float) -> str:
    return "cannot be told" if pd.isna(skill) else f"{formatting.number(100 * skill)} %"


def _ranges(record: Record) -> None:
    st.header("Do the ranges hold?")
    rows = [
        listing.Row(
            (
                listing.strong(row.range),
                listing.text(f"{row.held} of {row.judged}"),
                _held(row),
                listing.text(row.cannot_tell or "none"),
            )
        )
        for row in record.coverage.itertuples()
    ]
    headings = ("Range", "Held", "Share, 95 %", "Cannot be told")
    caption = "Ranges promise 8 in 10; too early is to happen 1 in 10 at most."
    listing.show(headings, rows, "ranges", caption)


def _held(row: Any) -> str:
    if not row.judged:
        return listing.text("none to judge yet")
    return listing.strong(_percent(row.share), f"{_percent(row.low)} to {_percent(row.high)}")


def _widened(record: Record) -> None:
    """Say whether the record asks for wider ranges, and that the pages heed it."""
    widening = record.widening
    if np.isnan(widening.estimate):
        st.markdown(
            f"Too few readings ({widening.looks}) to say whether ranges should be wider: "
            "as they are."
        )
        return
    ends = f"{formatting.number(widening.low)} to {formatting.number(widening.high)}"
    wanted = (
        f"Ranges {formatting.number(widening.estimate)} times as wide ({ends}) would have "
        "held 8 in 10."
    )
    if widening.factor > 1.0:
        st.warning(
            f"{wanted} The forecasts on all pages are widened {formatting.number(widening.factor)} "
            "times, "
            "by what is sure."
        )
    else:
        st.markdown(f"{wanted} That is no sure reason to widen them: they stay as they are.")


def _horizons(record: Record) -> None:
    st.header("Within a fixed time")
    rows = [
        listing.Row(
            (
                listing.strong(f"{row.days} days"),
                listing.strong(f"{row.judged} of {row.forecasts}", f"{row.between} by chance"),
                listing.text(f"{_so_many(row.said)} said, {formatting.number(row.found)} found"),
                listing.text(
                    f"{row.pulled} pulled early, {row.unread} not looked at since, {row.open} open"
                ),
            )
        )
        for row in record.horizons.itertuples()
    ]
    caption = (
        "Anodes pulled early are the ones nearly spent, so this count misses some of what would "
        "have worn; the next look above has no such gap."
    )
    headings = ("Horizon", "Can be judged", "Worn", "Cannot be judged")
    listing.show(headings, rows, "horizons", caption)


def _places(record: Record) -> None:
    st.header("By mooring and position")
    for column, name in (("mooring_id", "Mooring"), ("position", "Position")):
        table = scores_by(record.judged, column)
        rows = [
            listing.Row(
                (
                    listing.strong(getattr(row, column)),
                    listing.text(f"{row.forecasts} forecasts, {row.looks} looks"),
                    listing.text(f"{_so_many(row.said)} said, {formatting.number(row.worn)} found"),
                    listing.text(f"{row.brier:.4f}"),
                )
            )
            for row in table.itertuples()
        ]
        headings = (name, "Set beside a look", "Worn", "Brier score")
        caption = f"By {name.lower()}: next looks within four weeks."
        listing.show(headings, rows, f"by_{column}", caption)


def _so_many(expected: float) -> str:
    """Write a sum of chances; no finer than a hundredth of an anode."""
    return "under 0.01" if 0.0 < expected < 0.01 else formatting.number(expected)


frame.page("Track record", show)
