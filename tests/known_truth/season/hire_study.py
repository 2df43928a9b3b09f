"""Hires that move, beside the plan that moved none and rules of thumb: `... .hire_study --help`."""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

KINDS = (
    *("hot_in_season", "unbonded_in_season", "gamma", "standard", "confounded", "late_bookings"),
)


def main(words: Sequence[str] | None = None) -> int:
    """Run the study that the command line asks for and print its tables."""
    arguments = _options().parse_args(words)
    for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        os.environ.setdefault(threads, "1")  # before numpy is loaded, or it is not heeded
    from tests.known_truth.exam import markdown
    from tests.known_truth.season.hire_summary import beside, by_policy
    from tests.known_truth.season.past_limit import by_cause
    from tests.known_truth.season.resumed import read_seasons, work_seasons

    def work(kind: str, seed: int, policy: str) -> dict[str, object]:
        return season(kind, seed, policy, arguments)

    if arguments.table_only:
        made = read_seasons(arguments.csv)
    else:
        made = work_seasons(
            arguments.seeds, arguments.kinds, arguments.policies, arguments.csv, work
        )
    print(markdown(by_policy(made)))
    print("\n" + markdown(beside(made)))
    days = read_seasons(arguments.causes)
    if len(days):
        print("\nDays on hire past a limit under the plan, by what its newest plan knew:\n")
        print(markdown(by_cause(days[days["policy"] == "plan"])))
    return 0


def season(kind: str, seed: int, policy: str, arguments: argparse.Namespace) -> dict[str, object]:
    """Work one season through under one policy."""
    import pandas as pd

    from tests.known_truth.season.hire_policies import season_of
    from tests.known_truth.season.resumed import read_seasons
    from tests.known_truth.season.worlds import draw_world

    begun = time.perf_counter()
    world = draw_world(
        kind, seed, arguments.hulls, arguments.weeks, hulls_per_day=2, demand=arguments.demand
    )
    with tempfile.TemporaryDirectory() as folder:
        season = season_of(world, policy, Path(folder))
    made = season.sums
    if arguments.causes and len(season.days):
        days = season.days.assign(kind=kind, seed=seed, policy=policy)
        pd.concat([read_seasons(arguments.causes), days]).to_csv(arguments.causes, index=False)
    took_s = time.perf_counter() - begun
    print(
        f"{kind} {seed} {policy}: {made['past_days']:.0f} days past, {made['hire_past_days']:.0f} "
        f"on hire, {made['pull_outs']:.0f} out, {made['moved']:.0f} moved, "
        f"{made['cancelled']:.0f} cancelled; {took_s:.0f} s",
        file=sys.stderr, flush=True,
    )  # fmt: skip
    return {"kind": kind, "seed": seed, "policy": policy, **made}


def _options() -> argparse.ArgumentParser:
    from tests.known_truth.season.hire_policies import POLICIES

    options = argparse.ArgumentParser(
        prog="python -m tests.known_truth.season.hire_study",
        description="Hires that move, beside the plan that moved none and rules of thumb.",
    )
    options.add_argument("--kinds", nargs="+", default=list(KINDS), metavar="KIND")
    options.add_argument("--seeds", nargs="+", type=int, default=[1, 2])
    options.add_argument("--policies", nargs="+", default=list(POLICIES))
    options.add_argument("--hulls", type=int, default=20)
    options.add_argument("--weeks", type=int, default=16)
    options.add_argument("--demand", type=float, default=1.5, help="times an ordinary season's")
    options.add_argument("--csv", type=Path, help="written season by season; what it has is kept")
    options.add_argument("--causes", type=Path, help="CSV of each day past a limit, and its cause")
    options.add_argument("--table-only", action="store_true", help="sum up what the file has")
    return options


if __name__ == "__main__":
    from tests.results import recorded

    sys.exit(recorded("tests.known_truth.season.hire_study", main))
