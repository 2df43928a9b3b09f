"""Writing a draft: every row under a name that the form gave it, so that twice is once."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from uuid import NAMESPACE_OID, uuid5

import pandas as pd

from corrosion.data_entry.amend import as_cells
from corrosion.data_entry.cells import columns_of
from corrosion.data_entry.drafts import Draft, Row
from corrosion.records import Logbook, Writer, append_all, read_fleet, tell_entry


@dataclass(frozen=True)
class Kept:
    """What was written.

    Attributes
    ----------
    entries : tuple of (str, str)
        Log and `entry_id` of each row, in the order of the draft.
    said : tuple of str
        Sentences for whoever wrote, such as that the clock was put back.
    already : bool
        Every row was in the log before, under these names.
    other : str
        What the log says under the form's name where that is something else; the draft is then
        not in the log, and empty where it is.
    """

    entries: tuple[tuple[str, str], ...]
    said: tuple[str, ...] = ()
    already: bool = False
    other: str = ""


@dataclass(frozen=True)
class Earlier:
    """A row that is in the log under a form's name: what it says, and whether the draft says so."""

    tells: str
    same: bool


def entry_under(logbook: Logbook, draft: Draft, name: str) -> Earlier | None:
    """Look up what a log holds under the name of a form.

    Parameters
    ----------
    logbook : Logbook
        The logs as read.
    draft : Draft
        What the form comes to; at least one row.
    name : str
        What the form calls its entry.

    Returns
    -------
    Earlier or None
        None where no row has that name. It is the same where every cell that a person fills in
        is, in each row of the draft that is there.
    """
    same = [_row_under(logbook, row, each) for row, each in _by_name(draft, name)]
    if same[0] is None:
        return None
    tells = entry_named(logbook, draft.main.log, name)
    return Earlier(tells, all(each is not False for each in same))


def entry_named(logbook: Logbook, log: str, name: str) -> str:
    """What the row of that `entry_id` says, in a few words; empty where a log has no such row."""
    there = _rows_under(logbook, log, name)
    if there.empty:
        return ""
    cells = as_cells(there.iloc[0])
    about = cells.get("hull_id") or cells.get("mooring_id") or ""
    return f"{about} {tell_entry(log, cells, logbook.settings.length_unit)}".strip()


def row_named(logbook: Logbook, log: str, name: str) -> Row | None:
    """The row of that `entry_id` as a form would make it; None where a log has no such row."""
    there = _rows_under(logbook, log, name)
    if there.empty:
        return None
    cells = as_cells(there.iloc[0])
    values = {column.name: cells.get(column.name) for column in columns_of(log)}
    return Row(log, {name: value for name, value in values.items() if not _same(value, None)})


def _by_name(draft: Draft, name: str) -> list[tuple[Row, str]]:
    """Each row with the name it is written under: the first has the form's own."""
    ids = [name, *(_named(name, number) for number in range(1, len(draft.rows)))]
    return list(zip(draft.rows, ids, strict=True))


def _rows_under(logbook: Logbook, log: str, name: str) -> pd.DataFrame:
    history = logbook.history[log]
    return history[history["entry_id"] == name]


def _row_under(logbook: Logbook, row: Row, name: str) -> bool | None:
    """Whether a row is there as it is drafted; None: it is not there."""
    there = _rows_under(logbook, row.log, name)
    if there.empty:
        return None
    cells = there.iloc[0]
    return all(
        _same(cells.get(column.name), row.cells.get(column.name)) for column in columns_of(row.log)
    )


def _same(there: object, drafted: object) -> bool:
    if pd.isna(there):  # type: ignore[call-overload]
        return drafted is None
    return bool(there == drafted)


def write_draft(
    folder: Path, draft: Draft, by: Writer, name: str, now: pd.Timestamp | None = None
) -> Kept:
    """Write the rows of a draft: all of them, or none.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    draft : Draft
        Nothing wrong in it, no question left.
    by : Writer
        Who writes: a role or shift, never a person's name, and what they may.
    name : str
        What the form calls this entry: the first row's `entry_id`, and the root of the others'.
        The same name again writes nothing again.
    now : Timestamp, optional
        The moment of writing, UTC; for a simulated fleet its own.

    Returns
    -------
    Kept

    Raises
    ------
    Refusal
        The folder, the disk or the rows do not take it, or whoever writes may not.
    """
    named = _by_name(draft, name)
    entries = tuple((row.log, each) for row, each in named)
    written = append_all(folder, _frames(named), by, now)
    said = tuple(dict.fromkeys(s for w in written.values() for s in w.said))
    if not any(each.already for each in written.values()):
        return Kept(entries, said)
    earlier = entry_under(read_fleet(folder), draft, name)
    other = "" if earlier is None or earlier.same else earlier.tells
    return Kept(entries, said, not any(each.added for each in written.values()), other)


def _named(name: str, number: int) -> str:
    return str(uuid5(NAMESPACE_OID, f"{name} {number}"))


def _frames(named: list[tuple[Row, str]]) -> dict[str, pd.DataFrame]:
    rows: dict[str, list[dict[str, object]]] = {}
    for row, entry_id in named:
        rows.setdefault(row.log, []).append({"entry_id": entry_id, **row.cells})
    return {log: pd.DataFrame(cells) for log, cells in rows.items()}
