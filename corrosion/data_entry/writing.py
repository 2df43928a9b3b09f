"""Writing a draft: every row under a name that the form gave it, so that twice is once."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from uuid import NAMESPACE_OID, uuid5

import pandas as pd

from corrosion.data_entry.drafts import Draft
from corrosion.records import append_all


@dataclass(frozen=True)
class Kept:
    """What was written.

    Attributes
    ----------
    entries : tuple of (str, str)
        Log and `entry_id` of each row, in the order of the draft.
    said : tuple of str
        Sentences for whoever wrote, such as that the clock was put back.
    """

    entries: tuple[tuple[str, str], ...]
    said: tuple[str, ...] = ()


def write_draft(
    folder: Path, draft: Draft, by: str, name: str, now: pd.Timestamp | None = None
) -> Kept:
    """Write the rows of a draft: all of them, or none.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    draft : Draft
        Nothing wrong in it, no question left.
    by : str
        Role or shift of whoever writes, never a person's name.
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
        The folder, the disk or the rows do not take it.
    """
    ids = [name, *(_named(name, number) for number in range(1, len(draft.rows)))]
    entries = tuple((row.log, each) for row, each in zip(draft.rows, ids, strict=True))
    written = append_all(folder, _frames(draft, ids), by, now)
    return Kept(entries, tuple(dict.fromkeys(s for w in written.values() for s in w.said)))


def _named(name: str, number: int) -> str:
    return str(uuid5(NAMESPACE_OID, f"{name} {number}"))


def _frames(draft: Draft, ids: list[str]) -> dict[str, pd.DataFrame]:
    rows: dict[str, list[dict[str, object]]] = {}
    for row, entry_id in zip(draft.rows, ids, strict=True):
        rows.setdefault(row.log, []).append({"entry_id": entry_id, **row.cells})
    return {log: pd.DataFrame(cells) for log, cells in rows.items()}
