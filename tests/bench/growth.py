"""`rank` step by step on fleets of growing size, and what it should be measured by.

Each fleet is 400 days with some 460 outings and 80 looks a hull (`wide_fleet`). Each size runs in a
process of its own, so that the peak memory is its own; seconds are of the processor beside those of
the clock, since a neighbour on the machine adds less to them. The commands `rank` and `plan` as a
whole, start and printing with them, in processes of their own. Beside it: pyarrow reading the same
columns once (the floor), and DuckDB summing engine hours by hull in SQL beside numpy summing them
from the columns as the exposure does.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pyarrow.parquet as pq

from tests.bench.clock import HOUSE, fastest
from tests.bench.wide_fleet import write_wide_fleet

SIZES = (40, 400, 4_000, 10_000)
STEPS = ("read", "check", "exposures", "lives", "fit", "use ahead", "paths", "whole")
GROWTH_FROM = 400
LARGEST_PLAN = 4_000
COLUMNS = ["hull_id", "started", "ended", "engine_hours"]


def in_a_fresh_process(folder: Path) -> dict[str, Any]:
    """Run the chain once in this process and time each step: clock and processor, s."""
    from corrosion.command_line import keep_freed_memory
    from corrosion.exposure import build_lives
    from corrosion.forecast import exposure_until_now, forecast_fleet, use_ahead
    from corrosion.life_model import fit_life
    from corrosion.records import check_logs, read_fleet

    keep_freed_memory()  # as every command does
    measured: dict[str, Any] = {}

    def timed(step: str, action: Callable[[], Any]) -> Any:
        clock, busy = time.perf_counter(), time.process_time()
        made = action()
        measured[step] = (time.perf_counter() - clock, time.process_time() - busy)
        return made

    logbook = timed("read", lambda: read_fleet(folder))
    checked = timed("check", lambda: check_logs(logbook))
    exposure = timed("exposures", lambda: exposure_until_now(checked))
    lives = timed("lives", lambda: build_lives(checked))
    fit = timed("fit", lambda: fit_life(lives, exposure))
    ahead = timed("use ahead", lambda: use_ahead(checked, exposure))
    timed("paths", lambda: forecast_fleet(fit, checked, ahead))
    measured["whole"] = tuple(sum(measured[step][at] for step in STEPS[:-1]) for at in (0, 1))
    measured["peak_gib"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    measured["outings"], measured["looks"] = len(checked.outings), len(lives.looks)
    return measured | beside(folder)


def whole_command(word: str, folder: str) -> dict[str, float]:
    """Run a command on a fleet: s of the clock and of the processor, and peak memory, GiB."""
    start = time.perf_counter()
    words = [sys.executable, "-m", "corrosion", word, folder]
    ran = subprocess.Popen(words, cwd=HOUSE, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(ran.pid, 0)
    ran.returncode = os.waitstatus_to_exitcode(status)
    if ran.returncode not in (0, 1):  # 1 is an answer
        raise RuntimeError(f"{' '.join(words)} ended with {ran.returncode}")
    clock, busy = time.perf_counter() - start, used.ru_utime + used.ru_stime
    return {"clock": clock, "busy": busy, "peak_gib": used.ru_maxrss / 2**20}


def beside(folder: Path) -> dict[str, Any]:
    """Time the floor and the sum by others, least of three, s of the clock."""
    file = folder / "outings" / "outings.parquet"
    table = pq.read_table(file, columns=COLUMNS)
    codes, names = pd.factorize(table["hull_id"].to_pandas())
    hours = table["engine_hours"].to_numpy()
    actions: dict[str, Callable[[], object]] = {
        "pyarrow_s": lambda: pq.read_table(file, columns=COLUMNS),
        "numpy_sum_s": lambda: np.bincount(codes, hours, minlength=len(names)),
    }
    try:
        import duckdb
    except ImportError:
        duckdb = None
    if duckdb is not None:
        base = duckdb.connect()
        base.execute("set threads to 2")
        base.register("columns", table)
        base.execute("create table outings as select * from columns")
        actions["duckdb_sum_s"] = lambda: base.execute(
            "select hull_id, sum(engine_hours) from outings group by hull_id"
        ).fetchnumpy()
    return dict(zip(actions, fastest(*actions.values(), times=3), strict=True))


def main(words: list[str]) -> int:
    """Measure the sizes asked for (all when none is) and print the table."""
    sizes: dict[int, dict[str, Any]] = {}
    for size in [int(word) for word in words] or SIZES:
        with tempfile.TemporaryDirectory() as folder:
            write_wide_fleet(Path(folder), size)
            words = [sys.executable, "-m", "tests.bench.growth", "--one", folder]
            ran = subprocess.run(words, cwd=HOUSE, check=True, stdout=subprocess.PIPE, text=True)
            sizes[size] = json.loads(ran.stdout.splitlines()[-1])
            sizes[size]["rank"] = whole_command("rank", folder)
            if size <= LARGEST_PLAN:
                sizes[size]["plan"] = whole_command("plan", folder)
    print(as_table(sizes))
    return 0


def as_table(sizes: dict[int, dict[str, Any]]) -> str:
    """The table as Markdown: seconds of the processor (of the clock), by step and size."""
    busy = os.getloadavg()[0]
    head = [f"{size:,} hulls" for size in sizes]
    rows = [f"| | {' | '.join(head)} |", "|---" * (len(sizes) + 1) + "|"]
    rows += [
        f"| {step} | {' | '.join(f'{t[step][1]:.2f} ({t[step][0]:.2f})' for t in sizes.values())} |"
        for step in STEPS
    ]
    for word in ("rank", "plan"):
        ran = [t.get(word) for t in sizes.values()]
        cells = ["not tried" if r is None else f"{r['busy']:.1f} ({r['clock']:.1f})" for r in ran]
        rows.append(f"| `{word}` as a whole | {' | '.join(cells)} |")
        cells = ["" if r is None else f"{r['peak_gib']:.2f}" for r in ran]
        rows.append(f"| its peak, GiB | {' | '.join(cells)} |")
    for name in ("outings", "looks"):
        rows.append(f"| {name} | {' | '.join(f'{t[name]:,}' for t in sizes.values())} |")
    peaks = [f"{t['peak_gib']:.2f}" for t in sizes.values()]
    rows.append(f"| peak of the steps, GiB | {' | '.join(peaks)} |")
    for name in ("pyarrow_s", "numpy_sum_s", "duckdb_sum_s"):
        cells = [f"{t[name]:.4f}" if name in t else "not installed" for t in sizes.values()]
        rows.append(f"| {name[:-2].replace('_', ' ')}, s | {' | '.join(cells)} |")
    base = sizes.get(GROWTH_FROM)
    if base:
        cells = [
            f"{t['whole'][1] / base['whole'][1] / (size / GROWTH_FROM):.2f}"
            for size, t in sizes.items()
        ]
        rows.append(f"| growth against linear from {GROWTH_FROM} | {' | '.join(cells)} |")
    note = f"Seconds of the processor (of the clock); {busy:.0f} processes ran on two cores."
    return "\n".join([note, "", *rows])


if __name__ == "__main__":
    from tests.results import recorded

    if sys.argv[1:2] == ["--one"]:
        print(json.dumps(in_a_fresh_process(Path(sys.argv[2]))))
    else:
        sys.exit(recorded("tests.bench.growth", main))
