"""Turns at going back: one record of a fleet is made at a time, however many ask for it.

Making one takes both cores for some seconds to minutes. Whoever asks meanwhile waits, and then
finds it made. The lock is the system's (`flock`) on a file beside the record: it is let go when its
holder dies, and holds between processes as between the threads of one.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

try:
    import fcntl
except ImportError:  # a system without it has no turns
    _FLOCK = False
else:
    _FLOCK = True

LOOK_AGAIN_S = 0.2


@contextmanager
def turn(lock_file: Path, waiting: Callable[[], None]) -> Iterator[None]:
    """Wait until nobody else makes the record, and hold it.

    Parameters
    ----------
    lock_file : Path
        The same for all who would make the same record.
    waiting : callable
        Called over and over while somebody else makes it; what it raises ends the waiting.
    """
    handle = _opened(lock_file)
    if handle is None:  # a place that cannot be written to is done without
        yield
        return
    with handle:
        while not _taken(handle):
            waiting()
            time.sleep(LOOK_AGAIN_S)
        yield


def _opened(lock_file: Path) -> BinaryIO | None:
    with suppress(OSError):
        lock_file.parent.mkdir(parents=True, exist_ok=True)
        return lock_file.open("ab")
    return None


def _taken(handle: BinaryIO) -> bool:
    if _FLOCK:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
    return True
