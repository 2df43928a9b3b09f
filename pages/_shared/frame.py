"""The frame around every answer: style, date and horizon, ribbon, refusal, disclaimer."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from pathlib import Path

import streamlit as st

from corrosion import CAUTION
from corrosion.common import Refusal, formatting
from corrosion.data_entry import Desk
from corrosion.forecast import Appraisal, silence_in_words, stops_in_words, what_rates_rest_on
from corrosion.records import VERSION, Logbook
from pages._shared import cached_answers, first_run, session, set_aside, start_form

STOPS_SHOWN = 6


def style() -> None:
    """Load the page's own style: touch targets, ribbon, paper."""
    st.html(Path(__file__).parent / "style.css")
    if session.is_dark():
        # white on the light blue of a dark page is hard to read
        dark_text = "[data-testid*='primary'] *{color:#101820}"
        st.html(f"<style>@media screen{{{dark_text}}}</style>")
        # pictures drawn for a dark page come out dark on white on paper
        st.html("<style>@media print{.js-plotly-plot{filter:invert(1) grayscale(1)}}</style>")


_access = st.components.v2.component(
    "corrosion.access",
    html="<span></span>",
    js=(Path(__file__).parent / "access.js").read_text(encoding="utf-8"),
)

_connection = st.components.v2.component(
    "corrosion.connection",
    html="<span></span>",
    js=(Path(__file__).parent / "connection.js").read_text(encoding="utf-8"),
)


def access(title: str) -> None:
    """Let those who come by keyboard skip the navigation, and begin a page at its heading."""
    with st.container(key="access"):
        _access(data={"page": title}, key="access_of_page")
        _connection(data={"page": title}, key="connection")


def view_controls() -> None:
    """Offer the moment to look from and the horizon; both are kept in the address."""
    asked = st.query_params.get("on")
    st.date_input(
        "As of the start of",
        value=None,
        format="YYYY-MM-DD",
        key="on",
        bind="query-params",
        help="Hides everything logged after that moment, and forecasts as it was known then. "
        "Empty: the newest logs.",
    )
    if asked and st.session_state["on"] is None:
        st.warning(
            f"The date in the address, {formatting.plain(asked)}, cannot be read; newest shown."
        )
    st.segmented_control(
        "Days ahead",
        session.HORIZONS,
        default=session.HORIZONS[0],
        key="days",
        bind="query-params",
        required=True,
    )
    if not session.folder_is_fixed() and not session.is_demo():
        st.button("Look at the demo fleet", on_click=session.open_demo)


def page(title: str, show: Callable[[session.View, Appraisal], None]) -> None:
    """Draw a page: its title, then the answer, or why there is none, then the disclaimer."""
    seen = session.view()
    if start_form.is_wanted():
        start_form.show()
        return
    if seen is None:
        first_run.choose()
    else:
        try:
            answer = cached_answers.appraisal(seen)
            _head(title, answer.logbook)
            _footing(answer)
            _unwritten(answer)
            show(seen, answer)
            set_aside.line(answer.checked, seen.on)
        except Refusal as refusal:
            _refused(title, refusal)
    _foot()


def desk_page(title: str, show: Callable[[Path, Desk], None]) -> None:
    """Draw a page that is about the newest logs, forecast or no forecast."""
    folder = session.folder()
    if start_form.is_wanted():
        start_form.show()
        return
    if folder is None:
        first_run.choose()
    else:
        try:
            desk = cached_answers.desk(folder)
            _head(title, desk.logbook)
            if st.session_state.get("on"):
                st.caption("This page is about the newest logs, whatever date is chosen.")
            show(folder, desk)
        except Refusal as refusal:
            _refused(title, refusal)
    _foot()


def _head(title: str, logbook: Logbook) -> None:
    settings = logbook.settings
    if settings.simulated or session.is_demo():
        _ribbon()
    st.title(title)
    name = f"{formatting.plain(settings.name)} · " if settings.name else ""
    when = formatting.moment(logbook.on, settings.timezone)
    st.caption(f"{name}as of {when} ({formatting.plain(settings.timezone.key)})")


def _footing(answer: Appraisal) -> None:
    """Say first where rates of wear are not yet the fleet's own."""
    for sentence in what_rates_rest_on(answer):
        st.info(formatting.plain(sentence), icon=":material/foundation:")


def _unwritten(answer: Appraisal) -> None:
    """Say first who has not written since when, what it was filled with, and who must not sail."""
    for sentence in silence_in_words(answer):
        st.warning(formatting.plain(sentence), icon=":material/edit_off:")
    lines = stops_in_words(answer.forecast.hulls)
    if lines:
        shown = [f"**▲ {formatting.plain(line)}**" for line in lines[:STOPS_SHOWN]]
        more = len(lines) - STOPS_SHOWN
        shown += [f"And {more} more: *This week* lists them."] if more > 0 else []
        st.error("  \n".join(shown))


def _foot() -> None:
    st.divider()
    st.caption(f"{CAUTION} Method {VERSION}.")


def _ribbon() -> None:
    own = (
        "" if session.folder_is_fixed() else '<a href="open_fleet" target="_self">Open your own</a>'
    )
    ribbon = "<span><b>Simulated</b> fleet: invented hulls and logs.</span>"
    if session.is_practice():
        ribbon = "<span><b>Simulated</b> fleet, a copy to practise on.</span>"
    st.html(f'<div class="ribbon">{ribbon}{own}</div>')


def _refused(title: str, refusal: Refusal) -> None:
    if session.is_demo():
        _ribbon()
    st.title(title)
    st.html(
        '<div class="refused" role="alert"><b>No answer from these logs</b>'
        f"<p>{escape(str(refusal))}</p></div>"
    )
    st.markdown(
        "Nothing was changed. Put it right in the logs, or choose another date on the left, "
        "and this page answers again."
    )
