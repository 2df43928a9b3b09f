"""The gate before a page: sign in, and have the role that the page is for."""

from __future__ import annotations

import streamlit as st

from corrosion import CAUTION
from corrosion.common import Refusal, formatting
from corrosion.records import Role
from pages._shared import session, visitors

NEEDED = {
    "log_book": Role.LOG,
    "registers": Role.MANAGE,
    "import_export": Role.MANAGE,
    "open_fleet": Role.MANAGE,
}
"""Pages that not everybody who may look may open, by their address."""
MAY = {
    Role.LOOK: "look at every answer",
    Role.LOG: "look, and write in the log book",
    Role.MANAGE: "look, write, decide, issue plans, import, and change registers and settings",
}


def is_open() -> bool:
    """Tell whether the visitor may see anything at all."""
    return visitors.role() >= Role.LOOK


def is_open_to(address: str) -> bool:
    """Tell whether the visitor may open a page; at the demo and a copy of it, everybody may."""
    needed = NEEDED.get(address, Role.LOOK)
    folder = session.folder()
    if address != "open_fleet" and (folder is None or session.is_demo()):
        return is_open()
    return (visitors.role() if folder is None else visitors.role_in(folder)) >= needed


def ask_who() -> None:
    """Ask a visitor to sign in, or say that whoever signed in has no role here."""
    st.title("Sign in")
    if visitors.is_signed_in():
        st.warning(
            "You are signed in, and this server gives you no role now: whoever keeps it has not "
            "listed you, has taken the role away, or the sign-in has run out."
        )
        st.button("Sign out", on_click=st.logout, key="sign_out_there")
    else:
        st.markdown("This fleet is for people whom its keeper has given a role.")
    try:
        for name in visitors.providers():
            label = f"Sign in with {formatting.plain(name)}" if name else "Sign in"
            st.button(label, type="primary", on_click=st.login, args=(name or None,),
                      key=f"sign_in_{name}")  # fmt: skip
    except Refusal as refusal:
        st.error(f"Nobody can sign in. {formatting.plain(refusal)}")
    st.divider()
    st.caption(CAUTION)


def refuse(title: str, address: str) -> None:
    """Say which role a page is for, and which one the visitor has."""
    needed, own = NEEDED[address], visitors.role()
    st.title(title)
    st.warning(
        f"This page is for the role **{needed.word}**; yours is **{own.word}**: {MAY[own]}. "
        "Who keeps the server gives roles."
    )
    st.page_link("pages/this_week.py", label="To this week")
    st.divider()
    st.caption(CAUTION)


def who_looks() -> None:
    """Say in the margin which role the visitor has, with the way out."""
    if not visitors.are_asked():
        return
    st.caption(f"Signed in, role **{visitors.role().word}**")
    st.button("Sign out", on_click=st.logout, key="sign_out")


def who_may() -> None:
    """Say on the screen that opens a fleet who may what on this server."""
    if visitors.are_asked():
        st.caption(f"You are signed in; your role is {visitors.role().word}.")
        return
    address = str(st.get_option("server.address") or "")
    if address in ("127.0.0.1", "localhost", "::1"):
        st.caption(
            "Nobody is asked to sign in here: this server answers this computer alone, and whoever "
            "reaches it may write. For more people, see .streamlit/README.md."
        )
    else:
        st.warning(
            "Nobody is asked to sign in here, and this server answers other computers too: whoever "
            "reaches it may write. Set up a sign-in first: .streamlit/README.md says how."
        )
