"""A plan with a full book of hires: 120 hulls, three moorings, six weeks, 4,000 hires.

`python -m tests.bench.hires` prints a line: hires ahead, seconds of the processor and of the clock
for the plan alone, pull-outs, hires that change, the gap.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd

from tests.known_truth.simulator import simulate, write
from tests.known_truth.simulator.plans import STANDARD

WEEKS, AFTER_DAYS = 6, 260
HIRES = 4000
SLOTS_H = (9.0, 12.5, 16.0)
SHARE_H = 2.5


def full_book(hulls: list[str], on: pd.Timestamp, hires: int, seed: int = 5) -> pd.DataFrame:
    """Draw so many hires of the coming weeks, three slots a day, no two at once on a hull."""
    rng = np.random.default_rng(seed)
    slots = [(h, d, s) for h in hulls for d in range(7 * WEEKS) for s in SLOTS_H]
    chosen = rng.permutation(len(slots))[:hires]
    midnight = on.normalize() + pd.Timedelta(days=1)
    starts = [midnight + pd.Timedelta(days=slots[n][1], hours=slots[n][2]) for n in chosen]
    return pd.DataFrame(
        {
            "hull_id": [slots[n][0] for n in chosen],
            "starts": starts,
            "ends": [each + pd.Timedelta(hours=SHARE_H) for each in starts],
            "engine_hours": 2.0,
            "hire_value": np.round(rng.uniform(90, 250, hires)),
        }
    )


def main(words: list[str]) -> int:
    """Draw the fleet and its book, plan, and print how long that took."""
    from corrosion.forecast import appraise
    from corrosion.workshop.plan import make_plan

    options = argparse.ArgumentParser(prog="python -m tests.bench.hires")
    options.add_argument("--hires", type=int, default=HIRES)
    options.add_argument("--hulls-per-day", type=int, default=2)
    arguments = options.parse_args(words)
    fleet = simulate("standard", 71, replace(STANDARD, hulls=120, days=AFTER_DAYS))
    with tempfile.TemporaryDirectory() as folder:
        logs = write(fleet, Path(folder))
        book = full_book([hull.hull_id for hull in fleet.hulls], fleet.end, arguments.hires)
        book.to_parquet(logs / "bookings" / "bookings.parquet", index=False)
        with (logs / "fleet.toml").open("a", encoding="utf-8") as settings:
            for mooring in fleet.moorings:
                settings.write(
                    f'[[bays]]\nmooring_id = "{mooring.mooring_id}"\nhours_per_day = 8\n'
                    f"hulls_per_day = {arguments.hulls_per_day}\n"
                    'weekdays = ["mon", "tue", "wed", "thu", "fri"]\n'
                )
        appraisal = appraise(logs, fleet.end)
        begun_s, worked_s = time.perf_counter(), time.process_time()
        plan = make_plan(appraisal)
        clock_s, process_s = time.perf_counter() - begun_s, time.process_time() - worked_s
    changes = plan.hires["change"].value_counts().to_dict()
    print(
        f"{len(appraisal.forecast.hulls)} hulls, {arguments.hires} hires: {process_s:.1f} s of the "
        f"processor, {clock_s:.1f} s of the clock; {len(plan.pulls)} pull-outs, hires {changes}, "
        f"gap {plan.gap:.4f}"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
