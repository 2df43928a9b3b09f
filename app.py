"""Front door of the dashboard: `streamlit run app.py`.

The file is read twice. Imported by the server, it gives the web application with its warm-up;
executed for a visitor, it draws the frame (pages, date, horizon) and runs the page asked for.
"""

from __future__ import annotations

import gc
import threading
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import streamlit as st
import streamlit.net_util
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from streamlit.runtime.pages_manager import PagesManager

from pages._shared import cached_answers, frame, gate, practice, session
from pages._shared.browser_mark import NameBrowsers
from pages._shared.way_back import KeepWayBack

# Without this, a fresh server asked for /hull would run pages/hull.py past this file. The switch
# has no public name, which is why requirements.txt pins streamlit's minor release.
PagesManager.uses_pages_directory = False


def _no_address() -> None:
    """Know no address of this machine, and ask nobody for one."""


# Asked by a page of a foreign origin, the framework looks its own address up at a public host, to
# compare. No setting stops it; origins that are let in stand in .streamlit/config.toml.
streamlit.net_util.get_external_ip = _no_address
streamlit.net_util.get_internal_ip = _no_address

HERE = Path(__file__).parent


def main() -> None:
    """Draw the frame around the page that was asked for, then the page."""
    st.set_page_config(layout="wide", page_icon=str(HERE / "pages" / "icon.svg"))
    frame.style()
    page = st.navigation(
        _pages(), position="sidebar" if gate.is_open() else "hidden", expanded=True
    )
    frame.access(page.title)  # first, so that it is there before anybody presses Tab
    if not gate.is_open():
        gate.ask_who()
        return
    with st.sidebar:
        frame.view_controls()
        gate.who_looks()
    if gate.is_open_to(page.url_path):
        page.run()
    else:
        gate.refuse(page.title, page.url_path)


def _pages() -> dict[str, list[st.Page]]:
    """List the pages under what they are for; the address of each is its file's name."""
    pages = {
        "Decide": [
            st.Page("pages/this_week.py", title="This week", icon=":material/event:", default=True),
            st.Page("pages/fleet.py", title="Fleet", icon=":material/apps:"),
            st.Page("pages/hull.py", title="Hull", icon=":material/sailing:"),
            st.Page("pages/looks.py", title="Looks", icon=":material/search:"),
            st.Page("pages/parts.py", title="Parts", icon=":material/package_2:"),
            st.Page("pages/costs.py", title="Costs", icon=":material/payments:"),
        ],
        "Compare": [
            st.Page("pages/moorings.py", title="Moorings", icon=":material/anchor:"),
            st.Page("pages/flushing.py", title="Flushing", icon=":material/water_drop:"),
            st.Page("pages/habits.py", title="Habits", icon=":material/speed:"),
        ],
        "Write down": [
            st.Page("pages/log_book.py", title="Log book", icon=":material/edit_note:"),
            st.Page("pages/registers.py", title="Registers", icon=":material/inventory_2:"),
            st.Page("pages/import_export.py", title="Import, export", icon=":material/swap_vert:"),
        ],
        "Trust": [
            st.Page("pages/log_check.py", title="Log check", icon=":material/rule:"),
            st.Page("pages/chemistry.py", title="Chemistry", icon=":material/science:"),
            st.Page("pages/track_record.py", title="Track record", icon=":material/query_stats:"),
        ],
        "Open": [],
    }
    if not session.folder_is_fixed():
        pages["Open"].append(
            st.Page("pages/open_fleet.py", title="Open a fleet", icon=":material/folder_open:")
        )
    return {purpose: listed for purpose, listed in pages.items() if listed}


def _warm() -> None:
    """Load the statistics and the fleet before the first visitor, then spare the collector.

    What is loaded for good is frozen out of every later collection: a full one over it takes about
    a tenth of a second, in which no page moves.
    """
    practice.remove_left_copies()
    cached_answers.warm()
    gc.collect()
    gc.freeze()


@asynccontextmanager
async def _lifespan(_app: st.App) -> AsyncIterator[None]:
    threading.Thread(target=_warm, name="warm-up", daemon=True).start()
    yield


if __name__ == "__main__":
    main()
else:
    # the scripts weigh 7 MB as they are, 2 MB packed
    app = st.App(
        __file__,
        lifespan=_lifespan,
        middleware=[
            Middleware(GZipMiddleware, minimum_size=4096),
            Middleware(NameBrowsers),
            Middleware(KeepWayBack),
        ],
    )
