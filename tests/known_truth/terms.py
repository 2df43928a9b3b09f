"""Does a term win? Fleets with it and without: `python -m tests.known_truth.terms --help`."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd

TERMS = ("none", "warm_passages", "unread_removals", "short_rinses")
SHOWN = ("crossed", "skill", "log_loss", "expected_over_observed", "worn_rmse", "covered")


def compared(term: str, kind: str, seeds: Sequence[int], dates: int, days: int) -> pd.DataFrame:
    """Judge one term on fleets of one kind.

    Returns
    -------
    DataFrame
        One row without the term and one with it: kind, term, and the scores in `SHOWN`; `better` is
        the number of fleets whose log loss fell.
    """
    import pandas as pd

    from tests.known_truth.candidate_terms import CANDIDATES
    from tests.known_truth.exam import Exam, examine
    from tests.known_truth.scores import score

    exam = Exam(dates, (days,), "appraisal")
    names = ["none"] if term == "none" else ["none", term]
    rows, losses = [], []
    for name in names:
        with CANDIDATES[name]():
            fleets = [examine(kind, seed, exam) for seed in seeds]
        losses.append([score(each)["log_loss"] for each in fleets])
        scores = score(pd.concat(fleets, ignore_index=True))
        better = sum(now < before for before, now in zip(losses[0], losses[-1], strict=True))
        rows.append(
            {"kind": kind, "term": name} | {s: scores[s] for s in SHOWN} | {"better": better}
        )
        print(f"{kind} {name}", file=sys.stderr, flush=True)
    return pd.DataFrame(rows)


def main(words: Sequence[str] | None = None) -> int:
    """Run the comparison that the command line asks for."""
    options = argparse.ArgumentParser(prog="python -m tests.known_truth.terms")
    options.add_argument("--term", choices=TERMS, default="none")
    options.add_argument("--kinds", nargs="+", default=["standard"], metavar="KIND")
    options.add_argument("--seeds", nargs="+", type=int, default=[31, 32, 33, 34])
    options.add_argument("--dates", type=int, default=4)
    options.add_argument("--days", type=int, default=28)
    arguments = options.parse_args(words)
    for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        os.environ.setdefault(threads, "1")  # before numpy is loaded, or it is not heeded
    import pandas as pd

    from tests.known_truth.exam import markdown

    tables = [
        compared(arguments.term, k, arguments.seeds, arguments.dates, arguments.days)
        for k in arguments.kinds
    ]
    print(markdown(pd.concat(tables).round(4)))
    return 0


if __name__ == "__main__":
    from tests.results import recorded

    sys.exit(recorded("tests.known_truth.terms", main))
