"""A log read and settled at a moment: once, for as long as its files are the same."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from corrosion.common import Remembered, is_one_cell, rows_taken
from corrosion.records.logbook.contents import visible_files
from corrosion.records.logbook.corrections import STANDS, standing
from corrosion.records.logbook.files import Aside, LogRows, placed, read_log
from corrosion.records.logbook.findings import Finding
from corrosion.records.logbook.lookback import (
    hide_later,
    last_logged,
    latest_moment,
    settled_order,
    written_again,
)
from corrosion.records.logbook.naming import BY_CONTENT, entry_names
from corrosion.records.logbook.notices import Notices
from corrosion.records.logs import Log
from corrosion.records.settings import Settings

STANDING = "standing"


@dataclass(frozen=True)
class Settled:
    """A log at a moment: its history, the rows that stand, and what to say of it."""

    history: pd.DataFrame
    standing: pd.DataFrame
    met: list[Finding]


@dataclass
class ReadLog:
    """A log as read, and what is kept of it once its rows are settled and let go.

    Attributes
    ----------
    rows : LogRows, or None where its rows need not be read to settle it as last time
    logged : Timestamp or None, the last moment that it knows of
    latest : Timestamp or None, the moment from which on nothing of it is hidden
    entered : int, when the newest own file of it was written, us since 1970
    hulls : int, how many hulls the log of hulls names; 0 for others
    """

    folder: Path
    facts: tuple[object, ...]
    rows: LogRows | None
    logged: pd.Timestamp | None
    latest: pd.Timestamp | None
    entered: int
    hulls: int


def read_once(folder: Path, log: Log, settings: Settings, last: Remembered) -> ReadLog:
    """Read a log, unless its files are those that were read last; facts are taken before."""
    facts = (str(folder), settings, _facts_of_log(folder, log.name))

    def read() -> ReadLog:
        rows = read_log(folder, log, settings.timezone)
        ends = last_logged(log, rows.frame), latest_moment(log, rows.frame)
        hulls = rows.frame["hull_id"].nunique() if log.name == "hulls" else 0
        return ReadLog(folder, facts, rows, *ends, rows.entered, hulls)

    return last.of(("read", log.name), facts, read)


def settled_once(
    log: Log,
    read: ReadLog,
    on: pd.Timestamp,
    settings: Settings,
    tell_later: bool,
    last: Remembered,
) -> Settled:
    """Settle a log, unless that was done and this moment hides nothing of it either."""
    whole = read.latest is None or read.latest <= on
    inputs = (read.facts, None if whole else (on, tell_later))

    def settle() -> Settled:
        rows = read.rows or read_log(read.folder, log, settings.timezone)
        history, met = _settled(log, rows, on, settings, tell_later)
        return Settled(history, _standing_rows(history), met)

    settled = last.of(("settled", log.name), inputs, settle)
    read.rows = None  # the rows as they came are as large as the settled ones
    return settled


def _facts_of_log(folder: Path, log: str) -> tuple[object, ...]:
    return tuple(sorted((path.name, *facts_of(path)) for path in visible_files(folder, log)))


def facts_of(path: Path) -> tuple[int, int]:
    """Size in bytes and modification time in ns; a file that is gone has neither."""
    try:
        stat = path.stat()
    except OSError:
        return (-1, -1)
    return (stat.st_size, stat.st_mtime_ns)


def _settled(
    log: Log, read: LogRows, on: pd.Timestamp, settings: Settings, tell_later: bool
) -> tuple[pd.DataFrame, list[Finding]]:
    """A log's history at that moment, and what to say about it."""
    if read.frame.empty:
        return read.frame.assign(**{STANDING: pd.Series(dtype=object)}), []
    later = hide_later(log, read.frame, on)
    order = np.flatnonzero(~later)
    known = rows_taken(read.frame, order)
    settled = settled_order(log, known)
    order, frame = order[settled], rows_taken(known, settled)
    again = written_again(frame)
    if again.any():
        order, frame = order[~again], rows_taken(frame, np.flatnonzero(~again))
    asides = placed(read.asides, order, len(read.frame))
    notices = Notices(log, frame, settings)
    notices.refuse(asides)
    findings = notices.of_asides(asides)
    if again.any():
        findings.append(notices.of_again(int(again.sum())))
    _forget(frame, asides, on)
    stand = standing(_named(log, frame)) if "corrects" in frame else None
    if stand is not None:
        findings += notices.of_corrections(stand)
    words = np.full(len(frame), STANDS, dtype=object) if stand is None else stand.words
    frame[STANDING] = pd.Series(words, dtype=object, copy=False)
    if tell_later and later.any():
        findings.append(Notices(log, read.frame[later].reset_index(drop=True), settings).of_later())
    return frame, findings


def _named(log: Log, frame: pd.DataFrame) -> pd.DataFrame:
    """Rows with the names that corrections call them by; working those out takes a while."""
    corrects = frame["corrects"].dropna()
    if corrects.empty or not corrects.str.startswith(BY_CONTENT, na=False).any():
        return frame
    return frame.assign(entry_id=entry_names(log, frame))


def _forget(frame: pd.DataFrame, asides: list[Aside], on: pd.Timestamp) -> None:
    """Times outside any calendar, and a retirement that is still to come, are not known."""
    for aside in asides:
        if aside.rule == "no-such-time":
            frame.loc[aside.rows, aside.column] = pd.NaT
    if "retired" in frame:
        frame["retired"] = frame["retired"].where(~(frame["retired"] > on))


def standing_at(
    log: Log, rows: LogRows, on: pd.Timestamp, settings: Settings
) -> tuple[pd.DataFrame, list[Finding]]:
    """Return the rows of a log that stand at a moment, in their settled order; and what was met."""
    history, met = _settled(log, rows, on, settings, False)
    return _standing_rows(history), met


def _standing_rows(history: pd.DataFrame) -> pd.DataFrame:
    words = history[STANDING]
    if is_one_cell(words) and len(words):
        words = words.iloc[:1]
    rows = history if words.eq(STANDS).all() else _those_that_stand(history)
    return rows.drop(columns=STANDING)


def _those_that_stand(history: pd.DataFrame) -> pd.DataFrame:
    return history[history[STANDING].eq(STANDS)].reset_index(drop=True)
