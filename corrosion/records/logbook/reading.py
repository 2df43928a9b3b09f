"""The log book: a fleet's folder read as it stood at a moment. Reading writes nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from hashlib import blake2b
from pathlib import Path

import pandas as pd

from corrosion.common import LogMissing, Remembered
from corrosion.records.logbook.contents import log_files, visible_files
from corrosion.records.logbook.findings import findings_table
from corrosion.records.logbook.moments import PUT_BACK, full_hour, parse_on
from corrosion.records.logbook.notices import folder_findings
from corrosion.records.logbook.settling import ReadLog, facts_of, read_once, settled_once
from corrosion.records.logs import LOGS
from corrosion.records.settings import SETTINGS_FILE, Settings, read_settings

SCHEMA = "1"  # raise it when the same bytes would be read differently


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
    remembered: Remembered | None = None,
    to_the_hour: bool = False,
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
    remembered : Remembered, optional
        What was read last: a log of which no file changed since, and that has no row which the
        other moment hides, is not read again.
    to_the_hour : bool
        Fill the hour up where no moment is named and the fleet has thousands of hulls
        (`full_hour`), so that what was worked out of it stands until the next.

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
    last = Remembered() if remembered is None else remembered
    read = {name: read_once(folder, log, settings, last) for name, log in LOGS.items()}
    moment = _last_known(settings, read) if given is None else given
    if given is None and to_the_hour:
        moment = full_hour(moment, read["hulls"].hulls, settings.timezone)
    findings = folder_findings(folder, settings)
    history, tables = {}, {}
    for name, log in LOGS.items():
        settled = settled_once(log, read.pop(name), moment, settings, given is None, last)
        history[name], tables[name] = settled.history, settled.standing
        findings += settled.met
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
    facts = [(path.relative_to(folder).as_posix(), *facts_of(path)) for path in files]
    return blake2b(repr((SCHEMA, sorted(facts))).encode(), digest_size=16).hexdigest()


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


def _last_known(settings: Settings, read: Mapping[str, ReadLog]) -> pd.Timestamp:
    known = [each.logged for each in read.values() if each.logged is not None]
    if settings.simulated and known:
        return max(known)
    clock = pd.Timestamp.now("UTC").as_unit("us")
    entered = [pd.Timestamp(rows.entered, unit="us", tz="UTC") for rows in read.values()]
    # where the clock was put back, what was entered last is not hidden until the clock is there
    return max([clock, *(last.as_unit("us") for last in entered if last <= clock + PUT_BACK)])
