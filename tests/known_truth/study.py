"""Score the program on simulated fleets: `python -m tests.known_truth.study --help`.

What each score means stands in `scores`; what each kind of fleet is, in `simulator/plans.py`.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd

    from tests.known_truth.exam import Exam

ROUTES = ("shell", "commands", "appraisal", "straight-line", "average")
QUESTIONS = ("flushing", "habits", "moorings", "check")


def main(words: Sequence[str] | None = None) -> int:
    """Run the study that the command line asks for."""
    arguments = _options().parse_args(words)
    for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        os.environ.setdefault(threads, "1")  # before numpy is loaded, or it is not heeded
    pairs = [(kind, seed) for kind in arguments.kinds for seed in arguments.seeds]
    if arguments.ask == "forecasts":
        _forecasts(arguments, pairs)
    else:
        _question(arguments, pairs)
    return 0


def _forecasts(arguments: argparse.Namespace, pairs: list[tuple[str, int]]) -> None:
    import pandas as pd

    from tests.known_truth.exam import Exam, markdown, summarise, wide

    exam = Exam(arguments.dates, tuple(arguments.days), arguments.route)
    judged = pd.concat(_judged(pairs, exam, arguments.processes), ignore_index=True)
    summary = summarise(judged, arguments.draws)
    print(markdown(wide(summary)))
    left_out = int((~judged["judged"]).sum())
    took_s = judged.drop_duplicates(["fleet", "date"])["took_s"].mean()
    print(f"\nnot judged by the program: {left_out} rows; {took_s:.1f} s a date, all horizons")
    if arguments.csv:
        summary.to_csv(arguments.csv, index=False)
    if arguments.rows:
        judged.to_csv(arguments.rows, index=False)


def _question(arguments: argparse.Namespace, pairs: list[tuple[str, int]]) -> None:
    import pandas as pd

    from tests.known_truth.exam import markdown
    from tests.known_truth.questions import flushing_summary, put

    table = pd.concat([put(arguments.ask, *pair) for pair in pairs], ignore_index=True)
    print(markdown(table.drop(columns="note", errors="ignore").round(4)))
    if arguments.ask == "flushing":
        print(f"\n{markdown(flushing_summary(table).round(3))}")
    if arguments.csv:
        table.to_csv(arguments.csv, index=False)


def _judged(pairs: list[tuple[str, int]], exam: Exam, processes: int) -> list[pd.DataFrame]:
    if processes == 1:
        return [_told(*pair, exam) for pair in pairs]
    kinds, seeds = zip(*pairs, strict=True)
    with ProcessPoolExecutor(processes) as pool:
        return list(pool.map(partial(_told, exam=exam), kinds, seeds))


def _told(kind: str, seed: int, exam: Exam) -> pd.DataFrame:
    from tests.known_truth.exam import examine

    begun = time.perf_counter()
    judged = examine(kind, seed, exam)
    print(f"{kind} {seed}: {time.perf_counter() - begun:.1f} s", file=sys.stderr, flush=True)
    return judged


def _options() -> argparse.ArgumentParser:
    options = argparse.ArgumentParser(
        prog="python -m tests.known_truth.study", description="Score the program."
    )
    options.add_argument("--kinds", nargs="+", default=["standard"], metavar="KIND")
    options.add_argument("--seeds", nargs="+", type=int, default=[1, 2, 3])
    options.add_argument("--dates", type=int, default=6, help="forecast dates a fleet")
    options.add_argument("--days", nargs="+", type=int, default=[7, 14, 28], help="horizons")
    options.add_argument("--route", choices=ROUTES, default="commands")
    options.add_argument("--ask", default="forecasts", choices=("forecasts", *QUESTIONS))
    options.add_argument("--draws", type=int, default=200, help="bootstrap draws; 0: none")
    options.add_argument("--processes", type=int, default=1)
    options.add_argument("--csv", type=Path, help="write the scores, one row a score")
    options.add_argument("--rows", type=Path, help="write every judged forecast")
    return options


if __name__ == "__main__":
    from tests.results import recorded

    sys.exit(recorded("tests.known_truth.study", main))
