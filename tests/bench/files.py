"""A log of 5,000 appended files: opened, joined, opened again, and one more row appended."""

from __future__ import annotations

import os
import tempfile
import time
from pathlib import Path
from zoneinfo import ZoneInfo

import pandas as pd
import pyarrow.parquet as pq

from corrosion.records import operator
from corrosion.records.logbook import append, read_fleet
from corrosion.records.logbook.compacting import compact
from corrosion.records.logbook.entering import as_table, checked_rows
from corrosion.records.logbook.seals import Seal, as_parquet, content_digest, sealed
from corrosion.records.logs import LOGS
from tests.bench.clock import Measured, fastest, once
from tests.fleets import usual_fleet

FILES = 5_000
LOG = LOGS["readings"]
LOOK = {"hull_id": "H1", "position": "pencil", "read_at": "2026-05-02T14:30Z", "size_mm": 8.1}


def write_appended(folder: Path) -> None:
    """The files that so many appends leave, without waiting for the disk each time."""
    usual_fleet().write(folder)
    (folder / LOG.name).mkdir()
    begin, last = time.time_ns() - FILES * 1_000_000_000, None
    rows = checked_rows(LOG, pd.DataFrame([LOOK | {"entered_by": "bench"}]), ZoneInfo("UTC"))
    for number in range(FILES):
        written = begin + number * 1_000_000_000
        at = pd.Timestamp(written // 1000, unit="us", tz="UTC")
        table = as_table(LOG, rows.assign(entry_id=f"e{number}", entered_at=at))
        before = (last.name, last.seal) if last else ("", "")
        name = f"r-{written}-1-{number:08x}.parquet"
        seal = Seal(name, 1, content_digest(table), *before, written // 1000, written // 1000)
        (folder / LOG.name / name).write_bytes(as_parquet(sealed(table, seal)))
        last = seal


def read_plainly(folder: Path) -> int:
    """Every file of the log by the library alone, one after the other."""
    return sum(pq.read_table(path).num_rows for path in (folder / LOG.name).glob("*.parquet"))


def append_one(folder: Path) -> None:
    append(folder, LOG.name, pd.DataFrame([LOOK]), by=operator("bench"))


def flush_once(folder: Path) -> None:
    """What the disk takes for one small file that is to stay: two flushes and a rename."""
    part, target = folder / ".part", folder / f"{time.time_ns()}.bin"
    with part.open("wb") as file:
        file.write(bytes(2_000))
        os.fsync(file.fileno())
    part.rename(target)
    handle = os.open(folder, os.O_RDONLY)
    os.fsync(handle)
    os.close(handle)


def processor_s(folder: Path) -> float:
    """Seconds of processor that opening takes, which neighbours on the machine add less to."""
    begin = time.process_time()
    read_fleet(folder)
    return time.process_time() - begin


def measure() -> list[Measured]:
    """Four lines: opening before and after joining, joining, appending."""
    with tempfile.TemporaryDirectory() as name:
        folder, scratch = Path(name) / "fleet", Path(name) / "scratch"
        write_appended(folder)
        scratch.mkdir()
        plain = "pyarrow alone, the same files"
        before = fastest(lambda: read_fleet(folder), lambda: read_plainly(folder), times=3)
        busy = processor_s(folder)
        joining = once(lambda: compact(folder, LOG.name))
        after = fastest(lambda: read_fleet(folder), lambda: read_plainly(folder), times=3)
        calm = processor_s(folder)
        one = fastest(lambda: append_one(folder), lambda: flush_once(scratch), times=20)
    return [
        Measured("5,000 appended files, opened", before[0], plain, before[1], goal(3, busy)),
        Measured("the same joined, opened", after[0], plain, after[1], goal(1, calm)),
        Measured("joining them", joining, plain, before[1]),
        Measured("one row appended", one[0], "two flushes and a rename", one[1]),
    ]


def goal(most_s: int, processor: float) -> str:
    return f"at most {most_s} s; {processor:.2f} s of processor"
