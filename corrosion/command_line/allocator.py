"""How a command's process deals with memory that it has freed.

A command makes and frees hundreds of columns, of tens of megabytes each in a large fleet, and ends.
The C library hands freed memory of that size back to the system at once, and the system blanks it
before it gives it out again: a third of the work of 10,000 hulls. A server that runs for weeks
must give it back; a command need not.
"""

from __future__ import annotations

import ctypes
import sys

M_TRIM_THRESHOLD, M_TOP_PAD, M_MMAP_MAX = -1, -2, -4
"""Options of `mallopt`, as glibc's <malloc.h> numbers them."""
NEVER = -1
TOP_PAD = 2**28
"""Bytes that are asked of the system at a time; what nobody writes to takes no memory."""


def keep_freed_memory() -> bool:
    """Let this process keep what it frees, for its next column; false where that is not to be had.

    Source: mallopt(3), Linux man-pages.
    """
    if sys.platform != "linux":
        return False
    mallopt = getattr(ctypes.CDLL(None), "mallopt", None)
    if mallopt is None:  # another C library
        return False
    options = ((M_MMAP_MAX, 0), (M_TRIM_THRESHOLD, NEVER), (M_TOP_PAD, TOP_PAD))
    return all(mallopt(option, value) == 1 for option, value in options)
