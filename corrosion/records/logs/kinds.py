"""What a log is: its columns with unit and meaning, its keys, the moment that orders it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

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
SALTY = ("salt", "brackish")
ALLOYS = ("zinc", "aluminium", "magnesium")
CIRCUITS = ("engine", "hull")
TOUCHED = ("aluminium", "steel", "stainless", "bronze")

HULL = Column("hull_id", "id", "", "the hull", True)
MOORING = Column("mooring_id", "id", "", "the mooring", True)
LAYOUT = Column("layout", "id", "", "which engine and anode arrangement", True)
POSITION = Column("position", "id", "", "the place of the anode", True)
SALINITY = Column("salinity_g_per_kg", "number", "g/kg", "salt in the water")

ENTRY = (
    Column("entry_id", "id", "", "name of this row, for later corrections"),
    Column("entered_at", "moment", "", "when the row was written down"),
    Column("entered_by", "text", "", "role or shift that wrote it down, never a person"),
    Column("corrects", "id", "", "entry_id of the row that this one takes the place of"),
    Column("void", "flag", "", "yes: struck out"),
)
