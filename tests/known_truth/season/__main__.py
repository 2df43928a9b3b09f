"""Work seasons through: `python -m tests.known_truth.season --help`."""

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

    from tests.known_truth.season.compare import Study


def main(words: Sequence[str] | None = None) -> int:
    """Run the study that the command line asks for and print its table."""
    arguments = _options().parse_args(words)
    for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        os.environ.setdefault(threads, "1")  # before numpy is loaded, or it is not heeded
    import pandas as pd

    from tests.known_truth.exam import markdown
    from tests.known_truth.season.compare import Study, paired, summary

    study = Study(
        arguments.hulls,
        arguments.weeks,
        arguments.hulls_per_day,
        arguments.says,
        not arguments.no_prices,
    )
    pairs = [(kind, seed) for kind in arguments.kinds for seed in arguments.seeds]
    if arguments.csv and arguments.csv.exists():
        raise SystemExit(f"{arguments.csv}: is there already. Name a new file.")
    made = _seasons(pairs, study, arguments.processes, arguments.csv)
    seasons = pd.concat(made, ignore_index=True)
    beside = paired(seasons)
    print(markdown(summary(beside)))
    if len(arguments.kinds) > 1:
        print("\n" + markdown(summary(beside.assign(kind="all of these"))))
    ours = seasons[seasons["policy"] == "ours"]
    print(
        f"\npull-outs refused: {int(ours['refused'].sum())}; slowest plan "
        f"{ours['plan_s'].max():.1f} s; widest gap {ours['plan_gap'].max():.3f}"
    )
    return 0


def _seasons(
    pairs: list[tuple[str, int]], study: Study, processes: int, csv: Path | None
) -> list[pd.DataFrame]:
    work = partial(_told, study=study, csv=csv)
    if processes == 1:
        return [work(*pair) for pair in pairs]
    kinds, seeds = zip(*pairs, strict=True)
    with ProcessPoolExecutor(processes) as pool:
        return list(pool.map(work, kinds, seeds))


def _told(kind: str, seed: int, study: Study, csv: Path | None) -> pd.DataFrame:
    from tests.known_truth.season.compare import season

    begun = time.perf_counter()
    table = season(kind, seed, study)
    took_s = time.perf_counter() - begun
    ours = table.iloc[0]
    result = f"{ours['pull_outs']} out, {ours['past_days']:.0f} days past"
    print(f"{kind} {seed}: {result}; {took_s:.0f} s", file=sys.stderr, flush=True)
    if csv:  # as they come, so that a study cut short has not been for nothing
        table.to_csv(csv, mode="a", header=not csv.exists(), index=False)
    return table


def _options() -> argparse.ArgumentParser:
    options = argparse.ArgumentParser(
        prog="python -m tests.known_truth.season",
        description="A season worked through by the plan and by rules of thumb.",
    )
    options.add_argument("--kinds", nargs="+", default=["standard"], metavar="KIND")
    options.add_argument("--seeds", nargs="+", type=int, default=[1, 2, 3, 4, 5, 6])
    options.add_argument("--hulls", type=int, default=20)
    options.add_argument("--weeks", type=int, default=20)
    options.add_argument("--hulls-per-day", type=int, default=1, help="of each mooring's bay")
    options.add_argument("--says", choices=("plan", "pull-by"), default="plan")
    options.add_argument("--no-prices", action="store_true", help="a fleet that entered no price")
    options.add_argument("--processes", type=int, default=1)
    options.add_argument("--csv", type=Path, help="write every outcome as it comes")
    return options


if __name__ == "__main__":
    from tests.results import recorded

    sys.exit(recorded("tests.known_truth.season", main))
