"""What a phone needs and Streamlit has no word for.

Digits for numbers; two taps that are one; text typed and not sent yet, kept by the tab; role,
hull and a round under way remembered from one visit to the next. That two taps write one row is
held by the form's name (`pages._shared.entry`); here the second one is only kept from what is drawn
under the thumb by then. A line that is lost is the business of every page
(`pages/_shared/connection.js`).
"""

from __future__ import annotations

from pathlib import Path
from urllib.parse import unquote

import streamlit as st

# as text, since a path is taken for a file that a package serves
_mount = st.components.v2.component(
    "corrosion.phone",
    html="<span hidden></span>",
    js=(Path(__file__).parent / "phone.js").read_text(encoding="utf-8"),
)


def help_thumbs(form: str, by: str, hull_id: str, under_way: str | None, anode: str = "") -> None:
    """Give the page what a phone needs; `form` is the mark of the form whose text is kept.

    `under_way` is the address of the round that is under way; empty: it is over; None: as before.
    `anode` is the one whose turn it is in a round: a new form of one is shown from the top.
    """
    told = {"form": form, "by": by, "hull": hull_id or None, "round": under_way, "anode": anode}
    _mount(data=told, key="phone")


def remembered(what: str) -> str:
    """The role (``by``), hull or round of this phone's last visit; empty where it has none."""
    cookie = st.context.cookies.get(f"last_{what}")
    return unquote(cookie) if isinstance(cookie, str) else ""
