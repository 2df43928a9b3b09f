"""What comes out, when, and what if nobody acts?"""

from __future__ import annotations

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.reports import Headline, headline, hired_out
from pages._shared import (
    frame,
    plan_week,
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
    week_lists.hired_out(hired_out(answer))
    plan_week.show(seen, answer)
    record_line.show(seen)
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


frame.page("This week", show)
