"""What does fresh, brackish, salt cost us?"""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.comparison import FEWEST_HULLS, MooringStudy, life_in_hours, lives_apart
from corrosion.forecast import Appraisal
from corrosion.reports import charts
from pages._moorings import costs, lives, mooring_names, moves, water
from pages._shared import cached_answers, frame, listing, session, widgets
from pages._shared.session import View


def show(seen: View, answer: Appraisal) -> None:
    """Answer first, then raw beside adjusted, costs, what if, curves, water, and the method."""
    study = cached_answers.moorings(seen)
    names = mooring_names.names(answer)
    compared = _compared(study)
    widgets.say(_sentence(study, compared, names, answer))
    _ratios(seen, study, compared, names)
    _too_few(study, names)
    costs.show(seen, answer, names)
    with st.expander("What if these hulls moved?", expanded=bool(st.query_params.get("to"))):
        moves.show(seen, study, answer, names)
    with st.expander("How long anodes last: the curves of their lives"):
        lives.show(seen, study, names)
    with st.expander("The water of each mooring, dated"):
        water.show(seen, study, answer, names)
    _worked_out(study)


def _compared(study: MooringStudy) -> pd.DataFrame:
    """Give the moorings with enough hulls and a ratio, hardest first."""
    table = study.comparison.table
    table = table[table["compared"] & table["adjusted_ratio"].notna() & table["life_h"].notna()]
    return table.sort_values("adjusted_ratio", ascending=False, ignore_index=True)


def _sentence(
    study: MooringStudy, compared: pd.DataFrame, names: dict[str, str], answer: Appraisal
) -> str:
    when = formatting.day(answer.logbook.on, answer.logbook.settings.timezone)
    if compared.empty:
        return (
            f"**No mooring can be compared yet.** It takes outings, and {FEWEST_HULLS} hulls at a "
            f"mooring, so that it speaks of the water and not of one boat ({when})."
        )
    if len(compared) == 1:
        only = compared.iloc[0]
        return (
            f"**Nothing to compare: only {formatting.plain(names[only.mooring_id])} has "
            f"{FEWEST_HULLS} hulls or more.** An anode lasts {life_in_hours(only)} there, "
            f"under the use that the fleet makes of its hulls ({when})."
        )
    short, long = compared.iloc[0], compared.iloc[-1]
    plain = {mooring_id: formatting.plain(name) for mooring_id, name in names.items()}
    return (
        f"{lives_apart(study, short, long, plain)} With use, flushing, berthing and layout held "
        f"equal, from {formatting.count(int(short.hulls), 'hull')} at {plain[short.mooring_id]} "
        f"and {int(long.hulls)} at {plain[long.mooring_id]} ({when})."
    )


def _ratios(seen: View, study: MooringStudy, compared: pd.DataFrame, names: dict[str, str]) -> None:
    if compared.empty:
        return
    st.header("Wear by mooring, raw beside adjusted")
    shown = compared.assign(label=compared["mooring_id"].map(names))
    widgets.picture(
        cached_answers.picture(
            seen, "ratios", draw=lambda: charts.mooring_ratios(shown, dark=session.is_dark())
        ),
        "ratios",
        "Wear at each mooring against the fleet's mean, raw and adjusted, with 95 % intervals; "
        "the list below says the same.",
    )
    st.caption(
        "Bars: 95 % intervals. Raw: what the looks show a day, whoever lay there and whatever was "
        "done. Adjusted: as if use, flushing, berthing and layout were the same at every mooring. "
        "Where the two differ, it was the use and not the water. Both circuits count in them; the "
        "hours in the list are those of an engine anode, so they part further than the ratios."
    )
    alike = study.likeness.set_index("mooring_id")
    beyond = study.reach[study.reach["carried_on"]].set_index("mooring_id")["seen_h"]
    listing.show(
        ("Mooring", "Adjusted", "Raw", "An engine anode lasts", "Hulls alike elsewhere?"),
        [
            _row(row, alike.loc[row.mooring_id], names, beyond.get(row.mooring_id))
            for row in compared.itertuples()
        ],
        "moorings",
        "Times the mean wear of the fleet, with the 95 % interval. Hardest water first.",
    )
    widgets.download(compared, "moorings", "Moorings as CSV")
    with st.expander("The hulls behind it: what each did at each mooring"):
        _hulls(study, compared)


def _row(row: Any, alike: Any, names: dict[str, str], seen_h: float | None) -> listing.Row:
    hulls = (
        f"{row.water} water; {formatting.count(row.hulls, 'hull')}, {row.hull_days:.0f} hull-days"
    )
    return listing.Row(
        (
            listing.strong(names[row.mooring_id], hulls),
            listing.strong(f"{row.adjusted_ratio:.2g} ×", f"{row.low:.2g} to {row.high:.2g}"),
            listing.strong(_times(row.raw_ratio), _ends(row.raw_low, row.raw_high)),
            _lasts(row, seen_h),
            listing.strong(alike.reading, _least(alike)),
        )
    )


def _lasts(row: Any, seen_h: float | None) -> str:
    """Write a life in hours; one that was not seen as more than what was, with where it leads."""
    if seen_h is None:
        return listing.strong(
            f"{formatting.number(row.life_h)} h",
            f"{formatting.number(row.life_low_h)} to {formatting.number(row.life_high_h)} "
            "engine hours",
        )
    return listing.strong(
        f"over {formatting.number(seen_h)} h", f"carried on: {life_in_hours(row)}"
    )


def _times(ratio: float) -> str:
    return "not known" if pd.isna(ratio) else f"{ratio:.2g} ×"


def _ends(low: float, high: float) -> str:
    return "no look tells" if pd.isna(low) else f"{low:.2g} to {high:.2g}"


def _least(alike: Any) -> str:
    parts = {name: getattr(alike, name) for name in ("use", "berthing", "flushing", "layout")}
    shares = [f"{name} {100 * value:.0f} %" for name, value in parts.items() if pd.notna(value)]
    return "in common: " + ", ".join(shares) if shares else "no other mooring"


def _hulls(study: MooringStudy, compared: pd.DataFrame) -> None:
    table = study.hulls[study.hulls["mooring_id"].isin(compared["mooring_id"])]
    st.dataframe(
        table,
        hide_index=True,
        key="hulls_by_mooring",
        column_config={
            "hours_a_week": st.column_config.NumberColumn("engine h a week", format="%.1f"),
            "afloat": st.column_config.NumberColumn("share of days afloat", format="%.2f"),
            "flushed": st.column_config.NumberColumn("share of outings rinsed", format="%.2f"),
            "days": st.column_config.NumberColumn("days", format="%.0f"),
        },
    )
    widgets.download(table, "hulls_by_mooring", "These hulls as CSV")


def _too_few(study: MooringStudy, names: dict[str, str]) -> None:
    table = study.comparison.table
    few = table[~table["compared"] | table["adjusted_ratio"].isna() | table["life_h"].isna()]
    if few.empty:
        return
    st.header("Not compared")
    rows = [
        listing.Row((listing.strong(names[row.mooring_id]), listing.text(_why_not(row))))
        for row in few.itertuples()
    ]
    listing.show(
        ("Mooring", "Why not"),
        rows,
        "not_compared",
        f"Groups under {FEWEST_HULLS} hulls are not shown: they would speak of single boats.",
    )


def _why_not(row: Any) -> str:
    if row.hulls == 0:
        return "No hull ever lay there in service."
    if not isinstance(row.water, str):
        return "Its water is not on record: enter salt, brackish or fresh in the log of moorings."
    if row.compared:
        return "No outing is on record: nothing says what its hulls do."
    return f"Too few to compare: {formatting.count(row.hulls, 'hull')}."


def _worked_out(study: MooringStudy) -> None:
    use = study.comparison.use
    with st.expander("How this is worked out"):
        st.markdown(
            f"""
- **Adjusted** puts every mooring to the same test, the fleet's own average day:
  {use.running_h:.2g} engine hours and {use.afloat_h:.2g} hours lying afloat a day, rinsed as the
  fleet rinses, on the fleet's own mix of layouts, at the seasons in which it was used. What an hour
  of each kind wears in the mooring's water, how warm that water is, and the mooring's own pace come
  from the wear model that is fitted to all looks (direct standardisation). A hull's own pace is
  left out, so a mooring is not blamed for a hard boat.
- **How long an anode lasts** is in engine hours, for the average anode of the engine circuit, from
  new to its limit, under that same average day.
- **Raw** is the wear between looks a day, both circuits added, with nothing held equal. Both are
  against the fleet's mean, weighted by the days that hulls lay at each mooring.
- **Intervals** are 95 %. They count in that anodes share a hull and its circuits, that hulls
  differ, that few hulls tell little of how much they differ (Student's t), and that the wear model
  simplifies. A hull that moved counts as another hull after the move.
- **Hulls alike elsewhere** is how much this mooring's hulls have in common with all others' (their
  overlap) in use, berthing, flushing and layout: 100 % the same mix, 0 % none. Where it
  is small the adjusted number leans on the wear model instead of on hulls that were used alike, and
  it is called an extrapolation.
- Salt is not constant: the water below is dated. What the logs do not hold, such as stray current
  at one berth or the speed of the stream, is part of the mooring's own pace.
"""
        )


frame.page("Moorings", show)
