"""Take the plan along: work sheets, pick list, calendar, CSV."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from corrosion.forecast import Appraisal
from corrosion.reports import (
    Paper,
    PlannedWeek,
    changed_hires,
    picks_of_week,
    said_lines,
    sheets_of_week,
    stop_tags,
)
from corrosion.workshop import NO_LONGER, Plan
from pages._shared import widgets

PAPERS: dict[str, Paper] = {"A4": "a4", "Letter": "letter"}


def show(planned: PlannedWeek, answer: Appraisal) -> None:
    """Offer the papers of the week; each is made when it is asked for."""
    plan = planned.plan
    with st.container(horizontal=True, vertical_alignment="bottom", key="papers"):
        paper = choose_paper(answer)
        _html(
            "Work sheets",
            f"work-sheets-{plan.week}",
            lambda: sheets_of_week(plan, answer, paper),
        )
        if (answer.forecast.hulls["stop"] != "").any():
            _html("Tags: not for hire", "not-for-hire", lambda: stop_tags(answer, paper))
        if len(plan.hires) or NO_LONGER in set(planned.told.rows["what"]):
            _html("Changed hires", "changed-hires", lambda: changed_hires(plan, answer, paper))
        _html("Pick list", f"pick-list-{plan.week}", lambda: picks_of_week(plan, answer, paper))
        st.download_button(
            "Calendar" if planned.confirmed else "Calendar (draft)",
            data=planned.calendar,
            file_name=f"pull-outs-{plan.week}.ics",
            mime="text/calendar",
            key="calendar",
            icon=":material/calendar_month:",
            on_click="ignore",
        )
        widgets.download(said_lines(plan.pulls), "plan", "Plan as CSV")


def choose_paper(answer: Appraisal) -> Paper:
    """Choose the paper; fleets that measure in inches begin with Letter."""
    usual = "Letter" if answer.logbook.settings.length_unit == "in" else "A4"
    chosen = st.segmented_control("Paper", list(PAPERS), default=usual, key="paper", required=True)
    return PAPERS[chosen or usual]


def one_sheet(plan: Plan, answer: Appraisal, hull_id: str) -> None:
    """Offer the work sheet of one hull."""
    with st.container(horizontal=True, vertical_alignment="bottom", key="papers"):
        paper = choose_paper(answer)
        _html(
            "Work sheet",
            f"work-sheet-{hull_id}",
            lambda: sheets_of_week(plan, answer, paper, hull_id),
        )


def _html(label: str, name: str, make: Callable[[], str]) -> None:
    st.download_button(
        label,
        data=make,
        file_name=f"{name}.html",
        mime="text/html",
        key=f"download_{name}",
        icon=":material/print:",
        on_click="ignore",
        help="Opens in a browser, ready to print, black on white.",
    )
