"""A fleet appraised with workers beside one process, and on paper a million hulls.

Scheduler and workers are processes on loopback, of one thread each; every run has new ones, and the
process that asks is a fresh one too, so that each peak of memory is its own. Seconds of the
processor stand beside those of the clock: where there are fewer cores than workers, the clock
tells of the cores.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from tests.bench.clock import HOUSE
from tests.bench.wide_fleet import write_wide_fleet

SIZES = (400, 4_000)
WORKERS = (0, 1, 2)
MILLION = 1_000_000


def asked(folder: str, scheduler: str) -> dict[str, Any]:
    """Appraise in this process, with workers where there is a scheduler."""
    began, busy = time.perf_counter(), time.process_time()
    if scheduler:
        from corrosion.spread import appraise_with_workers

        appraisal = appraise_with_workers(scheduler, folder)
    else:
        from corrosion.forecast import appraise

        appraisal = appraise(folder)
    return {
        "clock_s": time.perf_counter() - began,
        "asker_s": time.process_time() - busy,
        "asker_gib": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20,
        "risks": dict(appraisal.forecast.hulls[["hull_id", "risk"]].to_numpy().tolist()),
    }


@contextmanager
def started(workers: int) -> Iterator[tuple[str, list[int]]]:
    """Start a scheduler and workers; give its address and their process ids."""
    processes: list[subprocess.Popen[bytes]] = []
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "scheduler.json"

        def start(role: str, *words: str) -> None:
            call = [sys.executable, "-m", f"distributed.cli.dask_{role}", *words]
            call += ["--scheduler-file", str(file), "--no-dashboard"]
            processes.append(subprocess.Popen(call, cwd=HOUSE, stderr=subprocess.DEVNULL))

        try:
            start("scheduler", "--host", "127.0.0.1", "--port", "0")
            while not file.exists():
                time.sleep(0.1)
            for _ in range(workers):
                words = ("--nthreads", "1", "--no-nanny", "--memory-limit", "0")
                start("worker", *words, "--local-directory", folder)
            address = str(json.loads(file.read_text())["address"])
            from distributed import Client

            with Client(address, set_as_default=False) as client:
                client.wait_for_workers(workers, timeout=120)
            yield address, [process.pid for process in processes[1:]]
        finally:
            for process in reversed(processes):
                process.kill()
                process.wait()


def measured(folder: str, workers: int) -> dict[str, Any]:
    """Ask once in a fresh process, and read what the workers took."""
    if not workers:
        return _asked_apart(folder, "")
    with started(workers) as (scheduler, pids):
        before = [_seconds(pid) for pid in pids]
        found = _asked_apart(folder, scheduler)
        took = [_seconds(pid) - was for pid, was in zip(pids, before, strict=True)]
        return found | {"workers_s": took, "workers_gib": [_peak_gib(pid) for pid in pids]}


def _asked_apart(folder: str, scheduler: str) -> dict[str, Any]:
    call = [sys.executable, "-m", "tests.bench.spread", "--ask", folder, scheduler]
    ran = subprocess.run(call, cwd=HOUSE, check=True, stdout=subprocess.PIPE, text=True)
    found: dict[str, Any] = json.loads(ran.stdout.splitlines()[-1])
    return found


def _seconds(pid: int) -> float:
    user, system = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[11:13]
    return (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")


def _peak_gib(pid: int) -> float:
    lines = Path(f"/proc/{pid}/status").read_text().splitlines()
    return int(next(line for line in lines if line.startswith("VmHWM")).split()[1]) / 2**20


def main(words: list[str]) -> int:
    """Measure the sizes asked for (all when none is) and print the table and the estimate."""
    runs: dict[int, dict[int, dict[str, Any]]] = {}
    for size in [int(word) for word in words] or SIZES:
        with tempfile.TemporaryDirectory() as folder:
            write_wide_fleet(Path(folder), size)
            runs[size] = {workers: measured(folder, workers) for workers in WORKERS}
    print(as_table(runs))
    if len(runs) > 1:
        print(f"\n{on_paper(runs)}")
    return 0


def as_table(runs: dict[int, dict[int, dict[str, Any]]]) -> str:
    """Return what was measured as Markdown."""
    lines = [
        f"{os.cpu_count()} cores, {os.getloadavg()[0]:.0f} processes ran on them.",
        "",
        "| hulls | workers | clock, s | asking process: processor, s; peak, GiB "
        "| each worker: processor, s; peak, GiB | largest difference of a risk |",
        "|---|---|---|---|---|---|",
    ]
    for size, by_workers in runs.items():
        alone = by_workers[0]["risks"]
        for workers, run in by_workers.items():
            theirs = zip(run.get("workers_s", []), run.get("workers_gib", []), strict=True)
            each = ", ".join(f"{s:.1f}; {gib:.2f}" for s, gib in theirs) or "-"
            apart = max(abs(risk - alone[hull]) for hull, risk in run["risks"].items())
            lines.append(
                f"| {size:,} | {workers or 'one process'} | {run['clock_s']:.1f} | "
                f"{run['asker_s']:.1f}; {run['asker_gib']:.2f} | {each} | {apart:.0e} |"
            )
    return "\n".join(lines)


def on_paper(runs: dict[int, dict[int, dict[str, Any]]]) -> str:
    """Draw the line through the smallest and the largest size on to a million hulls."""
    small, large = min(runs), max(runs)
    most = max(WORKERS)

    def at_a_million(of: str) -> float:
        low, high = (_total(runs[size][most][of]) for size in (small, large))
        return float(high + (high - low) / (large - small) * (MILLION - large))

    workers_h, asker_h = at_a_million("workers_s") / 3600, at_a_million("asker_s") / 3600
    return (
        f"On paper, {MILLION:,} hulls, by the line through {small:,} and {large:,} with {most} "
        f"workers: workers {workers_h:.1f} h of the processor in all, shared by as many as there "
        f"are; the asking process {asker_h:.1f} h and {at_a_million('asker_gib'):.0f} GiB, which "
        "no worker takes off it. Not run."
    )


def _total(value: float | list[float]) -> float:
    return sum(value) if isinstance(value, list) else value


if __name__ == "__main__":
    from tests.results import recorded

    if sys.argv[1:2] == ["--ask"]:
        print(json.dumps(asked(*sys.argv[2:4])))
    else:
        sys.exit(recorded("tests.bench.spread", main))
