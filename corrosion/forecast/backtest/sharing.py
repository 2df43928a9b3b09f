"""One process a core makes its share of the past weeks; a share that fails fails the record."""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Final, TextIO

import pandas as pd

from corrosion.common import OUT_OF_MEMORY, OUT_OF_TIME, Refusal, child_environment

Progress = Callable[[int, int], None]
MEMORY_SHARE: Final = 0.75
"""Share of the machine's memory that all processes together may take: the rest is the others'."""
MOST_CPU_S: Final = 3600
"""Time of a core that each of them may take, s."""
UNKNOWN_MEMORY_BYTES: Final = 8_000_000_000


def shared_out(folder: Path, weeks: list[pd.Timestamp], progress: Progress) -> list[pd.DataFrame]:
    """Let one process a core make its share of the weeks; each prints a line a week."""
    cores = _processes()
    with tempfile.TemporaryDirectory() as spare, contextlib.ExitStack() as stack:
        files = [Path(spare) / f"{core}.parquet" for core in range(cores)]
        # late weeks have more logs, so they are dealt out in turn
        trouble = stack.enter_context((Path(spare) / "trouble.txt").open("w+", encoding="utf-8"))
        running = [
            stack.enter_context(_process(folder, file, weeks[core::cores], trouble))
            for core, file in enumerate(files)
        ]
        done = 0
        for process in running:
            for _ in process.stdout or ():
                done += 1
                progress(done, len(weeks))
        failed = [code for code in (process.wait() for process in running) if code != 0]
        if failed:
            trouble.seek(0)
            why = _why(failed[0], trouble.read())
            raise Refusal(
                f"track-record: {len(failed)} of {cores} processes that share the work failed "
                f"({why}). Nothing was kept. Ask again; if it fails again, ask for fewer weeks."
            )
        tables = [pd.read_parquet(file) for file in files if file.exists()]
    return [part for table in tables if len(table) for _, part in table.groupby("week")]


def _why(code: int, trouble: str) -> str:
    """Say in words what ended a process."""
    if code == OUT_OF_MEMORY:
        return f"a week takes more than {most_bytes() // 1_000_000} MB of memory"
    if code == OUT_OF_TIME:
        return f"its weeks take more than {MOST_CPU_S // 60} minutes of a core"
    return trouble.strip().rpartition("\n")[2] or f"code {code}"


def most_bytes() -> int:
    """Return what one of the processes may take of the machine's memory, bytes."""
    known = hasattr(os, "sysconf") and "SC_PHYS_PAGES" in os.sysconf_names
    whole = (
        os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE") if known else UNKNOWN_MEMORY_BYTES
    )
    return int(MEMORY_SHARE * whole / _processes())


def _processes() -> int:
    return max(min(_cores(), 4), 1)


def _cores() -> int:
    """Return how many cores this process may use; not every system tells."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _process(
    folder: Path, file: Path, weeks: list[pd.Timestamp], trouble: TextIO
) -> subprocess.Popen[str]:
    words = [sys.executable, "-m", "corrosion.forecast.backtest", str(folder.resolve()), str(file)]
    return subprocess.Popen(
        [*words, *(week.isoformat() for week in weeks)],
        stdout=subprocess.PIPE,
        stderr=trouble,
        text=True,
        env=child_environment(),
    )
