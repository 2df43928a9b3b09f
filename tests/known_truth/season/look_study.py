"""The schedule of looks beside a look every 21 and every 56 days: `... .look_study --help`."""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

KINDS = ("hot_in_season", "unbonded_in_season", "gamma", "standard", "messy", "arrhenius")


def main(words: Sequence[str] | None = None) -> int:
    """Run the study that the command line asks for and print its tables."""
    arguments = _options().parse_args(words)
    for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        os.environ.setdefault(threads, "1")  # before numpy is loaded, or it is not heeded
    from tests.known_truth.exam import markdown
    from tests.known_truth.season.look_summary import by_kind, told
    from tests.known_truth.season.resumed import work_seasons

    def work(kind: str, seed: int, policy: str) -> dict[str, object]:
        return season_of(kind, seed, policy, arguments.hulls, arguments.weeks)

    if arguments.csv and arguments.csv.exists() and not arguments.go_on:
        raise SystemExit(f"{arguments.csv}: is there already. Name a new file, or --go-on.")
    done = work_seasons(arguments.seeds, arguments.kinds, arguments.policies, arguments.csv, work)
    print(markdown(by_kind(done)))
    print("\n" + markdown(told(done)))
    return 0


def season_of(kind: str, seed: int, policy: str, hulls: int, weeks: int) -> dict[str, object]:
    """Work one season through under one policy."""
    from tests.known_truth.season.looking import every, look_through, outcome, scheduled
    from tests.known_truth.season.worlds import Prices, draw_world

    looker = scheduled if policy == "schedule" else every(int(policy))
    prices, begun = Prices(), time.perf_counter()
    world = draw_world(kind, seed, hulls, weeks)
    with tempfile.TemporaryDirectory() as folder:
        made = outcome(*look_through(world, looker, Path(folder), prices), prices)
    took_s = time.perf_counter() - begun
    print(
        f"{kind} {seed} {policy}: {made['looks']} looks, {made['past_days']:.0f} days past, "
        f"{made['cost']:.0f}; {took_s:.0f} s",
        file=sys.stderr, flush=True,
    )  # fmt: skip
    return {"kind": kind, "seed": seed, "policy": policy, **made}


def _options() -> argparse.ArgumentParser:
    options = argparse.ArgumentParser(
        prog="python -m tests.known_truth.season.look_study",
        description="The schedule of looks beside a look every so many days.",
    )
    options.add_argument("--kinds", nargs="+", default=list(KINDS), metavar="KIND")
    options.add_argument("--seeds", nargs="+", type=int, default=[1, 2])
    options.add_argument("--policies", nargs="+", default=["schedule", "56", "21"])
    options.add_argument("--hulls", type=int, default=20)
    options.add_argument("--weeks", type=int, default=20)
    options.add_argument("--csv", type=Path, help="write every season as it comes")
    options.add_argument("--go-on", action="store_true", help="add to the file what it lacks")
    return options


if __name__ == "__main__":
    from tests.results import recorded

    sys.exit(recorded("tests.known_truth.season.look_study", main))
