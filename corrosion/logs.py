"""The column dictionary: every log of a fleet, every column, its unit and its meaning, as data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from types import MappingProxyType
from typing import Literal

import pandas as pd

Kind = Literal["id", "text", "word", "number", "moment", "date", "flag"]


@dataclass(frozen=True)
class Column:
    """One column of a log.

    Attributes
    ----------
    name : str
        Column name; a quantity carries its unit in it.
    kind : Kind
        `id` (text that names something), `text`, `word` (one of `words`), `number`, `moment`,
        `date` (a moment that is usually written as a date alone) or `flag` (yes or no).
    unit : str
        Unit of a number, empty where there is none.
    meaning : str
        One line for people.
    required : bool
        True: a log without this column is refused.
    words : tuple of str
        The allowed words of a `word` column.
    if_missing : str
        What a missing word stands for; empty: unknown.
    """

    name: str
    kind: Kind
    unit: str
    meaning: str
    required: bool = False
    words: tuple[str, ...] = ()
    if_missing: str = ""


@dataclass(frozen=True)
class Log:
    """One log.

    Attributes
    ----------
    name : str
        Name of the folder or file.
    row : str
        What one row is.
    columns : tuple of Column
        Columns in the order of the page.
    keys : tuple of str
        Columns that say what a row is about; together with `event_time` they order the rows.
    event_time : str
        Column of the moment at which the row became true; empty for a register.
    needed : bool
        True: without this log nothing can be answered.
    register : bool
        True: an unreadable word refuses the log, since every later answer hangs on it.
    ahead : bool
        True: rows are about days to come, so a look back hides none of them.
    """

    name: str
    row: str
    columns: tuple[Column, ...]
    keys: tuple[str, ...]
    event_time: str = ""
    needed: bool = False
    register: bool = False
    ahead: bool = False

    def __iter__(self) -> Iterator[Column]:
        """Go through the columns."""
        return iter(self.columns)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the columns, in order."""
        return tuple(column.name for column in self.columns)

    @property
    def required(self) -> tuple[str, ...]:
        """Names of the columns that must be there."""
        return tuple(column.name for column in self.columns if column.required)


WATERS = ("salt", "brackish", "fresh")
ALLOYS = ("zinc", "aluminium", "magnesium")
CIRCUITS = ("engine", "hull")

_HULL = Column("hull_id", "id", "", "the hull", True)
_MOORING = Column("mooring_id", "id", "", "the mooring", True)
_LAYOUT = Column("layout", "id", "", "which engine and anode arrangement", True)
_POSITION = Column("position", "id", "", "the place of the anode", True)
_SALINITY = Column("salinity_g_per_kg", "number", "g/kg", "salt in the water")

ENTRY = (
    Column("entry_id", "id", "", "name of this row, for later corrections"),
    Column("entered_at", "moment", "", "when the row was written down"),
    Column("entered_by", "text", "", "role or shift that wrote it down, never a person"),
    Column("corrects", "id", "", "entry_id of the row that this one takes the place of"),
    Column("void", "flag", "", "yes: struck out"),
)

_ALL = (
    Log(
        "hulls",
        "a hull of the fleet",
        (
            _HULL,
            Column("name", "text", "", "what people call it"),
            _LAYOUT,
            Column("in_service", "date", "", "first day in the fleet"),
            Column("retired", "date", "", "day it left the fleet"),
        ),
        keys=("hull_id",),
        needed=True,
        register=True,
    ),
    Log(
        "moorings",
        "a place where hulls live",
        (
            _MOORING,
            Column("name", "text", "", "what people call it"),
            Column("water", "word", "", "the water there", True, WATERS),
            _SALINITY,
            Column("flush_point", "flag", "", "there is fresh water to flush with"),
            Column("shore_power", "flag", "", "hulls are plugged in ashore"),
        ),
        keys=("mooring_id",),
        needed=True,
        register=True,
    ),
    Log(
        "berths",
        "from since on, the hull lives there",
        (
            _HULL,
            _MOORING,
            Column("stays", "word", "", "how it lies between outings", True, ("afloat", "lifted")),
            Column("since", "date", "", "from when on", True),
            *ENTRY,
        ),
        keys=("hull_id", "mooring_id"),
        event_time="since",
        needed=True,
        register=True,
    ),
    Log(
        "water_samples",
        "a look at the water",
        (
            _MOORING,
            Column("sampled_at", "moment", "", "when", True),
            _SALINITY,
            Column("conductivity_ms_per_cm", "number", "mS/cm", "electrical conductivity"),
            Column("temperature_c", "number", "°C", "water temperature"),
            *ENTRY,
        ),
        keys=("mooring_id",),
        event_time="sampled_at",
    ),
    Log(
        "anode_positions",
        "a place for an anode on that layout",
        (
            _LAYOUT,
            _POSITION,
            Column("circuit", "word", "", "which water wets it", True, CIRCUITS),
            Column("alloy", "word", "", "the metal that belongs there", True, ALLOYS),
            Column(
                "gauge",
                "word",
                "",
                "what is measured",
                words=("length", "diameter", "thickness", "weight", "look"),
            ),
            Column("new_size_mm", "number", "mm", "size of a new part", True),
            Column("limit_size_mm", "number", "mm", "replace at or below", True),
            Column("limit_source", "text", "", "manual and page of the limit"),
            Column("access_group", "text", "", "positions that share dismantling"),
            Column("access_minutes", "number", "min", "to get there, once for the group"),
            Column("swap_minutes", "number", "min", "to change the anode"),
            Column("part_cost", "number", "currency", "the anode"),
            Column("seal_cost", "number", "currency", "seal or O-ring"),
            Column("late_cost", "number", "currency", "what a late change may cost"),
            Column("inspect_hours", "number", "h", "engine hours between looks"),
            Column("inspect_days", "number", "d", "days between looks"),
            Column("part_number", "text", "", "part number of the anode"),
        ),
        keys=("layout", "position"),
        needed=True,
        register=True,
    ),
    Log(
        "outings",
        "a hull went out and came back",
        (
            _HULL,
            Column("started", "moment", "", "cast off", True),
            Column("ended", "moment", "", "back", True),
            Column("engine_hours", "number", "h", "engine hours run during the outing", True),
            Column("water", "word", "", "where it ran; unknown: its mooring's", words=WATERS),
            Column("meter_hours", "number", "h", "hour meter at the end"),
            *ENTRY,
        ),
        keys=("hull_id",),
        event_time="ended",
    ),
    Log(
        "flushes",
        "the cooling passages were, or were not, rinsed",
        (
            _HULL,
            Column("flushed_at", "moment", "", "when", True),
            Column("minutes", "number", "min", "how long"),
            Column(
                "done",
                "word",
                "",
                "was it done",
                words=("yes", "no", "could-not"),
                if_missing="yes",
            ),
            Column("method", "text", "", "how"),
            *ENTRY,
        ),
        keys=("hull_id",),
        event_time="flushed_at",
    ),
    Log(
        "fittings",
        "a new anode was put in",
        (
            _HULL,
            _POSITION,
            Column("fitted_at", "moment", "", "when", True),
            Column("size_mm", "number", "mm", "size as fitted; unknown: the position's new size"),
            Column("alloy", "word", "", "the metal fitted", words=ALLOYS),
            Column("batch", "text", "", "batch of the part"),
            *ENTRY,
        ),
        keys=("hull_id", "position"),
        event_time="fitted_at",
    ),
    Log(
        "readings",
        "somebody looked at an anode",
        (
            _HULL,
            _POSITION,
            Column("read_at", "moment", "", "when", True),
            Column("size_mm", "number", "mm", "size by caliper, at the worst place"),
            Column("size_low_mm", "number", "mm", "by eye: at least"),
            Column("size_high_mm", "number", "mm", "by eye: at most"),
            Column("verdict", "word", "", "a look alone", words=("ok", "worn")),
            Column("removed", "flag", "", "the anode came out then"),
            Column("cleaned", "flag", "", "it was cleaned before measuring"),
            Column("potential_mv", "number", "mV", "hull potential against silver/silver chloride"),
            Column("bond_ohm", "number", "ohm", "resistance between anode and casting"),
            Column("note", "text", "", "anything else"),
            *ENTRY,
        ),
        keys=("hull_id", "position"),
        event_time="read_at",
    ),
    Log(
        "bookings",
        "hire ahead (and past)",
        (
            _HULL,
            Column("starts", "moment", "", "hire begins", True),
            Column("ends", "moment", "", "hire ends", True),
            Column("engine_hours", "number", "h", "engine hours expected"),
            Column("hire_value", "number", "currency", "what the hire brings in"),
            *ENTRY,
        ),
        keys=("hull_id",),
        event_time="starts",
        ahead=True,
    ),
)

LOGS: Mapping[str, Log] = MappingProxyType({log.name: log for log in _ALL})


def column_dictionary() -> pd.DataFrame:
    """The dictionary as a table, one row per column of a log.

    Returns
    -------
    DataFrame, shape (columns, 9)
        `log`, then the fields of `Column` (`words` joined by commas), then `event_time` (bool:
        this column orders the log).
    """
    names = [field.name for field in fields(Column)]
    rows = [
        {"log": log.name}
        | {name: getattr(column, name) for name in names}
        | {"words": ", ".join(column.words), "event_time": column.name == log.event_time}
        for log in LOGS.values()
        for column in log
    ]
    return pd.DataFrame(rows)
