"""Which fleet is looked at, as of when, how far ahead; and whether it may be written to."""

from __future__ import annotations

import os
import shutil
import tempfile
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import streamlit as st

from corrosion.common import Refusal
from corrosion.data_entry import has_logs
from corrosion.forecast import appraise
from corrosion.records import fingerprint

DEMO = Path(__file__).parents[2] / "demo_fleet" / "logs"
HORIZONS = (7, 14, 28)
OPENED: list[Path] = []
"""The fleet folder that somebody opened on this server; empty until then."""


@dataclass(frozen=True)
class View:
    """Which logs are looked at, as of when (None: the newest), how many days ahead."""

    folder: Path
    on: date | None
    days: int


def folder_is_fixed() -> bool:
    """Tell whether whoever started the server chose the fleet, with FLEET_LOGS."""
    return bool(os.environ.get("FLEET_LOGS"))


def folder() -> Path | None:
    """Give the fleet folder to look at: the fixed one, else the one opened, else the demo.

    Somebody who practises on a copy of the demo looks at that copy.
    """
    if st.session_state.get("practice"):
        return Path(st.session_state["practice"])
    if folder_is_fixed():
        return Path(os.environ["FLEET_LOGS"])
    if OPENED and not st.session_state.get("look_at_demo"):
        return OPENED[0]
    return DEMO if DEMO.is_dir() else None


def writable() -> Path | None:
    """Give the fleet folder that forms write to; None for the demo that comes with the program."""
    place = folder()
    return None if place is None or place.resolve() == DEMO.resolve() else place


def is_empty() -> bool:
    """Tell whether the fleet folder is there and holds no log yet."""
    place = folder()
    return place is not None and place.is_dir() and not has_logs(place)


def open_new(typed: str) -> None:
    """Open an empty folder for everybody on this server, to start a fleet in it.

    Raises
    ------
    Refusal
        There is something in it that is no fleet, or the disk would not make it.
    """
    place = Path(typed.strip().strip("\"'")).expanduser()
    try:
        place.mkdir(parents=True, exist_ok=True)
        strange = [path.name for path in place.iterdir() if not path.name.startswith(".")]
    except OSError as error:
        raise Refusal(f"{place}: cannot be made or opened ({error.strerror}).") from error
    if strange:
        raise Refusal(f"{place}: is not empty (first: {min(strange)}). Choose an empty folder.")
    OPENED[:] = [place]
    st.session_state["look_at_demo"] = False


def is_practice() -> bool:
    """Tell whether this session writes into a copy of the demo."""
    return bool(st.session_state.get("practice"))


def practise() -> None:
    """Copy the demo fleet to a temporary folder and open the copy in this session."""
    copy = Path(tempfile.mkdtemp(prefix="practice-")) / "logs"
    shutil.copytree(DEMO, copy)
    st.session_state["practice"] = str(copy)


def is_demo() -> bool:
    """Tell whether the demo fleet that comes with the program is looked at."""
    return folder() == DEMO


def open_folder(typed: str) -> None:
    """Open a fleet folder for everybody on this server; a folder that is refused stays shut."""
    place = Path(typed.strip().strip("\"'")).expanduser()
    fingerprint(place)
    appraise(place, None, HORIZONS[0])
    OPENED[:] = [place]
    st.session_state["look_at_demo"] = False


def open_demo() -> None:
    """Look at the demo fleet in this session only; a copy to practise on is left."""
    st.session_state.pop("practice", None)
    st.session_state["look_at_demo"] = True


def view() -> View | None:
    """Give what the visitor looks at, or None while there is no fleet."""
    place = folder()
    if place is None:
        return None
    days = st.session_state.get("days") or HORIZONS[0]
    return View(place, st.session_state.get("on"), int(days))


def is_dark() -> bool:
    """Tell whether the visitor's page is dark."""
    return st.context.theme.type == "dark"
