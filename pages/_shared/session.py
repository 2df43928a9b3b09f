"""Which fleet is looked at, as of when, how far ahead; and whether it may be written to."""

from __future__ import annotations

import os
from collections.abc import Collection
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import streamlit as st

from corrosion.common import Refusal, TooLittle
from corrosion.data_entry import logs_to_start, make_folder
from corrosion.forecast import appraise
from corrosion.records import Role, fingerprint
from pages._shared import practice, visitors
from pages._shared.browser_mark import browser

DEMO = Path(__file__).parents[2] / "demo_fleet" / "logs"
HORIZONS = (7, 14, 28)
MOST_VISITORS = 1000
OPENED: dict[str, Path] = {}
"""The fleet folder that each visitor opened, by the mark of the browser; the oldest goes first."""


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
    """Give the fleet folder to look at: the fixed one, else the visitor's own, else the demo.

    Somebody who practises on a copy of the demo looks at that copy. A tab keeps the fleet that it
    began with, whatever the visitor opens in another one.
    """
    if st.session_state.get("practice"):
        return Path(st.session_state["practice"])
    if folder_is_fixed():
        return Path(os.environ["FLEET_LOGS"])
    if "opened" not in st.session_state:
        st.session_state["opened"] = OPENED.get(_visitor())
    if st.session_state["opened"] is not None:
        return Path(st.session_state["opened"])
    return DEMO if DEMO.is_dir() else None


def mark(path: Path) -> str:
    """Tell a folder from every other, also from one put in its place under the same name.

    Raises
    ------
    Refusal
        It is not there any more.
    """
    try:
        there = path.resolve(strict=True)
        facts = there.stat()
    except OSError as error:
        raise Refusal(f"{path}: cannot be opened ({error.strerror}).") from error
    return f"{there} {facts.st_dev} {facts.st_ino}"


def writable() -> Path | None:
    """Give the fleet folder that forms write to; None for the demo that comes with the program."""
    target = folder()
    return None if target is None or target.resolve() == DEMO.resolve() else target


def is_begun_only() -> bool:
    """Tell whether the fleet folder is empty, still to be made, or lacks a register."""
    place = folder()
    return place is not None and bool(logs_to_start(place))


def keep_hull(page: str, hulls: Collection[str]) -> None:
    """Stay with the hull of the page before: on the way the framework lets go of its field.

    It takes the hull out of the address as well, so no link may lead from one page with this field
    to another hull on another.
    """
    before, hull = st.session_state.get("hull_asked_on", page), st.session_state.get("hull")
    st.session_state["hull_asked_on"] = page
    if before != page and hull in hulls and "hull" not in st.query_params:
        st.session_state["hull"] = st.query_params["hull"] = hull


def root() -> Path:
    """Give the folder below which visitors may open and start fleets: FLEET_ROOT, or ours."""
    return Path(os.environ.get("FLEET_ROOT") or Path.cwd()).resolve()


def _below_root(typed: str) -> Path:
    """Read a path as it was typed; a relative one begins at the root.

    Raises
    ------
    Refusal
        It is no path, or leads out of the root; nothing of what lies there is told.
    """
    text = typed.strip().strip("\"'")
    try:
        place = (root() / Path(text).expanduser()).resolve()
    except (OSError, RuntimeError, ValueError) as error:  # a NUL, ~nobody, a link to itself
        raise Refusal(f"{text!r}: is no path of a folder.") from error
    if not place.is_relative_to(root()):
        raise Refusal(
            f"{text}: is not below {root()}. Who keeps the server chooses another root: "
            "FLEET_ROOT=/home/dock streamlit run app.py"
        )
    return place


def open_new(typed: str) -> None:
    """Open an empty folder for this visitor, to start a fleet in it.

    Raises
    ------
    Refusal
        There is something in it that is no fleet, or the disk would not make it.
    """
    place = _below_root(typed)
    try:
        make_folder(place, visitors.writer(""))
        begun = (".", "fleet.toml", "fleet.until-")  # the first of two steps may be done
        strange = [path.name for path in place.iterdir() if not path.name.startswith(begun)]
    except OSError as error:
        raise Refusal(f"{place}: cannot be made or opened ({error.strerror}).") from error
    if strange:
        raise Refusal(f"{place}: is not empty (first: {min(strange)}). Choose an empty folder.")
    _open(place)


def is_practice() -> bool:
    """Tell whether this session writes into a copy of the demo."""
    return bool(st.session_state.get("practice"))


def practise() -> None:
    """Copy the demo fleet and open the copy, for as long as this session lasts."""
    which = st.session_state["practised"] = st.session_state.get("practised", 0) + 1
    st.session_state["practice"] = str(practice.copy_for_visitor(DEMO, which))


def is_demo() -> bool:
    """Tell whether the demo fleet that comes with the program is looked at."""
    return folder() == DEMO


def open_folder(typed: str) -> None:
    """Open a fleet folder for this visitor; a folder that is refused stays shut."""
    if visitors.role() < Role.MANAGE:
        raise Refusal("Opening another fleet is for the role manage.")
    place = _below_root(typed)
    if not place.is_dir() or not logs_to_start(place):  # else its pages begin with the start form
        fingerprint(place)
        with suppress(TooLittle):  # a first season is opened too: its pages say what is missing
            appraise(place, None, HORIZONS[0])
    _open(place)


def open_demo() -> None:
    """Look at the demo fleet; a copy to practise on is left."""
    _open(None)


def _visitor() -> str:
    """Mark of the browser, and of whoever signed in there: two people may share one."""
    return f"{browser()} {visitors.person()}".strip()


def _open(place: Path | None) -> None:
    """Open a fleet for this visitor, also when the page is loaded again; None: the demo."""
    st.session_state.pop("practice", None)
    st.session_state["opened"] = place
    OPENED.pop(_visitor(), None)
    if place is not None:
        OPENED[_visitor()] = place
    while len(OPENED) > MOST_VISITORS:
        OPENED.pop(next(iter(OPENED)), None)


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
