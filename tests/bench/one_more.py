"""The next forecast after one more reading, in a process that made one before.

Each fleet is one of `tests.bench.wide_fleet`, each size in a process of its own. One reading after
another is entered: of now; of a fleet that is large enough to have a sample which climbs first
(`corrosion.life_model.hull_sample`) also one off a sheet of last week of a hull outside it, one of
last week of a hull of it, one off yesterday's work sheet with the new anode that went in, one of
the next hour and one of the next day; between them nothing else happens. Steps are timed inside
`appraise` itself; seconds are of the processor, those of the clock beside the whole, since a
neighbour on the machine adds less to them.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pandas as pd

from corrosion.common import Remembered
from corrosion.forecast import Appraisal, appraisal
from corrosion.life_model.hull_sample import hulls_that_speak_first
from corrosion.records import append, operator
from tests.bench.clock import HOUSE
from tests.bench.wide_fleet import write_wide_fleet

SIZES = (400, 1_000, 2_000)
STEPS = {
    "read_fleet": "read",
    "check_logs": "check",
    "exposure_until_now": "exposures",
    "build_lives": "lives",
    "fit_life": "fit",
    "use_ahead": "use ahead",
    "forecast_fleet": "paths",
}
FIRST, NOW, SAMPLED = "first", "of now", "of last week, of the sample"
CHANGED = "of yesterday, changed"
OF_SMALL = {NOW: (0.1, 0.1)}
OF_LARGE = {
    NOW: (-0.5, -0.5),
    "of last week": (-170.0, -0.4),
    SAMPLED: (-170.0, -0.3),
    CHANGED: (-30.0, -0.2),
    "of the next hour": (0.1, 0.1),
    "of the next day": (24.1, 24.1),
}
"""When the anode was read and when that was written down, hours from the moment of the last report,
which in a large fleet is the full hour."""


def _timed(action: Callable[..., Any], name: str, taken: dict[str, float]) -> Callable[..., Any]:
    def run(*arguments: Any, **named: Any) -> Any:
        start = time.process_time()
        made = action(*arguments, **named)
        taken[name] = time.process_time() - start
        return made

    return run


def measure(folder: Path) -> dict[str, dict[str, float]]:
    """Appraise, enter readings one by one, appraise after each: s by step, of each appraisal."""
    taken: dict[str, float] = {}
    for step, name in STEPS.items():
        setattr(appraisal, step, _timed(getattr(appraisal, step), name, taken))
    last, runs = Remembered(), {}

    def appraised(what: str) -> Appraisal:
        taken.update(dict.fromkeys(STEPS.values(), 0.0))
        clock, busy = time.perf_counter(), time.process_time()
        made = appraisal.appraise(folder, remembered=last)
        whole = {"whole": time.process_time() - busy, "clock": time.perf_counter() - clock}
        runs[what] = taken | whole
        return made

    now = appraised(FIRST)
    sample = hulls_that_speak_first(now.lives, now.exposure)
    for what, (read_h, written_h) in (OF_SMALL if sample is None else OF_LARGE).items():
        looks = now.checked.readings.dropna(subset=["size_mm"])
        sampled = looks["hull_id"].isin([] if sample is None else sample)
        row = looks[sampled == (what == SAMPLED)].iloc[-1]
        read = row[["hull_id", "position", "size_mm"]].to_dict()
        at, written = (now.forecast.on + pd.Timedelta(hours=h) for h in (read_h, written_h))
        entries = {"readings": read | {"read_at": at, "removed": what == CHANGED}}
        if what == CHANGED:
            anode = {"hull_id": read["hull_id"], "position": read["position"]}
            entries["fittings"] = anode | {"fitted_at": at}
        for log, entry in entries.items():
            when = written + pd.Timedelta(minutes=1)
            append(folder, log, pd.DataFrame([entry]), operator("yard"), when)
        now = appraised(what)
    return runs


def main(words: list[str]) -> int:
    """Measure the sizes asked for (all when none is) and print the table."""
    columns: dict[str, dict[str, float]] = {}
    for size in [int(word) for word in words] or SIZES:
        with tempfile.TemporaryDirectory() as folder:
            write_wide_fleet(Path(folder), size)
            ran = subprocess.run(
                [sys.executable, "-m", "tests.bench.one_more", "--one", folder],
                cwd=HOUSE, check=True, stdout=subprocess.PIPE, text=True,
            )  # fmt: skip
            runs = json.loads(ran.stdout.splitlines()[-1])
        columns |= {f"{size:,} hulls, {what}": run for what, run in runs.items()}
    rows = [f"| | {' | '.join(columns)} |", "|---" * (len(columns) + 1) + "|"]
    rows += [
        f"| {name} | {' | '.join(f'{run[name]:.2f}' for run in columns.values())} |"
        for name in (*STEPS.values(), "whole", "clock")
    ]
    busy = os.getloadavg()[0]
    print(f"Seconds of the processor; {busy:.0f} processes ran on two cores.\n")
    print("\n".join(rows))
    return 0


if __name__ == "__main__":
    from tests.results import recorded

    if sys.argv[1:2] == ["--one"]:
        print(json.dumps(measure(Path(sys.argv[2]))))
    else:
        sys.exit(recorded("tests.bench.one_more", main))
