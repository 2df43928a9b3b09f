"""What comes out, when, and what if nobody acts?"""

from __future__ import annotations

import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.reports import Headline, charts, headline, hired_out, weeks_ahead
from pages._shared import (
    cached_answers,
    frame,
    inspections,
    odd_ones,
    plan_week,
    session,
    set_aside,
    week_lists,
    widgets,
    worked_out,
)
from pages._shared.session import View
from pages._this_week import record_line

IN_PICTURE = 12


def show(seen: View, answer: Appraisal) -> None:
    """Answer first, then names, the picture, the rows, and what stands behind them."""
    forecast, settings = answer.forecast, answer.logbook.settings
    by = answer.until
    week = headline(
        forecast.hulls, forecast.anodes, forecast.not_judged, by, settings.tolerated_risk
    )
    widgets.say(_sentence(week, answer))
    week_lists.past_limit(week.past, answer, hired_out(answer))
    plan_week.show(seen, answer)
    inspections.line(seen)
    _picture(seen, answer)
    week_lists.ranked(answer)
    record_line.show(seen)
    odd_ones.week(seen, answer)
    week_lists.not_judged(answer)
    set_aside.show(answer)
    worked_out.show(answer)


def _sentence(week: Headline, answer: Appraisal) -> str:
    settings = answer.logbook.settings
    by = formatting.day(week.by, settings.timezone)
    if week.judged == 0:
        return "**No hull can be judged yet.** Why is said for each below."
    fleet = formatting.count(week.judged, "hull")
    if week.over == 0:
        start = f"**No hull of {week.judged} needs to come out by {by}.**"
    else:
        start = f"**{week.over} of {fleet} should come out by {by}.**"
    return f"{start} If nobody acts, {_if_nobody_acts(week)} by then."


def _if_nobody_acts(week: Headline) -> str:
    if week.high == 0:
        return "probably no hull has an anode at its limit"
    if week.low == week.high:
        return f"about {formatting.count(week.high, 'hull')} will have an anode at its limit"
    if week.low == 0:
        return (
            f"up to {formatting.count(week.high, 'hull')}, most likely {week.likely}, "
            "will have an anode at its limit"
        )
    return (
        f"{week.low} to {formatting.count(week.high, 'hull')}, most likely {week.likely}, "
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
    widgets.picture(
        cached_answers.picture(
            seen, "fleet", most, draw=lambda: charts.fleet_ahead(shown, dark=session.is_dark())
        ),
        "ahead",
        "Hulls by weeks ahead; each cell says the chance that an anode reaches its limit by then. "
        "The list below says it for the chosen horizon.",
    )
    st.caption(
        "Chance that at least one anode of the hull reaches its limit by the date on top, if "
        "nobody touches it. Blank: under 1 in 50."
    )
    widgets.download(every, "weeks_ahead", "Weeks ahead as CSV")


frame.page("This week", show)
