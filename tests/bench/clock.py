"""Seconds, and the table of ratios."""

import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

HOUSE = Path(__file__).parents[2]


@dataclass(frozen=True)
class Measured:
    """One line: what was measured beside what, in seconds each."""

    what: str
    ours_s: float
    beside: str
    theirs_s: float
    note: str = ""


def fastest(*actions: Callable[[], object], times: int = 5) -> list[float]:
    """Least seconds of each action, taken in turns, after one turn that warms up.

    In turns, so that a neighbour who keeps the machine busy slows all of them; the least, since
    such a neighbour only ever adds.
    """
    rounds = [[once(action) for action in actions] for _ in range(times + 1)]
    return [min(taken) for taken in zip(*rounds[1:], strict=True)]


def once(action: Callable[[], object]) -> float:
    """Seconds of one run."""
    start = time.perf_counter()
    action()
    return time.perf_counter() - start


def process(*words: str) -> Callable[[], object]:
    """A whole Python process, start to end, as an action."""
    return lambda: subprocess.run(
        [sys.executable, *words], cwd=HOUSE, check=True, capture_output=True
    )


def as_table(lines: list[Measured]) -> str:
    """The table, as Markdown."""
    rows = ["| measured | s | beside | s | ratio | |", "|---|---|---|---|---|---|"]
    rows += [
        f"| {line.what} | {line.ours_s:.3f} | {line.beside} | {line.theirs_s:.3f} "
        f"| {line.ours_s / line.theirs_s:.2f} | {line.note} |"
        for line in lines
    ]
    return "\n".join(rows)
