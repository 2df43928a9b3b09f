"""Writing logs out: every file whole or not at all, never over another, never among the logs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Literal

import pandas as pd

from corrosion.common import LogMissing, Refusal, as_csv
from corrosion.records.logbook import Logbook, entry_names, read_fleet
from corrosion.records.logbook.entering import as_table
from corrosion.records.logbook.seals import as_parquet
from corrosion.records.logbook.storing import put_in_place, told_plainly, write_beside
from corrosion.records.logs import LOGS
from corrosion.records.settings import SETTINGS_FILE

Form = Literal["csv", "parquet"]
OF_READING = ["log_row", "log_file"]  # where a row was found here, which says nothing elsewhere


def export_logs(
    folder: Path,
    target: Path,
    logs: Sequence[str] = (),
    form: Form = "csv",
    *,
    history: bool = False,
    on: pd.Timestamp | str | None = None,
) -> pd.DataFrame:
    """Write logs into a folder, one file each.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    target : Path
        Where to; made when it is not there. Outside of the fleet's folder.
    logs : sequence of str
        Names of logs; all that have rows, and the settings with them, when empty.
    form : {'csv', 'parquet'}
        CSV: times in UTC, numbers in full, text that a spreadsheet would run after an apostrophe,
        which an import takes off again. Parquet: a folder of all logs is a fleet again.
    history : bool
        True: every row, also those since corrected or struck out (in CSV with `standing` and
        `name_of_row`, what a correction calls it by). False: the rows that stand, without
        `corrects`, which names rows that are not there.
    on : Timestamp or str, optional
        As they stood at that moment.

    Returns
    -------
    DataFrame
        One row per file: `log`, `rows`, `file`.

    Raises
    ------
    LogMissing
        There is no such log.
    Refusal
        The place is among the logs, a file is there already, or the disk would not take it.
    """
    unknown = [log for log in logs if log not in LOGS]
    if unknown:
        raise LogMissing(f"{unknown[0]}: there is no such log. Logs are {', '.join(LOGS)}.")
    if target.resolve().is_relative_to(folder.resolve()):
        raise Refusal(f"{target}: lies in the fleet's own folder. Export to another one.")
    logbook = read_fleet(folder, on)
    chosen = logs or [log for log in LOGS if len(logbook.history[log])]
    contents = {f"{log}.{form}": _content(logbook, log, form, history) for log in chosen}
    if not logs and (settings := folder / SETTINGS_FILE).exists():
        contents[SETTINGS_FILE] = settings.read_bytes()
    _write_all(target, contents)
    counts = [len((logbook.history if history else logbook.tables)[log]) for log in chosen]
    files = [str(target / f"{log}.{form}") for log in chosen]
    return pd.DataFrame({"log": [*chosen], "rows": counts, "file": files})


def _content(logbook: Logbook, log: str, form: Form, history: bool) -> bytes:
    rows = (logbook.history if history else logbook.tables)[log].drop(columns=OF_READING)
    if not history:
        rows = rows.assign(corrects=None)
    elif form == "csv":
        rows = rows.assign(name_of_row=entry_names(log, rows))
    if form == "csv":
        return as_csv(rows).encode("utf-8-sig")
    return as_parquet(as_table(LOGS[log], rows.drop(columns="standing", errors="ignore")))


def _write_all(target: Path, contents: dict[str, bytes]) -> None:
    taken = [name for name in contents if (target / name).exists()]
    if taken:
        raise Refusal(f"{target / taken[0]}: is there already. Name a new folder.")
    with told_plainly("export", target):
        target.mkdir(parents=True, exist_ok=True)
        for name, content in contents.items():
            put_in_place(write_beside(target / name, content), target / name)
