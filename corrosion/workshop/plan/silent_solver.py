"""Keeping a compiled solver from writing into what a command prints."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager

_ONE_AT_A_TIME = threading.Lock()
"""Standard output is the whole process's; two threads must not swap it at once."""


@contextmanager
def nothing_printed() -> Iterator[None]:
    """Keep HiGHS, which is compiled code, from writing into what a command prints."""
    with _ONE_AT_A_TIME, open(os.devnull, "wb") as nowhere:
        sys.stdout.flush()
        shown = os.dup(1)
        os.dup2(nowhere.fileno(), 1)
        try:
            yield
        finally:
            os.dup2(shown, 1)
            os.close(shown)
