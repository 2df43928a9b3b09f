"""The frame around every answer: style, date and horizon, ribbon, refusal, disclaimer."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from pathlib import Path

import streamlit as st

from corrosion import words
from corrosion.appraisal import Appraisal
from corrosion.desk import Desk
from corrosion.errors import Refusal
from corrosion.logbook import Logbook
from corrosion.method import VERSION
from pages import _ask, _first_run, _seen, _set_aside

DISCLAIMER = "Decision support; does not certify a vessel fit for hire."


def style() -> None:
    """Load the page's own style: touch targets, ribbon, paper."""
    st.html(Path(__file__).parent / "style.css")
    if _seen.is_dark():
        # white on the light blue of a dark page is hard to read
        dark_text = "[data-testid*='primary'] *{color:#101820}"
        st.html(f"<style>@media screen{{{dark_text}}}</style>")
        # pictures drawn for a dark page come out dark on white on paper
        st.html("<style>@media print{.js-plotly-plot{filter:invert(1) grayscale(1)}}</style>")


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
        st.warning(f"The date in the address, {words.plain(asked)}, cannot be read; newest shown.")
    st.segmented_control(
        "Days ahead",
        _seen.HORIZONS,
        default=_seen.HORIZONS[0],
        key="days",
        bind="query-params",
        required=True,
    )
    if not _seen.folder_is_fixed() and not _seen.is_demo():
        st.button("Look at the demo fleet", on_click=_seen.open_demo)


def page(title: str, show: Callable[[_seen.View, Appraisal], None]) -> None:
    """Draw a page: its title, then the answer, or why there is none, then the disclaimer."""
    seen = _seen.view()
    if seen is None:
        _first_run.choose()
    else:
        try:
            answer = _ask.appraisal(seen)
            _head(title, answer.logbook)
            show(seen, answer)
            _set_aside.line(answer.checked)
        except Refusal as refusal:
            _refused(title, refusal)
    _foot()


def desk_page(title: str, show: Callable[[Path, Desk], None]) -> None:
    """Draw a page that is about the newest logs, forecast or no forecast."""
    place = _seen.folder()
    if place is None:
        _first_run.choose()
    else:
        try:
            desk = _ask.desk(place)
            _head(title, desk.logbook)
            if st.session_state.get("on"):
                st.caption("This page is about the newest logs, whatever date is chosen.")
            show(place, desk)
        except Refusal as refusal:
            _refused(title, refusal)
    _foot()


def _head(title: str, logbook: Logbook) -> None:
    settings = logbook.settings
    if settings.simulated or _seen.is_demo():
        _ribbon()
    st.title(title)
    name = f"{words.plain(settings.name)} · " if settings.name else ""
    when = words.moment(logbook.on, settings.timezone)
    st.caption(f"{name}as of {when} ({words.plain(settings.timezone.key)})")


def _foot() -> None:
    st.divider()
    st.caption(f"{DISCLAIMER} Method {VERSION}.")


def _ribbon() -> None:
    own = "" if _seen.folder_is_fixed() else '<a href="open_fleet" target="_self">Open your own</a>'
    said = "<span><b>Simulated</b> fleet: invented hulls and logs.</span>"
    if _seen.is_practice():
        said = "<span><b>Simulated</b> fleet, a copy to practise on.</span>"
    st.html(f'<div class="ribbon">{said}{own}</div>')


def _refused(title: str, refusal: Refusal) -> None:
    if _seen.is_demo():
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
