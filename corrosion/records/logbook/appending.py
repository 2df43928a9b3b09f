"""Appending: one more Parquet file a time, whole on the disk before anybody is told so.

    written = append(folder, "readings", rows, by=operator("dock, early shift"))

Nothing that is in a log is changed. Rows are held against the column dictionary first, so a refusal
leaves every file as it was. A row that comes with an `entry_id` that the log holds already is not
written again, so a form that is sent twice (a double tap, a retry after a lost connection) gives
the row its `entry_id` once and keeps it until the answer has come.

A correction is a row with `corrects` set to the name of the row whose place it takes
(`corrosion.records.logbook.entry_names` says it, also for rows that carry no `entry_id`); `void`
true beside it strikes that row out.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from uuid import uuid4

import pandas as pd

from corrosion.common import LogMissing, LogRefused
from corrosion.records.logbook.compacting import compact_soon
from corrosion.records.logbook.entering import checked_rows
from corrosion.records.logbook.heads import move_head
from corrosion.records.logbook.known_ids import known_ids
from corrosion.records.logbook.stamping import last_seal, stamped, write_half
from corrosion.records.logbook.storing import (
    folder_for,
    locked,
    put_in_place,
    told_plainly,
)
from corrosion.records.logs import LOGS
from corrosion.records.settings import read_settings
from corrosion.records.writers import Writer

# Rows of one visit go in so that a stop in between leaves true sentences: a hull before what
# happened to it, and a new anode before word that the old one came out, since "came out, and
# nothing went in" would be a lie, while "a new one went in" is not. What a plan says of hires is no
# plan until the plan is there.
ORDER = (
    *("moorings", "anode_positions", "hulls", "berths", "fittings", "readings", "outings"),
    *("flushes", "water_samples", "bookings", "plan_hires", "plans"),
)


@dataclass(frozen=True)
class Written:
    """What became of rows that were to be appended.

    Attributes
    ----------
    entry_ids : tuple of str
        Name of each row given, in their order, whether it was written now or was there before.
    file : Path or None
        The file that was written; None where every row was in the log already.
    already : tuple of str
        Those of `entry_ids` that the log held before and that were not written again.
    said : tuple of str
        Sentences for the person who wrote, such as that the clock was put back.
    """

    entry_ids: tuple[str, ...]
    file: Path | None
    already: tuple[str, ...] = ()
    said: tuple[str, ...] = ()

    @property
    def added(self) -> int:
        """Rows that were written now."""
        return len(self.entry_ids) - len(self.already)


@dataclass(frozen=True)
class _Ready:
    """A file that lies beside its log, whole, and only lacks its name."""

    log: str
    beside: Path | None
    written: Written


def append(
    folder: Path,
    log: str,
    rows: pd.DataFrame,
    by: Writer,
    now: pd.Timestamp | None = None,
    *,
    kept_before: bool = False,
) -> Written:
    """Append rows to a log: all of them, or none.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    log : str
        Name of the log.
    rows : DataFrame, n rows
        Columns of the log; missing ones are unknown, further ones are kept. `entry_id`,
        `entered_at` and `entered_by` are filled in where they are missing.
    by : Writer
        Who wrote the rows down: a role or shift, never a person's name, and what they may.
    now : Timestamp, optional
        The moment of writing, with a zone; the computer's clock when left out. It is moved on to
        the last entry's when the clock was put back, and `Written.said` says so.
    kept_before : bool
        True: the rows were kept elsewhere at the time (an import), so that an `entered_at` that
        is missing stays unknown.

    Returns
    -------
    Written
        Returned only when the rows are on the disk.

    Raises
    ------
    LogMissing
        There is no such folder or log.
    LogRefused
        Something in the rows may not be written.
    Refusal
        The disk would not take them, or whoever writes may not; nothing was written.
    """
    return append_all(folder, {log: rows}, by, now, kept_before=kept_before)[log]


def append_all(
    folder: Path,
    rows: Mapping[str, pd.DataFrame],
    by: Writer,
    now: pd.Timestamp | None = None,
    *,
    kept_before: bool = False,
) -> dict[str, Written]:
    """Append the rows of one visit to several logs, such as an old anode out and a new one in.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    rows : mapping of str to DataFrame
        Log to rows, each as `append` takes them.
    by, now, kept_before
        As for `append`.

    Returns
    -------
    dict of str to Written
        Every file lies whole on the disk before the first gets its name. A stop between two names
        leaves nothing untrue (fittings come before readings), and the same rows sent again with
        the same entry ids are completed.

    Raises
    ------
    LogMissing, LogRefused, Refusal
        As `append`; then no log has changed.
    """
    folder = Path(folder)
    checked = {name: _checked(folder, name, rows[name], by) for name in _in_order(rows)}
    with ExitStack() as held:
        ready = [
            _prepared(folder, name, frame, now, kept_before, held)
            for name, frame in checked.items()
        ]
        for each in ready:
            _named(each)
        for each in ready:
            if each.beside is not None and each.written.file is not None:
                move_head(folder, each.log, each.written.file)
    for each in ready:
        compact_soon(folder, each.log)
    return {each.log: each.written for each in ready}


def _in_order(rows: Mapping[str, pd.DataFrame]) -> list[str]:
    unknown = [name for name in rows if name not in LOGS]
    if unknown:
        raise LogMissing(f"{unknown[0]}: there is no such log. Logs are {', '.join(LOGS)}.")
    return sorted(rows, key=lambda name: ORDER.index(name) if name in ORDER else len(ORDER))


def _checked(folder: Path, name: str, rows: pd.DataFrame, by: Writer) -> pd.DataFrame:
    by.require(folder, name)
    if not folder.is_dir():
        raise LogMissing(f"{folder}: there is no such folder. Give the folder that holds the logs.")
    if not by.by.strip():
        raise LogRefused(f"{name}: nobody is said to have written this. Give a role or a shift.")
    frame = checked_rows(LOGS[name], rows, read_settings(folder).timezone)
    frame["entered_by"] = frame["entered_by"].fillna(by.by.strip())
    return frame


def _prepared(
    folder: Path,
    name: str,
    frame: pd.DataFrame,
    now: pd.Timestamp | None,
    kept_before: bool,
    held: ExitStack,
) -> _Ready:
    """Hold the log, and write beside it what it does not hold yet."""
    path = folder / name
    with told_plainly(name, path):
        held.enter_context(folder_for(path))
        held.enter_context(locked(path))
        given = frame["entry_id"].notna().to_numpy()
        there = known_ids(folder, name) if given.any() else frozenset()
        ids = [held_id or str(uuid4()) for held_id in frame["entry_id"]]
        frame = frame.assign(entry_id=ids)
        fresh = frame[~(frame["entry_id"].isin(there) | frame["entry_id"].duplicated())]
        already = tuple(frame["entry_id"].drop(fresh.index))
        if fresh.empty:
            return _Ready(name, None, Written(tuple(ids), None, already))
        stamp, notes = stamped(fresh, last_seal(path), now, kept_before)
        beside, file = write_half(LOGS[name], path, *stamp)
    held.callback(beside.unlink, missing_ok=True)
    return _Ready(name, beside, Written(tuple(ids), file, already, notes))


def _named(ready: _Ready) -> None:
    """Give a file its name: from here on, its rows are in the log."""
    file = ready.written.file
    if ready.beside is not None and file is not None:
        with told_plainly(ready.log, file.parent):
            put_in_place(ready.beside, file)
