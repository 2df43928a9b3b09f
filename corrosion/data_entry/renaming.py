"""Renaming: rows that were written under another id of a hull are brought home by corrections."""

from __future__ import annotations

import pandas as pd

from corrosion.data_entry.amend import as_it_stands, named_rows, stands_about
from corrosion.data_entry.drafts import Draft, Row
from corrosion.records import LOGS, Logbook


def stray_ids(logbook: Logbook) -> pd.Series:
    """Hull ids that the logs speak of and the register does not know.

    Parameters
    ----------
    logbook : Logbook
        The logs as read.

    Returns
    -------
    Series of int, index hull id
        How many rows stand under each, most first.
    """
    known = set(logbook.hulls["hull_id"].dropna())
    named = [
        rows["hull_id"].dropna()
        for log, rows in logbook.tables.items()
        if log != "hulls" and "hull_id" in LOGS[log].names
    ]
    every = pd.concat(named)
    counts: pd.Series = every[~every.isin(known)].value_counts()
    return counts


def brought_home(logbook: Logbook, stray: str, hull_id: str) -> Draft:
    """Correct every row under a stray id to the hull that it belongs to.

    Parameters
    ----------
    logbook : Logbook
        The logs as read.
    stray : str
        The id that the rows carry: an earlier one of the hull, or a misspelt one.
    hull_id : str
        The hull in the register.

    Returns
    -------
    Draft
        One correction for each row that stands; wrong where there is none.
    """
    rows: list[Row] = []
    for log in LOGS:
        if log == "hulls" or "hull_id" not in LOGS[log].names:
            continue
        own = named_rows(logbook, log, stands_about(logbook, log, stray))
        rows += [as_it_stands(log, row).main.but(hull_id=hull_id) for _, row in own.iterrows()]
    return Draft(tuple(rows), () if rows else (f"No row stands under {stray}.",))
