"""Notices: what reading met, said to the person who keeps the logs, as findings or a refusal."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from corrosion.common import LogRefused
from corrosion.records.logbook.contents import log_files, visible_files
from corrosion.records.logbook.corrections import Standing
from corrosion.records.logbook.files import FILE, Aside
from corrosion.records.logbook.findings import Finding, Severity
from corrosion.records.logbook.moments import clock_text
from corrosion.records.logbook.seals import is_own
from corrosion.records.logs import LOGS, YARD_LOGS, Column, Kind, Log
from corrosion.records.settings import SETTINGS_FILE, Settings

HOW_TO_WRITE: dict[Kind, str] = {
    "id": "Write an id as text or a whole number.",
    "text": "Write text.",
    "word": "Write a word.",
    "number": "Write a number with a decimal point, or leave the cell empty.",
    "moment": "Write times as timestamps or as 2031-05-02T14:30.",
    "date": "Write dates as 2031-05-02.",
    "flag": "Write yes or no, or leave the cell empty.",
}

WANTED: dict[Kind, str] = {
    "id": "an id",
    "text": "text",
    "word": "a word",
    "number": "a number",
    "moment": "a time",
    "date": "a date",
    "flag": "yes or no",
}

_ASIDES: dict[str, tuple[Severity, str]] = {
    "naive-time": (
        "note",
        "{column} carries no time zone and is read as {zone} time; write times with their zone.",
    ),
    "time-twice": (
        "note",
        "The clocks were put back: {column} came twice that day and the earlier one is taken.",
    ),
    "time-skipped": (
        "doubtful",
        "The clocks were put forward: {column} never came that day and is moved on to when they "
        "were; correct it in the log book.",
    ),
    "no-such-time": (
        "set-aside",
        "{column} lies outside 1900 to 2200 and is read as unknown; correct it in the log book.",
    ),
    "not-finite": (
        "set-aside",
        "{column} is infinite and is read as unknown; correct it in the log book.",
    ),
    "unknown-word": (
        "doubtful",
        "{column} is read as unknown; write one of {words}.",
    ),
}

_CORRECTIONS: dict[str, tuple[Severity, str]] = {
    "corrects-unknown": (
        "doubtful",
        "corrects names an entry_id that is not in this log; the row stands as one of its own.",
    ),
    "corrects-in-circle": (
        "doubtful",
        "These rows correct each other in a circle; all of them stand until one is struck out.",
    ),
    "entry-id-twice": (
        "doubtful",
        "Several rows share the entry_id that a correction names; it is taken for all of them.",
    ),
    "corrected-twice": (
        "note",
        "One row was corrected or struck out more than once; the correction entered last stands.",
    ),
}


@dataclass(frozen=True)
class Notices:
    """Speaks about the rows of one log.

    Attributes
    ----------
    log : Log
        Which log.
    frame : DataFrame
        Its rows in settled order; positions of asides are positions here.
    settings : Settings
        For the fleet's clock.
    """

    log: Log
    frame: pd.DataFrame
    settings: Settings

    def refuse(self, asides: Iterable[Aside]) -> None:
        """Refuse the log for cells of another kind, and a register for words it does not know.

        Raises
        ------
        LogRefused
            Names log, file, column, how many rows, the first value and what to do.
        """
        for aside in asides:
            column = self._column(aside)
            strange = aside.rule == "unknown-word" and self.log.register
            if aside.rule != "unreadable" and not strange:
                continue
            wanted = f"one of {', '.join(column.words)}" if strange else WANTED[column.kind]
            advice = f"Write {wanted}." if strange else HOW_TO_WRITE[column.kind]
            file = self.frame[FILE].iloc[aside.rows[0]]
            raise LogRefused(
                f"{self.log.name}: {_rows(len(aside.rows))} where {column.name} is not {wanted} "
                f"(first: {file}, {self._first(aside)}). {advice}"
            )

    def of_asides(self, asides: Iterable[Aside]) -> list[Finding]:
        """Findings about single cells."""
        return [self._of_aside(aside) for aside in asides]

    def _of_aside(self, aside: Aside) -> Finding:
        severity, sentence = _ASIDES[aside.rule]
        what = sentence.format(
            column=aside.column,
            zone=self.settings.timezone.key,
            words=", ".join(self._column(aside).words),
        )
        first = self._first(aside)
        return Finding(self.log.name, aside.rule, severity, len(aside.rows), first, what)

    def of_corrections(self, stand: Standing) -> list[Finding]:
        """Findings about corrections that could not be followed as they are."""
        return [
            Finding(self.log.name, rule, severity, len(rows), self.row(rows[0]), what)
            for rule, (severity, what) in _CORRECTIONS.items()
            if (rows := stand.odd.get(rule, []))
        ]

    def of_again(self, rows: int) -> Finding:
        """The finding that entries are in the log more than once."""
        what = "The same entries, under the same entry_id, lie in the log again; each counts once."
        return Finding(self.log.name, "written-again", "note", rows, "", what)

    def of_later(self) -> Finding:
        """The finding that all these rows are dated after now."""
        what = "Dated or entered after now, and not read before then; correct the time if wrong."
        return Finding(self.log.name, "after-now", "doubtful", len(self.frame), self.row(0), what)

    def row(self, position: int) -> str:
        """A row as people find it: what it is about, and when."""
        row = self.frame.iloc[position]
        about = [str(row[key]) for key in self.log.keys if row[key] is not None]
        if self.log.event_time:
            about.append(clock_text(row[self.log.event_time], self.settings.timezone))
        return ", ".join(about)

    def _first(self, aside: Aside) -> str:
        position = int(aside.rows[0])
        value = self.frame[aside.column].iloc[position]
        written = aside.shown[0]
        if written is None and isinstance(value, pd.Timestamp):
            written = clock_text(value, self.settings.timezone)
        cell = _short(value if written is None else written)
        return f"{self.row(position)}, {aside.column} {cell}"

    def _column(self, aside: Aside) -> Column:
        return next(column for column in self.log if column.name == aside.column)


def _short(value: object) -> str:
    text = " ".join(str(value).split())
    return text if len(text) <= 40 else text[:37] + "..."


def _rows(count: int) -> str:
    return "1 row" if count == 1 else f"{count} rows"


def folder_findings(folder: Path, settings: Settings) -> list[Finding]:
    """Findings about the folder as a whole.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    settings : Settings
        As read there.

    Returns
    -------
    list of Finding
        Settings that are not known, logs that are absent, files that are not read.
    """
    findings = [
        Finding(SETTINGS_FILE, "unknown-setting", "note", 0, key, "Not known; kept, not used.")
        for key in settings.extra
    ]
    for name in LOGS:
        findings += _of_files(folder, name)
    return findings


def _of_files(folder: Path, log: str) -> list[Finding]:
    read = log_files(folder, log)
    findings = []
    if not read and log not in YARD_LOGS:
        what = "There is no such log: everything that it would tell is unknown."
        findings.append(Finding(log, "log-absent", "note", 0, f"{log}/*.parquet", what))
    if len({path.parent for path in read if not is_own(path.name)}) > 1:
        what = "Both a folder and a single file hold this log; both are read."
        findings.append(Finding(log, "two-places", "note", 0, f"{log}.parquet", what))
    other = sorted({path.name for path in visible_files(folder, log)} - {p.name for p in read})
    if other:
        what = "Not a Parquet file, and not read; import it or move it away."
        findings.append(Finding(log, "not-parquet", "note", len(other), other[0], what))
    return findings
