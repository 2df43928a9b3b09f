"""The log book: a fleet's folder read as it stood at a moment. Reading writes nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from hashlib import blake2b
from pathlib import Path

import numpy as np
import pandas as pd

from corrosion.common import LogMissing, is_one_cell, rows_taken
from corrosion.records.logbook.contents import log_files, visible_files
from corrosion.records.logbook.corrections import STANDS, standing
from corrosion.records.logbook.files import Aside, LogRows, placed, read_log
from corrosion.records.logbook.findings import Finding, findings_table
from corrosion.records.logbook.lookback import hide_later, last_logged, settled_order, written_again
from corrosion.records.logbook.moments import PUT_BACK, parse_on
from corrosion.records.logbook.naming import BY_CONTENT, entry_names
from corrosion.records.logbook.notices import Notices, folder_findings
from corrosion.records.logs import LOGS, Log
from corrosion.records.settings import SETTINGS_FILE, Settings, read_settings

SCHEMA = "1"  # raise it when the same bytes would be read differently
STANDING = "standing"


@dataclass(frozen=True)
class Logbook:
    """A fleet's logs as they stood at a moment.

    Every table has all columns of its log (text: object, str or None; numbers: float64, NaN
    unknown; times and dates: datetime64[us, UTC]; flags: boolean), then extra columns, then
    `log_row` (position in the log, files in name order) and `log_file` (path below the folder).
    Rows are in order of time (unknown first), then of what they are about; the index counts from
    0.

    Attributes
    ----------
    folder : Path
        Where it was read.
    settings : Settings
        The fleet's settings.
    on : Timestamp
        The moment, UTC.
    tables : mapping of str to DataFrame
        Log to the rows that stand; also as attributes (`logbook.readings`).
    history : mapping of str to DataFrame
        Log to all its rows, with `standing`: `stands`, `corrected` or `voided`.
    findings : DataFrame
        What was noticed in reading; columns of `Finding`.
    """

    folder: Path
    settings: Settings
    on: pd.Timestamp
    tables: Mapping[str, pd.DataFrame]
    history: Mapping[str, pd.DataFrame]
    findings: pd.DataFrame

    def __getattr__(self, name: str) -> pd.DataFrame:
        """A log's rows that stand, by the log's name."""
        if name in LOGS:
            return self.tables[name]
        raise AttributeError(f"there is no log {name}")


def read_fleet(
    folder: str | Path,
    on: pd.Timestamp | str | date | datetime | None = None,
    *,
    is_begun_only: bool = False,
) -> Logbook:
    """Read a fleet's folder as it stood at a moment.

    Parameters
    ----------
    folder : str or Path
        Holds `<log>/*.parquet` or `<log>.parquet`, and `fleet.toml` if there is one.
    on : Timestamp, str, date or datetime, optional
        What was true or written down later is left out first, then corrections are followed;
        the same as reading logs that were cut then. Default: now, or for a simulated fleet the
        last moment its logs know of. A date alone is 00:00 in the fleet's zone.
    is_begun_only : bool
        Let logs be absent that every forecast needs: they read as empty.

    Returns
    -------
    Logbook

    Raises
    ------
    LogMissing
        No such folder; or, unless `is_begun_only`, nothing in it, or one of `logs_needed` absent.
    LogRefused
        A file, a column or a setting cannot be read.
    Refusal
        `on` is no date or time.
    """
    folder = Path(folder)
    _require_folder(folder)
    if not is_begun_only:
        _require_logs(folder)
    settings = read_settings(folder)
    given = None if on is None else parse_on(on, settings.timezone)
    read = {name: read_log(folder, log, settings.timezone) for name, log in LOGS.items()}
    moment = _default_on(settings, read) if given is None else given
    findings = folder_findings(folder, settings)
    history = {}
    for name, log in LOGS.items():
        history[name], met = _settled(log, read.pop(name), moment, settings, given is None)
        findings += met
    tables = {name: _standing_rows(frame) for name, frame in history.items()}
    return Logbook(folder, settings, moment, tables, history, findings_table(findings))


def fingerprint(folder: str | Path) -> str:
    """A short text that changes whenever a file of the fleet does.

    Parameters
    ----------
    folder : str or Path
        The fleet's folder.

    Returns
    -------
    str
        BLAKE2 of name, size and modification time of every log file and of `fleet.toml`, and of
        the version of this reading.
    """
    folder = Path(folder)
    files = [folder / SETTINGS_FILE, *(path for log in LOGS for path in visible_files(folder, log))]
    facts = [(path.relative_to(folder).as_posix(), *_facts(path)) for path in files]
    return blake2b(repr((SCHEMA, sorted(facts))).encode(), digest_size=16).hexdigest()


def _facts(path: Path) -> tuple[int, int]:
    """Size in bytes and modification time in ns; a file that is gone has neither."""
    try:
        stat = path.stat()
    except OSError:
        return (-1, -1)
    return (stat.st_size, stat.st_mtime_ns)


def logs_needed(folder: Path) -> tuple[str, ...]:
    """Name the logs that every forecast needs and of which the folder holds no file yet.

    Raises
    ------
    LogRefused
        What stands in a log's place cannot be opened.
    """
    return tuple(name for name, log in LOGS.items() if log.needed and not log_files(folder, name))


def _require_folder(folder: Path) -> None:
    if not folder.is_dir():
        raise LogMissing(f"{folder}: there is no such folder. Give the folder that holds the logs.")


def _require_logs(folder: Path) -> None:
    if not any(log_files(folder, name) for name in LOGS):
        raise LogMissing(
            f"{folder}: there are no logs in this folder. Give the folder that holds hulls/, "
            "outings/, readings/ and the others as Parquet files."
        )
    for name in logs_needed(folder):
        raise LogMissing(
            f"{name}: this log is missing; looked for {folder / name}/*.parquet and "
            f"{folder / name}.parquet. Nothing can be said without it: add it."
        )


def _default_on(settings: Settings, read: Mapping[str, LogRows]) -> pd.Timestamp:
    last = [last_logged(LOGS[name], rows.frame) for name, rows in read.items()]
    known = [moment for moment in last if moment is not None]
    if settings.simulated and known:
        return max(known)
    clock = pd.Timestamp.now("UTC").as_unit("us")
    entered = [pd.Timestamp(rows.entered, unit="us", tz="UTC") for rows in read.values()]
    # where the clock was put back, what was entered last is not hidden until the clock is there
    return max([clock, *(last.as_unit("us") for last in entered if last <= clock + PUT_BACK)])


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


def _standing_rows(history: pd.DataFrame) -> pd.DataFrame:
    words = history[STANDING]
    if is_one_cell(words) and len(words):
        words = words.iloc[:1]
    rows = history if words.eq(STANDS).all() else _those_that_stand(history)
    return rows.drop(columns=STANDING)


def _those_that_stand(history: pd.DataFrame) -> pd.DataFrame:
    return history[history[STANDING].eq(STANDS)].reset_index(drop=True)
