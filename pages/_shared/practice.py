"""Copies of the demo to practise on: one a visitor, gone with the visitor's session.

A server keeps its copies in one temporary folder that it holds locked for as long as it runs. A
folder that nobody holds was left by a server that was killed, and goes when the next one starts.
"""

from __future__ import annotations

import os
import shutil
import tempfile
import time
from functools import cache
from pathlib import Path

import streamlit as st

try:
    import fcntl
except ImportError:  # without locks nobody can tell whose a folder is: it stays
    _FLOCK = False
else:
    _FLOCK = True

PREFIX = "corrosion-practice-"
JUST_MADE_S = 60.0
"""A folder so young may be another server's that has not locked it yet."""


def copy_for_visitor(demo: Path, which: int) -> Path:
    """Copy the demo fleet for this visitor.

    Parameters
    ----------
    demo : Path
        The logs that come with the program.
    which : int
        Which of the visitor's copies; the same one is not copied again.

    Returns
    -------
    Path
        The copy; it is removed when the visitor's session ends.
    """
    return _copy(str(demo), which)


def _remove(copy: Path) -> None:
    shutil.rmtree(copy.parent, ignore_errors=True)


# not an answer but a thing of the session, which the framework lets go of with the session
@st.cache_resource(scope="session", show_spinner=False, on_release=_remove)
def _copy(demo: str, which: int) -> Path:
    copy = Path(tempfile.mkdtemp(prefix=f"{which}-", dir=_held())) / "logs"
    shutil.copytree(demo, copy)
    return copy


@cache
def _held() -> Path:
    """Make this server's folder of copies and hold it until the process ends."""
    place = Path(tempfile.mkdtemp(prefix=PREFIX))
    if _FLOCK:
        fcntl.flock(os.open(place, os.O_RDONLY), fcntl.LOCK_EX | fcntl.LOCK_NB)
    return place


def remove_left_copies() -> None:
    """Remove the copies of servers that run no more."""
    for place in Path(tempfile.gettempdir()).glob(f"{PREFIX}*"):
        if _is_left(place):
            shutil.rmtree(place, ignore_errors=True)


def _is_left(place: Path) -> bool:
    """Tell whether a folder of copies is nobody's; one that cannot be opened is not ours."""
    if not _FLOCK or place.is_symlink():
        return False
    try:
        handle = os.open(place, os.O_RDONLY | os.O_DIRECTORY)
    except OSError:
        return False
    try:
        if time.time() - os.fstat(handle).st_mtime < JUST_MADE_S:
            return False
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    finally:
        os.close(handle)
    return True
