"""Heavy work in a process of its own: its surroundings, and the bounds that it sets itself."""

from __future__ import annotations

import importlib
import os
import signal
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

OUT_OF_MEMORY = 75
"""Exit code of a process that was refused more memory."""
OUT_OF_TIME: int | None = -signal.SIGXCPU if hasattr(signal, "SIGXCPU") else None
"""Exit code, as `subprocess` tells it, of a process that the system ended for its work; None where
the system ends none."""


def child_environment() -> dict[str, str]:
    """The environment of a process that runs a room of this program, on one core."""
    source_root = str(Path(__file__).parents[2])
    paths = os.pathsep.join(filter(None, [source_root, os.environ.get("PYTHONPATH", "")]))
    threads = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    return {**os.environ, **threads, "PYTHONPATH": paths}


def bound_this_process(most_bytes: int, most_cpu_s: int) -> None:
    """Let the system refuse this process more memory, and end it after so much work.

    Parameters
    ----------
    most_bytes : int
        Memory of its own that it may take, bytes; past it, `MemoryError` is raised.
    most_cpu_s : int
        Time of a core that it may take, s; past it, the system ends it (SIGXCPU).

    Notes
    -----
    Only what is written to counts (`RLIMIT_DATA`): libraries reserve far more than they use. A
    lower limit that stands already stays. Where the system knows no limits, none is set.
    """
    if sys.platform == "win32":
        return
    resource: Any = importlib.import_module("resource")
    for kind, most in ((resource.RLIMIT_DATA, most_bytes), (resource.RLIMIT_CPU, most_cpu_s)):
        _soft, hard = resource.getrlimit(kind)
        least = most if hard == resource.RLIM_INFINITY else min(most, hard)
        resource.setrlimit(kind, (least, hard))


def run_bounded(work: Callable[[], int], most_bytes: int, most_cpu_s: int) -> int:
    """Work within bounds; give the exit code, `OUT_OF_MEMORY` where memory was refused.

    Parameters
    ----------
    work : callable
        Gives an exit code.
    most_bytes, most_cpu_s : int
        As `bound_this_process` takes them.

    Returns
    -------
    int
    """
    bound_this_process(most_bytes, most_cpu_s)
    try:
        return work()
    except MemoryError:
        return OUT_OF_MEMORY
