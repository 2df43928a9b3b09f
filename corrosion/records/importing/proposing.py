"""Proposing: how a file would be read into a log, before anything is written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from corrosion.common import LogMissing, LogRefused, Refusal
from corrosion.records.importing.headings import guessed, unit_in
from corrosion.records.importing.logger_minutes import outings_of_logger
from corrosion.records.importing.moments_in import Clock, day_order
from corrosion.records.importing.numbers import decides, number_in, value_of
from corrosion.records.importing.options import Options, Question
from corrosion.records.importing.raw import Cell, Raw
from corrosion.records.importing.reading_apart import read_file
from corrosion.records.importing.reading_in import (
    NOT_CARRIED,
    Manner,
    ReadIn,
    cells_below,
    read_in,
)
from corrosion.records.importing.taken_entry_ids import (
    NAMED_OTHERWISE,
    question_about_names,
    rows_under_taken_names,
    settled_names,
)
from corrosion.records.logbook.files import read_log
from corrosion.records.logs import LOGS, Log
from corrosion.records.settings import Settings, read_settings

_INCHES_BELOW = 0.15  # sizes below so much of the usual new one are an anode gone, or inches


@dataclass(frozen=True)
class Proposal:
    """How a file would be read.

    Attributes
    ----------
    log : str
        The log.
    raw : Raw
        The file as it came; `raw.headings` are what may be mapped, `raw.sheets` what may be chosen.
    mapping : mapping of str to str
        Column to heading, as guessed or as said.
    missing : tuple of str
        Columns that the log needs and no heading was found for; nothing can be taken until each
        has one.
    questions : tuple of Question
        What the file does not tell. Ask them, put each answer into `Options` under
        `Question.about`, and propose again; nothing can be taken until none is left.
    rows : DataFrame, n rows
        The rows as they would be taken, those with a reason included; as good a preview as its
        first rows. Empty while columns are missing.
    reasons : list of str, length n
        Why a row would be set aside; empty where it would be taken.
    """

    log: str
    raw: Raw
    mapping: Mapping[str, str]
    missing: tuple[str, ...]
    questions: tuple[Question, ...]
    rows: pd.DataFrame
    reasons: list[str]

    @property
    def ready(self) -> bool:
        """True when `import_rows` will take it."""
        return not self.missing and not self.questions

    @property
    def left(self) -> tuple[str, ...]:
        """Headings that no column takes; they are carried along as columns of the fleet's own."""
        used = set(chain.from_iterable(heading.split("+") for heading in self.mapping.values()))
        used |= {*self.mapping.values()} | NOT_CARRIED
        return tuple(heading for heading in self.raw.headings if heading not in used)


def propose(
    folder: Path, log: str, content: bytes, name: str, options: Options | None = None
) -> Proposal:
    """Look at a file and say how it would be read into a log; nothing is written.

    Parameters
    ----------
    folder : Path
        The fleet's folder; its settings and its register of anode positions help to read.
    log : str
        Name of the log.
    content : bytes
        The file: CSV, a spreadsheet (.xlsx) or Parquet.
    name : str
        Its name.
    options : Options, optional
        What was said about it, such as answers to the questions of an earlier proposal.

    Returns
    -------
    Proposal

    Raises
    ------
    LogMissing
        There is no such log or folder.
    LogRefused
        The file can't be read, or a column or heading that was said is not there.
    """
    _require(folder, log)
    options = options or Options()
    return propose_for(folder, log, read_file(content, name, options.sheet), options)


def propose_for(folder: Path, log: str, raw: Raw, options: Options | None = None) -> Proposal:
    """Say the same of a file whose cells were read before.

    Parameters
    ----------
    folder, log, options
        As `propose` takes them.
    raw : Raw
        The sheet of `options.sheet`, as `read_file` gave it.

    Returns
    -------
    Proposal

    Raises
    ------
    LogMissing, LogRefused
        As `propose` does.
    """
    _require(folder, log)
    options = options or Options()
    raw = outings_of_logger(raw) if log == "outings" else raw
    settings = read_settings(folder)
    mapping = _mapping(raw, LOGS[log], options)
    missing = tuple(column for column in LOGS[log].required if not mapping.get(column))
    zone = options.timezone or settings.timezone
    clock = Clock(bool(options.day_first), zone, options.clock_twice)
    manner = Manner(mapping, bool(options.decimal_comma), clock, options.unit)
    manner, questions = _settled(raw, LOGS[log], manner, options)
    if not missing and (question := _about_inches(folder, raw, LOGS[log], manner, settings)):
        questions.append(question)
    read = ReadIn(pd.DataFrame(), []) if missing else read_in(raw, LOGS[log], manner)
    if not missing and not questions:  # rows that are not understood yet say nothing
        read, about_names = _names_settled(folder, log, raw, read, options, settings)
        questions += about_names
    return Proposal(log, raw, mapping, missing, tuple(questions), read.frame, read.reasons)


def _require(folder: Path, log: str) -> None:
    if log not in LOGS:
        raise LogMissing(f"{log}: there is no such log. Logs are {', '.join(LOGS)}.")
    if not folder.is_dir():
        raise LogMissing(f"{folder}: there is no such folder. Give the folder that holds the logs.")


def _names_settled(
    folder: Path, log: str, raw: Raw, read: ReadIn, options: Options, settings: Settings
) -> tuple[ReadIn, list[Question]]:
    """Rows under names that are taken, as they were said to be, or the question what they are."""
    sound = np.array([not reason for reason in read.reasons], dtype=bool)
    rows = read.frame[sound]
    other = rows_under_taken_names(folder, LOGS[log], rows, settings.timezone)
    other = other.reindex(read.frame.index, fill_value=False)
    if not other.any():
        return read, []
    if options.edited is None:
        at = int(np.flatnonzero(other)[0])
        about = " ".join(str(read.frame[key][at]) for key in LOGS[log].keys if key in read.frame)
        return read, [question_about_names(f"Line {raw.lines[at]}, {about}")]
    reasons = read.reasons
    if options.edited == "aside":
        reasons = [
            NAMED_OTHERWISE if flag else reason for flag, reason in zip(other, reasons, strict=True)
        ]
    return ReadIn(settled_names(read.frame, other, options.edited), reasons), []


def _mapping(raw: Raw, log: Log, options: Options) -> dict[str, str]:
    """Column to heading: as said, the rest guessed from headings that nobody spoke of."""
    for column, heading in options.mapping.items():
        if column not in log.names:
            raise LogRefused(
                f"{log.name}: there is no column {column}. Columns are {', '.join(log.names)}."
            )
        parts = [heading] if heading in raw.headings else heading.split("+")
        strange = [part for part in parts if part and part not in raw.headings]
        if strange or len(parts) > 2:
            raise LogRefused(
                f"{raw.name}: there is no heading {strange[0] if strange else heading}. "
                f"Headings are {', '.join(raw.headings)}."
            )
    used = set(chain.from_iterable((h, *h.split("+")) for h in options.mapping.values()))
    free = guessed(log, [heading for heading in raw.headings if heading not in used])
    free = {column: heading for column, heading in free.items() if column not in options.mapping}
    return free | {column: heading for column, heading in options.mapping.items() if heading}


def _settled(raw: Raw, log: Log, manner: Manner, options: Options) -> tuple[Manner, list[Question]]:
    """The manner with what the file itself tells, and what it does not tell."""
    questions = []
    comma: bool | str | None = options.decimal_comma
    if comma is None:
        comma = decides(_cells(raw, log, manner, ("number",)))
        if isinstance(comma, str):
            questions.append(_about_decimals(comma))
    first: bool | str | None = options.day_first
    if first is None:
        first = day_order(_cells(raw, log, manner, ("moment", "date")))
        if isinstance(first, str):
            questions.append(_about_days(first))
    clock = Clock(first is True, manner.clock.zone, manner.clock.twice)
    return Manner(manner.mapping, comma is True, clock, manner.unit), questions


def _cells(raw: Raw, log: Log, manner: Manner, kinds: tuple[str, ...]) -> list[Cell | None]:
    headings = [manner.mapping.get(column.name) for column in log if column.kind in kinds]
    return [cell for heading in headings if heading for cell in cells_below(raw, heading)]


def _about_decimals(text: str) -> Question:
    return Question(
        "decimal_comma",
        f"Is {text} a number with decimals, or are its thousands set off?",
        {"the comma marks the decimals": True, "the point marks the decimals": False},
        "--decimal-comma or --decimal-point",
    )


def _about_days(text: str) -> Question:
    return Question(
        "day_first",
        f"Which stands first in {text}, the day or the month?",
        {"the day": True, "the month": False},
        "--day-first or --month-first",
    )


def _about_inches(
    folder: Path, raw: Raw, log: Log, manner: Manner, settings: Settings
) -> Question | None:
    """Ask for the unit where sizes would be inches beside the fleet's own anodes."""
    unsaid = {
        column.name: heading
        for column in log
        if column.name in ("size_mm", "size_low_mm", "size_high_mm")
        and (heading := manner.mapping.get(column.name))
        and manner.unit is None
        and unit_in(heading, column.name) is None
    }
    sizes = [size for heading in unsaid.values() for size in _bare_sizes(raw, heading, manner)]
    usual = _usual_new_size(folder, settings) if sizes else None
    if usual is None or float(np.median(sizes)) > _INCHES_BELOW * usual:
        return None
    return Question(
        "unit",
        f"Are sizes such as {sizes[0]:g} in inches? A new anode of this fleet has {usual:g} mm.",
        {"inches": "in", "millimetres": "mm"},
        "--unit in or --unit mm",
    )


def _bare_sizes(raw: Raw, heading: str, manner: Manner) -> list[float]:
    """Sizes whose cell says no unit."""
    bare = []
    for cell in cells_below(raw, heading):
        number = number_in(cell) if cell else None
        if cell and number and not number.unit:
            value: Any = value_of(number, manner.decimal_comma and not cell.typed)
            bare += [value] if value else []
    return bare


def _usual_new_size(folder: Path, settings: Settings) -> float | None:
    """The middle one of the new sizes in the fleet's register, mm; None where it has none."""
    try:
        register = read_log(folder, LOGS["anode_positions"], settings.timezone).frame
    except Refusal:  # a register that can't be read is for the check to say, not for a guess here
        return None
    sizes = register["new_size_mm"].dropna()
    return None if sizes.empty else float(sizes.median())
