"""Moments of entry and names of files: each later than the last, whatever the clock does."""

from __future__ import annotations

from dataclasses import replace
from os import getpid
from pathlib import Path
from time import time_ns
from uuid import uuid4

import pandas as pd

from corrosion.records.logbook.entering import as_table
from corrosion.records.logbook.moments import PUT_BACK
from corrosion.records.logbook.seals import (
    Seal,
    as_parquet,
    content_digest,
    is_joined,
    is_own,
    parts_of,
    seal_of,
    sealed,
    written_ns,
)
from corrosion.records.logbook.storing import (
    write_beside,
)
from corrosion.records.logs import Log

# A clock that is behind the last entry by up to PUT_BACK was put back (summer time, a wrong zone),
# and entries follow the last one. Behind by more, either moment may be the wrong one. The clock
# counts then, or a single entry from a far future would hide every later one; unless the clock was
# reset altogether.
_RESET_BEFORE = pd.Timestamp("2020-01-01", tz="UTC")  # no clock that runs shows an earlier time


_SKEW = pd.Timedelta(minutes=2)  # two good clocks differ by so much at most


_TICK = pd.Timedelta(1, "us")


def last_seal(log_folder: Path) -> Seal | None:
    """The seal of the file written last into a log; None for the first, or an unreadable one."""
    own = [path for path in log_folder.iterdir() if is_own(path.name)]
    if not own:
        return None
    last = max(own, key=lambda path: written_ns(path.name))
    try:
        seals = parts_of(last) if is_joined(last.name) else [seal_of(last)]
    except (OSError, ValueError):
        return Seal(last.name, 0, "", "", "", 0, 0)  # its seal is broken; its name still holds
    known = [seal for seal in seals if seal]
    return max(known, key=lambda seal: written_ns(seal.name)) if known else None


def stamped(
    frame: pd.DataFrame, last: Seal | None, now: pd.Timestamp | None, kept_before: bool
) -> tuple[tuple[pd.DataFrame, Seal], tuple[str, ...]]:
    """Rows with the moment of their entry, the seal that their file will carry, what to say."""
    clock = (pd.Timestamp.now("UTC") if now is None else pd.Timestamp(now)).tz_convert("UTC")
    newest = pd.Timestamp(last.entered if last else 0, unit="us", tz="UTC")
    moment = _moment(clock, newest)
    unsaid = frame["entered_at"].isna() & (not kept_before)
    rows = frame.assign(entered_at=frame["entered_at"].where(~unsaid, moment.as_unit("us")))
    entered, shown = _us(moment if unsaid.any() else newest), _us(clock)
    if not unsaid.any():  # nothing was stamped, so no clock was wrong about it
        shown = max(shown, entered)
    name = f"r-{_next_ns(last)}-{getpid()}-{uuid4().hex[:8]}.parquet"
    before = (last.name, last.seal) if last else ("", "")
    seal = Seal(name, len(rows), "", *before, entered, shown)
    return (rows, seal), _about_clock(clock, newest, moment) if unsaid.any() else ()


def _us(moment: pd.Timestamp) -> int:
    return int(moment.value) // 1000


def _next_ns(last: Seal | None) -> int:
    """Names follow each other in order of writing, whatever the clock does."""
    return max(time_ns(), written_ns(last.name) + 1 if last else 0)


def _moment(clock: pd.Timestamp, newest: pd.Timestamp) -> pd.Timestamp:
    """When an entry is said to have been written: by the clock, unless that was put back."""
    put_back = newest - PUT_BACK <= clock <= newest
    return newest + _TICK if put_back or clock < min(_RESET_BEFORE, newest) else clock


def _about_clock(
    clock: pd.Timestamp, newest: pd.Timestamp, moment: pd.Timestamp
) -> tuple[str, ...]:
    if clock >= newest - _SKEW:
        return ()
    written_at = f"{moment:%Y-%m-%d %H:%M:%S}"
    return (
        f"This computer's clock shows {clock:%Y-%m-%d %H:%M:%S} UTC, and the last entry was "
        f"written at {newest:%Y-%m-%d %H:%M:%S}: the clock was put back. Nothing is lost; the "
        f"entry is kept as of {written_at} UTC. Set the clock right.",
    )


def write_half(log: Log, log_folder: Path, rows: pd.DataFrame, seal: Seal) -> tuple[Path, Path]:
    """Write the file under a hidden name; the hidden one, and the one that it will become."""
    table = as_table(log, rows)
    seal = replace(seal, digest=content_digest(table))
    file = log_folder / seal.name
    return write_beside(file, as_parquet(sealed(table, seal))), file
