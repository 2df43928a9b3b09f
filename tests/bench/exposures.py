"""A million outings to hours in each state, beside sorting the same table once."""

import json
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pandas as pd

from tests.bench.clock import HOUSE, Measured

HULLS, OUTINGS_A_HULL, ASKED = 2_000, 500, 100_000
FIRST = pd.Timestamp("2030-01-01", tz="UTC")
SALT, FRESH = "estuary", "lake"


def write_million(folder: Path) -> None:
    """Write a fleet of a million outings, two a day for each hull, half of them flushed."""
    rng = np.random.default_rng(11)
    hull_ids = np.array([f"H{at:04d}" for at in range(HULLS)])
    hull = np.repeat(hull_ids, OUTINGS_A_HULL)
    hours = np.tile(np.arange(OUTINGS_A_HULL) * 12.0, HULLS) + rng.uniform(0, 6, hull.size)
    length = rng.uniform(1.5, 2.5, hull.size)
    started, ended = moments(hours), moments(hours + length)
    engine_hours = rng.uniform(0.8, 0.92, hull.size) * length
    flushed = rng.random(hull.size) < 0.5
    homes = np.where(np.arange(HULLS) % 3 == 0, FRESH, SALT)
    logs = {
        "hulls": {"hull_id": hull_ids, "layout": "jet"},
        "moorings": {"mooring_id": [SALT, FRESH], "water": ["salt", "fresh"]},
        "berths": {"hull_id": hull_ids, "mooring_id": homes, "stays": "afloat", "since": FIRST},
        "anode_positions": {
            "layout": ["jet"],
            "position": ["pencil"],
            "circuit": ["engine"],
            "alloy": ["zinc"],
            "new_size_mm": [10.0],
            "limit_size_mm": [7.0],
        },
        "outings": {
            "hull_id": hull,
            "started": started,
            "ended": ended,
            "engine_hours": engine_hours,
        },
        "flushes": {
            "hull_id": hull[flushed],
            "flushed_at": ended[flushed] + pd.Timedelta(minutes=20),
        },
    }
    for log, columns in logs.items():
        pd.DataFrame(columns).to_parquet(folder / f"{log}.parquet")


def moments(hours: np.ndarray) -> pd.DatetimeIndex:
    return (FIRST + pd.to_timedelta(hours * 3600, unit="s")).as_unit("us")


def in_a_fresh_process(folder: Path) -> dict[str, float]:
    """Time each step once in this process; the peak memory is then its own."""
    from corrosion.exposure.hours_by_state import build_exposure
    from corrosion.records.checks import check_logs
    from corrosion.records.logbook import read_fleet

    measured = {}
    at_start = peak_gib()
    clock = time.perf_counter()
    logbook = read_fleet(folder, FIRST + pd.Timedelta(days=OUTINGS_A_HULL))
    measured["read"], clock = time.perf_counter() - clock, time.perf_counter()
    checked = check_logs(logbook)
    measured["check"], clock = time.perf_counter() - clock, time.perf_counter()
    exposure = build_exposure(checked)
    rng = np.random.default_rng(3)
    hulls = rng.integers(0, HULLS, ASKED)
    start_h = float(FIRST.timestamp() / 3600) + rng.uniform(0, 3000, ASKED)
    exposure.between(hulls, start_h, start_h + 500)
    measured["exposures"], clock = time.perf_counter() - clock, time.perf_counter()
    checked.outings.sort_values(["hull_id", "started"], kind="stable")
    measured["sort"] = time.perf_counter() - clock
    return measured | {"peak": peak_gib(), "at_start": at_start}


def peak_gib() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20


def measure() -> list[Measured]:
    with tempfile.TemporaryDirectory() as folder:
        write_million(Path(folder))
        printed = subprocess.run(
            [sys.executable, "-m", "tests.bench.exposures", folder],
            cwd=HOUSE,
            check=True,
            stdout=subprocess.PIPE,
            text=True,
        ).stdout
    measured = json.loads(printed.splitlines()[-1])
    memory = f"peak memory {measured['peak']:.2f} GiB, {measured['at_start']:.2f} GiB of it imports"
    return [
        Measured(
            f"a million outings, {step}", measured[step], "sorting them", measured["sort"], note
        )
        for step, note in (
            ("read", ""),
            ("check", ""),
            ("exposures", f"{ASKED:,} spans asked; {memory}"),
        )
    ]


if __name__ == "__main__":
    print(json.dumps(in_a_fresh_process(Path(sys.argv[1]))))
