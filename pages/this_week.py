"""What may not sail, what comes out, and which hire moves?"""

from __future__ import annotations

import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.reports import Headline, PlannedWeek, headline, hired_out
from pages._shared import frame, inspections, plan_week, week_lists, widgets, worked_out
from pages._shared.session import View
from pages._this_week import record_line


def show(seen: View, answer: Appraisal) -> None:
    """Answer first, then the picture, the hulls, and what follows from them."""
    first = st.container()
    with st.container(horizontal=True, vertical_alignment="center"):
        planned = plan_week.ask(seen)
        if planned is not None:
            st.markdown(plan_week.hires_and_proof(planned.plan), width="stretch")
    with first:
        widgets.say(_sentence(planned, answer))
    week_lists.hired_out(hired_out(answer))
    if planned is not None:
        plan_week.show(seen, planned, answer)
    with st.container(horizontal=True, gap="small"):
        inspections.line(seen)
        record_line.link()
    record_line.show(seen)
    week_lists.not_judged(answer)
    worked_out.show(answer)


def _sentence(planned: PlannedWeek | None, answer: Appraisal) -> str:
    forecast, settings = answer.forecast, answer.logbook.settings
    week = headline(
        forecast.hulls, forecast.anodes, forecast.not_judged, answer.until, settings.tolerated_risk
    )
    if week.judged == 0:
        return "**No hull can be judged yet.** Why is said for each below."
    by = formatting.last_day(week.by, settings.timezone)
    acts = f"If nobody acts, {_if_nobody_acts(week)} by {by}."
    if planned is not None:
        return f"{plan_week.sentence(planned, answer)} {acts}"
    fleet = formatting.count(week.judged, "hull")
    return f"**{week.over} of {fleet} should come out by {by}.** {acts}"


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


frame.page("This week", show)
