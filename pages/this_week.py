"""What comes out, when, and what if nobody acts?"""

from __future__ import annotations

import pandas as pd
import streamlit as st

from corrosion import charts, words
from corrosion.appraisal import Appraisal
from corrosion.headline import Headline, headline, weeks_ahead
from corrosion.planned_week import hired_out
from pages import (
    _ask,
    _frame,
    _inspections,
    _odd,
    _parts,
    _plan_week,
    _record_line,
    _seen,
    _set_aside,
    _week_lists,
    _whatif,
    _worked_out,
)
from pages._seen import View

IN_PICTURE = 12


def show(seen: View, answer: Appraisal) -> None:
    """Answer first, then names, the picture, the rows, and what stands behind them."""
    forecast, settings = answer.forecast, answer.logbook.settings
    by = forecast.on + pd.Timedelta(days=forecast.days)
    week = headline(
        forecast.hulls, forecast.anodes, forecast.not_judged, by, settings.tolerated_risk
    )
    _parts.say(_sentence(week, answer))
    _week_lists.past_limit(week.past, answer, hired_out(answer))
    _plan_week.show(seen, answer)
    _picture(seen, answer)
    _week_lists.ranked(answer)
    _record_line.show(seen)
    _odd.week(seen, answer)
    _inspections.week(answer)
    _whatif.show(seen, answer)
    _week_lists.not_judged(answer)
    _set_aside.show(answer)
    _worked_out.show(answer)


def _sentence(week: Headline, answer: Appraisal) -> str:
    settings = answer.logbook.settings
    by = words.day(week.by, settings.timezone)
    if week.judged == 0:
        return "**No hull can be judged yet.** Why is said for each below."
    fleet = words.count(week.judged, "hull")
    if week.over == 0:
        start = f"**No hull of {week.judged} needs to come out by {by}.**"
    else:
        start = f"**{week.over} of {fleet} should come out by {by}.**"
    return f"{start} If nobody acts, {_if_nobody_acts(week)} by then."


def _if_nobody_acts(week: Headline) -> str:
    if week.high == 0:
        return "probably no hull has an anode at its limit"
    if week.low == week.high:
        return f"about {words.count(week.high, 'hull')} will have an anode at its limit"
    if week.low == 0:
        return (
            f"up to {words.count(week.high, 'hull')}, most likely {week.likely}, "
            "will have an anode at its limit"
        )
    return (
        f"{week.low} to {words.count(week.high, 'hull')}, most likely {week.likely}, "
        "will have an anode at its limit"
    )


def _picture(seen: View, answer: Appraisal) -> None:
    forecast = answer.forecast
    every = weeks_ahead(
        forecast.hulls,
        forecast.day_grid,
        forecast.hull_chance,
        answer.checked.bookings,
        forecast.on.tz_convert(answer.logbook.settings.timezone),
    )
    hulls = list(every["hull_id"].unique())
    if not hulls:
        return
    st.subheader("The weeks ahead")
    most = len(hulls)
    if most > IN_PICTURE and not st.toggle(f"All {most} hulls in the picture", key="all_hulls"):
        most = IN_PICTURE
    shown = every[every["hull_id"].isin(hulls[:most])]
    _parts.picture(
        _ask.picture(
            seen, "fleet", most, draw=lambda: charts.fleet_ahead(shown, dark=_seen.is_dark())
        ),
        "ahead",
        "Hulls by weeks ahead; each cell says the chance that an anode reaches its limit by then. "
        "The list below says it for the chosen horizon.",
    )
    st.caption(
        "Chance that at least one anode of the hull reaches its limit by the date on top, if "
        "nobody touches it. Blank: under 1 in 50."
    )
    _parts.download(every, "weeks_ahead", "Weeks ahead as CSV")


_frame.page("This week", show)
