"""Who looks: nobody is asked on a server of its own, else whoever signed in, with a role.

A provider is set up in `.streamlit/secrets.toml` and roles in `.streamlit/roles.toml`; what to
write there stands in `.streamlit/README.md`. Where either file is, everybody is asked who they are,
whatever is wrong with them: a mistake in a file locks the door, it does not open it.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import streamlit as st

from corrosion.common import Refusal
from corrosion.records import Role, Writer, read_people

ROLES_FILE = Path(__file__).parents[2] / ".streamlit" / "roles.toml"


def roles_file() -> Path:
    """Give the list of roles: FLEET_ROLES, or the one beside the server's settings."""
    return Path(os.environ.get("FLEET_ROLES") or ROLES_FILE)


@cache
def are_asked() -> bool:
    """Tell whether visitors have to sign in; settled once for as long as the server runs."""
    secrets = any(names_a_provider(Path(file)) for file in st.get_option("secrets.files"))
    return bool(os.environ.get("FLEET_ROLES")) or ROLES_FILE.exists() or secrets


def names_a_provider(secrets: Path) -> bool:
    """Tell whether a file of secrets sets a sign-in up; one that cannot be read may have meant to.

    The account's own file may hold secrets of quite other programs.
    """
    try:
        return "auth" in tomllib.loads(secrets.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return False
    except (OSError, ValueError):
        return True


def providers() -> list[str]:
    """Name what one can sign in with; one provider alone has no name.

    Raises
    ------
    Refusal
        None is set up, or what is set up cannot be read.
    """
    try:
        auth: Mapping[str, object] = st.secrets["auth"]
    except (KeyError, FileNotFoundError) as error:
        raise Refusal("secrets.toml: holds no [auth] that can be read.") from error
    return [name for name, value in auth.items() if isinstance(value, Mapping)] or [""]


def is_signed_in() -> bool:
    """Tell whether the visitor has signed in, however long ago."""
    return bool(getattr(st.user, "is_logged_in", False))


def role() -> Role:
    """Say which role the visitor has now; a list of roles that cannot be read gives none."""
    if not are_asked():
        return Role.MANAGE
    if not is_signed_in():
        return Role.NONE
    try:
        return read_people(roles_file()).role_of(st.user.to_dict(), datetime.now(UTC))
    except Refusal:
        return Role.NONE


def role_in(folder: Path) -> Role:
    """Say which role the visitor has in a fleet folder: in a copy to practise on, every one."""
    own = role()
    copy = st.session_state.get("practice")
    is_own_copy = copy is not None and Path(copy).resolve() == folder.resolve()
    return Role.MANAGE if is_own_copy and own > Role.NONE else own


def writer(by: str) -> Writer:
    """The visitor as one who writes under a role or shift of the yard; asked at each write."""
    return Writer(by, role_in)


def person() -> str:
    """Tell signed-in people on one browser apart; empty where nobody is asked."""
    return str(st.user.get("sub", "")) if are_asked() else ""
