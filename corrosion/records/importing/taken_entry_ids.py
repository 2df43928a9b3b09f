"""Rows under a name that is taken: the same row again, or another one, which is asked about.

A row is taken for one that the log holds only where it says the same. Under an `entry_id` that
stands for something else, in the log or further up in the file, it is an edited cell, another row
under a copied name, or a slip; which of them, only people know.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from zoneinfo import ZoneInfo

import pandas as pd

from corrosion.records.importing.options import Question
from corrosion.records.logbook import entry_names
from corrosion.records.logbook.entering import checked_rows
from corrosion.records.logbook.files import read_log
from corrosion.records.logs import Log

NAMED_OTHERWISE = "its entry_id is that of a row that says something else"
_NAME_CHARS = len("row-") + 16  # the digest, without the number of one that says the same


def rows_under_taken_names(
    folder: Path, log: Log, rows: pd.DataFrame, zone: ZoneInfo
) -> pd.Series[bool]:
    """Say which rows bear the name of a row that says something else.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    log : Log
        The log.
    rows : DataFrame, n rows
        Rows of a file that could be taken.
    zone : ZoneInfo
        The fleet's.

    Returns
    -------
    Series of bool, index of `rows`
    """
    none = pd.Series(False, rows.index)
    if "entry_id" not in rows or not rows["entry_id"].notna().any():
        return none
    given = checked_rows(log, rows.reset_index(drop=True), zone)
    there = read_log(folder, log, zone).frame
    # a file of rows that stand does not say what they took the place of
    untold = [name for name in ("corrects", "void") if name not in rows or rows[name].isna().all()]
    differences = dict(_said(log, there, untold))
    other = []
    for name, content in _said(log, given, untold):
        other.append(bool(name) and differences.setdefault(name, content) != content)
    return pd.Series(other, rows.index)


def _said(log: Log, rows: pd.DataFrame, untold: list[str]) -> Iterator[tuple[str | None, str]]:
    """Name of each row, and a digest of what it says, whoever wrote it down and when.

    `untold` are columns that do not count.
    """
    for column in untold:
        if column in rows:
            rows = rows.assign(**{column: rows[column].where(pd.Series(False, rows.index))})
    unnamed = {"entry_id": None, "entered_by": None}
    bare = rows.assign(**unnamed, entered_at=pd.Series(pd.NaT, rows.index, "datetime64[us, UTC]"))
    digests = entry_names(log, bare).str[:_NAME_CHARS]
    names = rows["entry_id"].where(rows["entry_id"].notna(), None)
    yield from zip(names, digests, strict=True)


def question_about_names(first: str) -> Question:
    """Ask what rows under a taken name are; `first` names the first of them."""
    return Question(
        "edited",
        f"{first} and maybe others: {NAMED_OTHERWISE}. What are such rows?",
        {
            "corrections of the rows that they name": "correction",
            "new rows": "new",
            "mistakes: set them aside": "aside",
        },
        "--edited correction, new or aside",
    )


def settled_names(rows: pd.DataFrame, other: pd.Series[bool], edited: str | None) -> pd.DataFrame:
    """Return the rows with those under taken names as they were said to be."""
    if edited not in ("correction", "new") or not other.any():
        return rows
    names = rows["entry_id"]
    settled = rows.assign(entry_id=names.mask(other, None))
    if edited == "correction":
        before = rows["corrects"] if "corrects" in rows else pd.Series(None, rows.index, object)
        settled["corrects"] = before.mask(other, names)
    return settled
