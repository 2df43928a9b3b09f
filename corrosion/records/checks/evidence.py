"""What a rule sees: the logs in one fixed order, and what it answers: True or False per row."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeAlias
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt
import pandas as pd

from corrosion.common import Remembered, is_text, rows_taken
from corrosion.records.logbook import Severity
from corrosion.records.logs import LOGS

Flags: TypeAlias = "pd.Series[bool]"
Numbers: TypeAlias = npt.NDArray[np.int64]
Tables: TypeAlias = Mapping[str, pd.DataFrame]
LaidOut: TypeAlias = tuple[str, pd.DataFrame]
"""A log, and its rows with what rules compare laid out beside them."""

SET_ASIDE: Severity = "set-aside"
DOUBTFUL: Severity = "doubtful"
NOTE: Severity = "note"

# what a row is about and when: the order in which rows are read, told and compared
ROW_KEYS: Mapping[str, tuple[str, ...]] = {
    name: tuple(filter(None, (*log.keys, log.event_time))) for name, log in LOGS.items()
} | {
    "berths": ("hull_id", "since"),  # a hull has one berth at a time, wherever it is
    "outings": ("hull_id", "started", "ended"),
    "bookings": ("hull_id", "starts", "ends"),
}

# the moment a row speaks of (registers have none)
EVENT_TIME: Mapping[str, str] = {
    name: log.event_time for name, log in LOGS.items() if log.event_time
}

PLACE = "place_in_log"
SMALL_NUMBERS = 2**16

# who wrote a row down and where it stands: no part of what it says
ENTRY_COLUMNS = frozenset(
    {"entry_id", "entered_at", "entered_by", "corrects", "void", "log_row", "log_file", PLACE}
)


@dataclass(frozen=True)
class Evidence:
    """The logs as one stage of checking sees them.

    Attributes
    ----------
    tables : mapping of log to DataFrame
        Rows not set aside so far, sorted by `ROW_KEYS`, RangeIndex; `hull_no` stands for
        `hull_id` where rows are grouped, and `spot_no` for hull and position, since whole numbers
        are quicker; a stage may add columns.
    logged : mapping of log to DataFrame
        Every row as it was read, sorted the same way.
    on : Timestamp
        The moment up to which the logs are read, UTC.
    timezone : ZoneInfo
        The fleet's own, for telling times.
    log : str
        The log whose rows are being looked at.
    last : Remembered
        What was worked out for the rules, in this run and the last.

    """

    tables: Tables
    logged: Tables
    on: pd.Timestamp
    timezone: ZoneInfo
    log: str = ""
    last: Remembered = field(default_factory=Remembered, repr=False, compare=False)

    def __getitem__(self, log: str) -> pd.DataFrame:
        """Rows of `log` not set aside so far."""
        return self.tables[log]

    def looking_at(self, log: str) -> Evidence:
        """Return the same evidence, for rules that look at `log`."""
        return replace(self, log=log)

    def with_table(self, log: str, rows: pd.DataFrame) -> Evidence:
        """Return the same evidence with another table for one log."""
        return replace(self, tables={**self.tables, log: rows})


@dataclass(frozen=True)
class Rule:
    """One thing a row may not be.

    Attributes
    ----------
    name : str
        How findings call it.
    logs : tuple of str
        The logs it looks at.
    severity : Severity
        'set-aside' (can't be true, not used), 'doubtful' (used with care), 'note'.
    what_to_do : str
        One sentence for the person who keeps the logs.
    finds : callable
        Takes the rows of one log and the evidence; True where the row is objected to.
    shows : tuple of str
        Columns told beside the first row.
    cells : tuple of str
        Only these cells are set aside: they become unknown and the row stays, unless it says
        nothing more then.
    breaks_life : bool
        A reading objected to is the first look at another anode.

    """

    name: str
    logs: tuple[str, ...]
    severity: Severity
    what_to_do: str
    finds: Callable[[pd.DataFrame, Evidence], Flags]
    shows: tuple[str, ...] = ()
    cells: tuple[str, ...] = ()
    breaks_life: bool = False


@dataclass(frozen=True)
class Objection:
    """One rule that found something in one log: the rows, in order of the log's keys."""

    rule: Rule
    log: str
    rows: pd.DataFrame


def flags_of(answer: npt.ArrayLike, rows: pd.DataFrame) -> Flags:
    """Return an array of True/False as flags beside `rows`."""
    return pd.Series(np.asarray(answer, dtype=bool), index=rows.index)


def moments_of(moments: pd.Series, keys: pd.Series) -> pd.Series:
    """Look a moment up for each row, by its key; unknown where the key has none."""
    return moments.reindex(keys).set_axis(keys.index)


def number_for(words: pd.Series, numbers: Mapping[str, float], otherwise: float) -> pd.Series:
    """Return the number that stands for each word, `otherwise` for others and the unknown."""
    code, known = pd.factorize(words)
    each = [numbers.get(str(word), otherwise) for word in known]
    return pd.Series(np.array([*each, otherwise])[code], index=words.index)


def larger_of(rows: pd.DataFrame, one: str, other: str) -> pd.Series:
    """Return the larger of two columns; where one is unknown, the other."""
    both = (rows[column].to_numpy(float) for column in (one, other))
    return pd.Series(np.fmax(*both), index=rows.index)


def is_true(flags: pd.Series) -> Flags:
    """Read a three-valued flag: unknown is not true."""
    if flags.dtype == bool:
        return flags
    return flags.astype("boolean").fillna(False).astype(bool)


def said_columns(rows: pd.DataFrame) -> list[str]:
    """Columns that carry what a row says, without who entered it and where it stands."""
    return sorted(column for column in rows.columns if column not in ENTRY_COLUMNS)


def in_order(rows: pd.DataFrame, log: str) -> pd.DataFrame:
    """Sort rows by what they say, so that the order of rows and files changes nothing.

    Rows with the same key are told apart by when they were entered, then by everything else
    they say; rows that are equal in all of it are interchangeable.
    """
    keys = list(ROW_KEYS[log])
    numbers = key_numbers(rows, log)
    order, numbers = _put_in_order(numbers) if numbers else (np.arange(len(rows)), [])
    ordered = rows_taken(rows, order)
    tied = tied_rows(numbers)
    if not tied.any():
        return ordered
    rest = [c for c in ("entered_at", *said_columns(rows), "entry_id") if c in rows.columns]
    block = ordered[tied]
    ranks = {str(n): _ranks(block[column]) for n, column in enumerate([*keys, *rest])}
    best = np.lexsort(list(ranks.values())[::-1])
    places = np.arange(len(ordered))
    places[tied] = places[tied][best]
    return ordered.iloc[places].reset_index(drop=True)


def _put_in_order(numbers: list[Numbers]) -> tuple[Numbers, list[Numbers]]:
    """Return the order of rows by some numbers, the first first, and the numbers in that order.

    Equal rows keep their order. Logs are read in the order of time, so that putting hull beside
    hull is mostly all it takes, and small numbers are put in order without comparing them.
    """
    first = numbers[0]
    if first.size and first.min() >= 0 and first.max() < SMALL_NUMBERS:
        order = np.argsort(first.astype(np.uint16), kind="stable")
        taken = [number[order] for number in numbers]
        if _is_ascending(taken):
            return order, taken
    order = np.lexsort(numbers[::-1])
    return order, [number[order] for number in numbers]


def _is_ascending(numbers: list[Numbers]) -> bool:
    alike = np.ones(max(numbers[0].size - 1, 0), dtype=bool)
    for number in numbers:
        if (alike & (number[1:] < number[:-1])).any():
            return False
        alike &= number[1:] == number[:-1]
    return True


def key_numbers(rows: pd.DataFrame, log: str) -> list[Numbers]:
    """Return the keys of the rows as whole numbers in the keys' order, unknown last.

    Whole numbers are sorted and compared many times quicker than texts.
    """
    return [_as_numbers(rows, key) for key in ROW_KEYS[log]]


def _as_numbers(rows: pd.DataFrame, key: str) -> Numbers:
    if key == "hull_id" and "hull_no" in rows:
        return rows["hull_no"].to_numpy(dtype=np.int64)
    column = rows[key]
    if isinstance(column.dtype, pd.DatetimeTZDtype):
        numbers = column.to_numpy(dtype="datetime64[us]").astype(np.int64)
        unknown = column.isna().to_numpy()
    else:
        numbers = pd.factorize(column, sort=True)[0].astype(np.int64)
        unknown = numbers < 0
    return np.where(unknown, np.iinfo(np.int64).max, numbers)


def tied_rows(numbers: list[Numbers]) -> npt.NDArray[np.bool_]:
    """Tell which rows, in the order of these numbers, have a neighbour with all of them equal."""
    size = len(numbers[0]) if numbers else 0
    alike = np.ones(max(size - 1, 0), dtype=bool)
    for number in numbers:
        alike &= number[1:] == number[:-1]
    tied = np.zeros(size, dtype=bool)
    tied[1:] |= alike
    tied[:-1] |= alike
    return tied


def _ranks(column: pd.Series) -> Numbers:
    """Rank of each value, unknown last; text is ranked as text."""
    values = column.astype(str).where(column.notna()) if is_text(column) else column
    ranks = values.rank(method="dense", na_option="bottom")
    return np.asarray(ranks, dtype=np.int64)
