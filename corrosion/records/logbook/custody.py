"""Custody: are all files still there, as they were written? For copies and for audits.

Every file that this program writes names the one before it, with its seal, and the log's head
names the newest. So a file that is gone is missed by the next, the newest and a whole log by the
head, a cell that was changed breaks a seal, and a copy of the folder is whole when it holds the
same files: then its mark is the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from hashlib import blake2b
from pathlib import Path

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq

from corrosion.common import LogMissing
from corrosion.records.logbook.contents import log_files, read_parquet
from corrosion.records.logbook.findings import Finding
from corrosion.records.logbook.heads import Head, head_file, read_head
from corrosion.records.logbook.seals import (
    Seal,
    content_digest,
    is_joined,
    is_own,
    parts_in,
    seal_in,
    written_ns,
)
from corrosion.records.logs import LOGS

HOLDING_COLUMNS = ["log", "files", "rows", "first_written", "last_written", "mark", "odd"]
_SKEW_US = 120_000_000  # a clock that was so far behind the last entry was put back


@dataclass
class _Held:
    """What a log's files are: seals of written ones by name, digests of others, and what is odd.

    `claimed` are the parts that changed joined files say they hold: changed they are, not missing;
    `head` is what the log's head says.
    """

    files: int = 0
    rows: int = 0
    seals: dict[str, Seal] = field(default_factory=dict)
    others: dict[str, str] = field(default_factory=dict)
    changed: list[str] = field(default_factory=list)
    claimed: set[str] = field(default_factory=set)
    head: Head | None = None

    @property
    def missing(self) -> list[str]:
        """Written files that others, or the head, name and that are not there."""
        named = {seal.before for seal in self.seals.values() if seal.before}
        named |= {*(self.head.names if self.head else ())}
        return sorted(named - {*self.seals} - {*self.changed} - self.claimed)

    @property
    def swapped(self) -> list[str]:
        """Written files that are whole, and not those that the next one was written after."""
        return sorted(
            seal.before
            for seal in self.seals.values()
            if seal.before in self.seals and self.seals[seal.before].seal != seal.before_seal
        )

    @property
    def mark(self) -> str:
        """A short text that is the same for the same files, joined or not."""
        told = sorted([*(seal.seal for seal in self.seals.values()), *self.others.values()])
        return blake2b("".join(told).encode(), digest_size=8).hexdigest() if told else ""


def _held(folder: Path, log: str) -> _Held:
    held = _Held(head=read_head(folder, log))  # first: what it names is there by then
    for path in log_files(folder, log):
        if not is_own(path.name):
            continue
        held.files += 1
        try:
            table = read_parquet(path)
        except (OSError, pa.ArrowException, ValueError):
            held.changed.append(path.name)
            continue
        seals = _seals(path.name, table)
        if seals is None:
            held.changed.append(path.name)
            held.claimed |= {seal.name for seal in parts_in(table)}
        else:
            held.rows += sum(seal.rows for seal in seals if seal.name not in held.seals)
            held.seals |= {seal.name: seal for seal in seals}
    return held


def _with_others(folder: Path, log: str) -> _Held:
    """The same with files of other programs, byte by byte."""
    held = _held(folder, log)
    for path in log_files(folder, log):
        if is_own(path.name):
            continue
        held.files += 1
        held.others[path.name] = blake2b(path.read_bytes(), digest_size=16).hexdigest()
        try:
            held.rows += pq.read_metadata(path).num_rows
        except (OSError, pa.ArrowException, ValueError):
            held.changed.append(path.name)
    return held


def _seals(name: str, table: pa.Table) -> list[Seal] | None:
    """Seals of a written file's parts, each compared with its rows; None where one is broken."""
    own = seal_in(table)
    if own is None or own.name != name:
        return None
    seals = parts_in(table) if is_joined(name) else [own]
    begin = 0
    for seal in seals:
        if content_digest(table.slice(begin, seal.rows)) != seal.digest:
            return None
        begin += seal.rows
    return seals if begin == len(table) else None


def file_findings(folder: str | Path) -> list[Finding]:
    """Findings about the files themselves: missing ones, changed ones, clocks that were put back.

    Parameters
    ----------
    folder : str or Path
        The fleet's folder.

    Returns
    -------
    list of Finding
        `file-missing` and `file-changed` (doubtful, `rows` is how many files), `clock-put-back`
        (a note, how many files). Every file that this program wrote is read.
    """
    return [finding for log in LOGS for finding in _findings(log, _held(Path(folder), log))]


def _findings(log: str, held: _Held) -> Iterator[Finding]:
    if held.missing:
        what = "Files that were written into this log are gone; put them back from a copy."
        yield Finding(log, "file-missing", "doubtful", len(held.missing), held.missing[0], what)
    damaged = [head_file(Path(), log).name] if held.head and not held.head.newest else []
    changed = sorted({*held.changed, *held.swapped, *damaged})
    if changed:
        what = "These files are not as they were written; compare them with a copy."
        yield Finding(log, "file-changed", "doubtful", len(changed), changed[0], what)
    back = [seal for seal in held.seals.values() if seal.clock < seal.entered - _SKEW_US]
    if back:
        first = min(back, key=lambda seal: written_ns(seal.name))
        what = "Written while the computer's clock was put back; they follow the entry before."
        yield Finding(log, "clock-put-back", "note", len(back), first.name, what)


def holdings(folder: str | Path) -> pd.DataFrame:
    """What lies in a fleet's folder, so that two copies can be compared.

    Parameters
    ----------
    folder : str or Path
        The fleet's folder, or a copy of it.

    Returns
    -------
    DataFrame
        One row per log that has files, or had: `log`, `files`, `rows`, `first_written` and
        `last_written` (UTC, of files that this program wrote), `mark` (the same in every whole
        copy, before and after files were joined), `odd` (files missing or changed).

    Raises
    ------
    LogMissing
        There is no such folder.
    """
    folder = Path(folder)
    if not folder.is_dir():
        raise LogMissing(f"{folder}: there is no such folder. Give the folder that holds the logs.")
    held = {log: _with_others(folder, log) for log in LOGS}
    rows = [_holding(log, each) for log, each in held.items() if each.files or each.missing]
    return pd.DataFrame(rows, columns=HOLDING_COLUMNS)


def _holding(log: str, held: _Held) -> dict[str, object]:
    times = [pd.Timestamp(written_ns(name), unit="ns", tz="UTC") for name in held.seals]
    odd = len({*held.missing, *held.changed, *held.swapped})
    return {
        "log": log,
        "files": held.files,
        "rows": held.rows,
        "first_written": min(times, default=pd.NaT),
        "last_written": max(times, default=pd.NaT),
        "mark": held.mark,
        "odd": odd,
    }
