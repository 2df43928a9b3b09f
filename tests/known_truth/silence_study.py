"""Score the program when entries are missing: `python -m tests.known_truth.silence_study --help`.

The same question twice: worn by the 28th day after the last entry, asked when the silence began,
and asked after three weeks of it. Hidden wear tells who was right.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from collections.abc import Callable, Collection, Mapping
from functools import cache

import numpy as np
import pandas as pd

from tests.known_truth.exam import judge
from tests.known_truth.program import ROUTES, Answers
from tests.known_truth.scores import bootstrap, brier_skill
from tests.known_truth.simulator import TrueFleet, simulate, write
from tests.known_truth.simulator.silence import (
    fallen_silent,
    late_entries,
    living_at,
    moment,
)

SILENT_DAYS = 21
LATE_DAYS = 10.0
BEGINS = (0.55, 0.75)
KEYS = ["hull_id", "position"]


def judged_at(
    fleet: TrueFleet, on: pd.Timestamp, days: int, truth: pd.DataFrame | None = None
) -> pd.DataFrame:
    """Ask for the chance to be worn so many days after a moment; the truth beside it."""
    with tempfile.TemporaryDirectory() as folder:
        answers = ROUTES["appraisal"](write(fleet, folder), on, (days,))
    return _beside_truth(fleet, on, days, truth, answers)


def judged_in_place(
    fleet: TrueFleet, on: pd.Timestamp, days: int, truth: pd.DataFrame | None = None
) -> pd.DataFrame:
    """The same of a fleet as it was drawn, whose entries are all in place; asked once for all."""
    return _beside_truth(fleet, on, days, truth, _in_place(fleet.kind, fleet.seed, on, days))


@cache
def drawn(kind: str, seed: int) -> TrueFleet:
    """Draw a fleet, once for all cases."""
    return simulate(kind, seed)


@cache
def _in_place(kind: str, seed: int, on: pd.Timestamp, days: int) -> Mapping[int, Answers]:
    with tempfile.TemporaryDirectory() as folder:
        return ROUTES["appraisal"](write(drawn(kind, seed), folder), on, (days,))


def _beside_truth(
    fleet: TrueFleet,
    on: pd.Timestamp,
    days: int,
    truth: pd.DataFrame | None,
    answers: Mapping[int, Answers],
) -> pd.DataFrame:
    table = judge(fleet.outcome(on, days) if truth is None else truth, answers[days])
    return table.assign(date=on, fleet=f"{fleet.kind}-{fleet.seed}")


def untouched(fleet: TrueFleet, since: pd.Timestamp) -> pd.DataFrame:
    """Return what became of the anodes in service when a silence began, by its 28th day.

    Those that were changed meanwhile count as well, as if nobody had touched them: to leave them
    out would keep the ones that the yard, not the program, had seen to be sound.
    """
    truth = fleet.outcome(since, SILENT_DAYS + 7)
    now = fleet.outcome(since, SILENT_DAYS).set_index(KEYS)["worn_then"]
    return truth.assign(worn_true=now.reindex(pd.MultiIndex.from_frame(truth[KEYS])).to_numpy())


def silence(fleet: TrueFleet, share: float, who: str = "fleet") -> pd.DataFrame:
    """Judge the 28th day, asked at the start of a silence, after it, and after it but in place.

    Parameters
    ----------
    fleet
        As drawn.
    share
        When the silence begins, share of the days.
    who
        'fleet', 'mooring' (the first), or 'looks' (whole fleet, but looks are written down).
    """
    since = moment(fleet, share)
    until = since + pd.Timedelta(days=SILENT_DAYS)
    hulls = living_at(fleet, 0, since) if who == "mooring" else None
    withheld = fallen_silent(fleet, since, until, hulls, looks_too=who != "looks")
    then = judged_in_place(fleet, since, SILENT_DAYS + 7).set_index(KEYS)
    truth = fleet.outcome(until, 7)
    if who != "looks":
        # elsewhere changes are on record, so the truth there is that of the anodes in place now
        hidden = untouched(fleet, since)
        changed_truth = (
            truth["hull_id"].isin(hulls) if hulls is not None else truth["hull_id"].notna()
        )
        hidden_truth = (
            hidden["hull_id"].isin(hulls) if hulls is not None else hidden["hull_id"].notna()
        )
        truth = pd.concat([truth[~changed_truth], hidden[hidden_truth]], ignore_index=True)
    now = judged_at(withheld, until, 7, truth).set_index(KEYS)
    full = judged_in_place(fleet, until, 7).set_index(KEYS)
    table = now.join(then[["risk"]].add_suffix("_then"), how="inner")
    table = table.join(full[["risk", "worn", "fitted_at"]].add_suffix("_full")).reset_index()
    changed = table["fitted_at_full"] != table["fitted_at"]
    silent = True if hulls is None else table["hull_id"].isin(hulls)
    return table.assign(silent=silent, risk_full=table["risk_full"].mask(changed))


def late(fleet: TrueFleet, share: float, dated: bool) -> pd.DataFrame:
    """Judge 28 days when entries come 0 to 10 days late, and when they are in place."""
    on = moment(fleet, share)
    withheld = late_entries(fleet, on, LATE_DAYS, dated, fleet.seed)
    full = judged_in_place(fleet, on, 28).set_index(KEYS)
    now = judged_at(withheld, on, 28).set_index(KEYS)
    table = now.join(full[["risk", "worn"]].add_suffix("_full")).reset_index()
    return table.assign(silent=True, risk_then=table["risk_full"])


def laid_up(fleet: TrueFleet) -> pd.DataFrame:
    """Judge hulls that truly lie still; the row's `silent` are those hulls."""
    since = moment(fleet, fleet.plan.laid_up_from)
    until = since + pd.Timedelta(days=SILENT_DAYS)
    still = [hull.hull_id for hull in fleet.hulls[: fleet.plan.laid_up]]
    table = judged_in_place(fleet, until, 7)
    return table.assign(
        silent=table["hull_id"].isin(still), risk_then=table["risk"], risk_full=table["risk"],
        worn_full=table["worn"],
    )  # fmt: skip


def scored(table: pd.DataFrame) -> dict[str, float]:
    """Score the forecasts of one table against the truth, with those made with more known."""
    crossed = table["crossed"].to_numpy(bool)
    judged = table["risk_full"].notna()
    skills = {n: brier_skill(table[n].to_numpy(float), crossed) for n in ("risk", "risk_then")}
    in_place = brier_skill(table["risk_full"].to_numpy(float)[judged], crossed[judged])
    worn = max(int(crossed.sum()), 1)
    asked_then = table[table["risk_then"] > 0.02]
    return {
        "anodes": float(len(table)),
        "crossed": float(crossed.sum()),
        "expected_over_observed": float(table["risk"].sum() / worn),
        "asked_then": float(table["risk_then"].sum() / worn),
        "in_place": float(table["risk_full"].sum() / max(int(crossed[judged].sum()), 1)),
        "skill": skills["risk"],
        "skill_then": skills["risk_then"],
        "skill_in_place": in_place,
        "halved": float((asked_then["risk"] < 0.5 * asked_then["risk_then"]).mean()),
        "worn_bias": float((table["worn"] - table["worn_true"]).mean()),
    }


CASES: dict[str, Callable[[TrueFleet, float], pd.DataFrame]] = {
    "fleet": lambda fleet, share: silence(fleet, share),
    "mooring": lambda fleet, share: silence(fleet, share, "mooring"),
    "looks": lambda fleet, share: silence(fleet, share, "looks"),
    "late": lambda fleet, share: late(fleet, share, dated=False),
    "late_dated": lambda fleet, share: late(fleet, share, dated=True),
    "laid_up": lambda fleet, _: laid_up(fleet),
}


def examined(case: str, kind: str, seeds: Collection[int]) -> pd.DataFrame:
    """Judge a case on fleets of one kind."""
    begins = BEGINS[:1] if case == "laid_up" else BEGINS
    return pd.concat(
        [CASES[case](fleet, b) for s in seeds for fleet in [drawn(kind, s)] for b in begins],
        ignore_index=True,
    )


def main() -> int:
    """Print a line for each case and kind."""
    options = argparse.ArgumentParser(prog="python -m tests.known_truth.silence_study")
    options.add_argument("--cases", nargs="+", default=["fleet"], choices=list(CASES))
    options.add_argument("--kinds", nargs="+", default=["standard"])
    options.add_argument("--seeds", nargs="+", type=int, default=[1, 2, 3])
    options.add_argument("--draws", type=int, default=200)
    arguments = options.parse_args()
    pairs = [(case, kind) for case in arguments.cases for kind in arguments.kinds]
    for case, kind in pairs:
        table = examined(case, kind, arguments.seeds)
        for silent, rows in table.groupby("silent"):
            ends = bootstrap(rows, arguments.draws, np.random.default_rng(7), scored)
            value = scored(rows)
            print(f"\n{case} {kind} {'silent' if silent else 'others'}")
            for name, number in value.items():
                low, high = ends.loc[name, "low"], ends.loc[name, "high"]
                print(f"  {name}: {number:.3f} ({low:.3f} to {high:.3f})", flush=True)
    return 0


if __name__ == "__main__":
    for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        os.environ.setdefault(threads, "1")
    sys.exit(main())
