"""The screen before any fleet is open, and the form that opens one."""

from __future__ import annotations

import streamlit as st

from corrosion.common import Refusal, formatting
from pages._shared import gate, session


def choose() -> None:
    """Ask which fleet to look at: the simulated one, or the reader's own."""
    st.title("Which fleet?")
    st.markdown(
        "This page ranks the hulls of a rental fleet by the chance that a sacrificial anode is "
        "used up before somebody looks again. It reads Parquet logs from a folder on this "
        "computer; what is written down in its log book goes into that folder as new files."
    )
    gate.who_may()
    own, demo = st.columns(2, gap="large")
    with own:
        st.subheader("Your own")
        _own()
    with demo:
        st.subheader("The demo")
        _demo()


def _own() -> None:
    with st.form("open", border=False):
        typed = st.text_input(
            "Path of the fleet folder",
            placeholder="/home/dock/fleet",
            help="The folder that holds the logs: hulls, berths, outings, fittings, readings, …",
        )
        with st.container(horizontal=True):
            sent = st.form_submit_button("Open this folder", type="primary")
            new = st.form_submit_button("Start a fleet here")
    if sent:
        _open(typed)
    if new:
        _start(typed)
    st.markdown("To open it every time, start the server with")
    st.code("FLEET_LOGS=/home/dock/fleet streamlit run app.py", language=None, wrap_lines=True)


def _open(typed: str) -> None:
    if not typed.strip():
        st.error("Type the path of the folder first.")
        return
    try:
        with st.spinner("Reading the logs …", show_time=True):
            session.open_folder(typed)
    except Refusal as refusal:
        st.error(f"Not opened. {formatting.plain(refusal)}")
        return
    st.switch_page("pages/this_week.py")


def _start(typed: str) -> None:
    if not typed.strip():
        st.error("Type the path of the folder first.")
        return
    try:
        session.open_new(typed)
    except Refusal as refusal:
        st.error(f"Not started. {formatting.plain(refusal)}")
        return
    st.switch_page("pages/registers.py")


def _demo() -> None:
    if not session.DEMO.is_dir():
        st.markdown("It is not written yet: `python -m corrosion demo demo_fleet/logs` writes it.")
        return
    st.markdown("Forty invented hulls at three moorings. Every screen of it says *Simulated*.")
    if st.button("Look at the demo fleet", key="to_demo"):
        session.open_demo()
        st.switch_page("pages/this_week.py")
