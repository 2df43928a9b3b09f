"""Amending: any row of any log is corrected or struck out by a new row; all of them stay."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

import numpy as np
import numpy.typing as npt
import pandas as pd

from corrosion.data_entry.cells import columns_of, row_of, shown
from corrosion.data_entry.drafts import Draft, Row
from corrosion.data_entry.known import Desk
from corrosion.records import LOGS, Logbook, entry_names, tell_entry

NAME: Final = "name"
ISSUED: Final = frozenset({"plans", "plan_hires"})
"""What was issued stays as it was: nothing of it is offered for correction."""
RECENT_LOGS: Final = tuple(
    name for name, log in LOGS.items() if log.event_time and name not in ISSUED
)
RECENT: Final = ["log", NAME, "hull_id", "at", "what", "standing", "entered_at", "entered_by"]


def named_rows(
    logbook: Logbook, log: str, asked: npt.NDArray[np.bool_] | None = None
) -> pd.DataFrame:
    """Rows of a log, with the name by which each can be corrected in the column `name`.

    Parameters
    ----------
    logbook : Logbook
        The logs as read.
    log : str
        Which log.
    asked : array of bool, optional
        Which rows of the history; all where it is left out.

    Returns
    -------
    DataFrame
        As `Logbook.history[log]`, with `name`.
    """
    history = logbook.history[log]
    own = history if asked is None else history[asked]
    # a register may have a column `name` of its own
    own = own.rename(columns={NAME: "name_said"}) if NAME in own else own
    return own.assign(**{NAME: entry_names(log, history, asked)})


def matter(logbook: Logbook, log: str, name: str) -> pd.DataFrame:
    """Every row that is about the same matter: the first, and what corrected or struck it out.

    Parameters
    ----------
    logbook : Logbook
        The logs as read.
    log, name : str
        Which log, and the name of any of its rows.

    Returns
    -------
    DataFrame
        As `named_rows`, in the order of entry; empty where there is no such row.
    """
    rows = named_rows(logbook, log)
    linked = {name}
    while True:
        known = rows[NAME].isin(linked) | rows["corrects"].isin(linked)
        more = {*rows.loc[known, NAME], *rows.loc[known, "corrects"].dropna()}
        if more <= linked:
            break
        linked |= more
    linked_rows = rows[known & (rows[NAME].isin(linked))]
    return linked_rows.sort_values(
        "entered_at", kind="stable", na_position="first", ignore_index=True
    )


def standing_row(rows: pd.DataFrame) -> pd.Series | None:
    """The row of a matter that stands; None when it was struck out."""
    stands = rows[rows["standing"] == "stands"]
    return None if stands.empty else stands.iloc[-1]


def standing_now(desk: Desk, log: str) -> pd.DataFrame:
    """The rows of a register that stand, in the order of its keys, as `named_rows` has them."""
    stands = desk.logbook.history[log]["standing"].eq("stands").to_numpy(bool)
    rows = named_rows(desk.logbook, log, stands)
    return rows.sort_values(list(LOGS[log].keys), kind="stable", ignore_index=True)


def rows_as_text(desk: Desk, log: str, row: pd.Series) -> dict[str, str]:
    """A row of `named_rows` as it stands in a form: column to text."""
    cells, settings = as_cells(row), desk.logbook.settings
    return {c.name: shown(c, cells.get(c.name), settings) for c in columns_of(log)}


def as_cells(row: pd.Series) -> dict[str, Any]:
    """The cells of a row of `named_rows` under the names of its log."""
    cells = {str(name): cell for name, cell in row.items()}
    if "name_said" in cells:
        cells[NAME] = cells["name_said"]
    return cells


def correction(logbook: Logbook, log: str, row: pd.Series, texts: Mapping[str, str]) -> Draft:
    """Turn a form that was opened on a row into the row that takes its place.

    Parameters
    ----------
    logbook : Logbook
        For its settings.
    log : str
        Which log.
    row : Series
        The row that stands, as in `named_rows`.
    texts : mapping of str to str
        Column to what stands in the form.

    Returns
    -------
    Draft
        With `corrects`; wrong when nothing was changed.
    """
    before = as_cells(row)
    made = row_of(log, texts, logbook.settings, before)
    if not made.wrong and not _changed(log, made.main, before):
        return replace(made, wrong=("Nothing was changed yet.",))
    return made.with_main(corrects=row[NAME])


def as_it_stands(log: str, row: pd.Series) -> Draft:
    """The correction of a row that changes nothing yet: what questions about it start from."""
    before = as_cells(row)
    cells = {column.name: _cell(before.get(column.name)) for column in columns_of(log)}
    return Draft((Row(log, {}).but(**cells, corrects=row[NAME]),))


def striking_out(log: str, row: pd.Series, reason: str) -> Draft:
    """Make the row that strikes another one out, for a reason.

    Parameters
    ----------
    log : str
        Which log.
    row : Series
        The row that stands, as in `named_rows`.
    reason : str
        Why; must be said.

    Returns
    -------
    Draft
    """
    if not reason.strip():
        return Draft(wrong=("Say why it is struck out.",))
    return as_it_stands(log, row).with_main(void=True, reason=reason.strip())


def recent(logbook: Logbook, most: int = 8) -> pd.DataFrame:
    """The entries written down last, newest first.

    Parameters
    ----------
    logbook : Logbook
        The logs as read.
    most : int
        How many.

    Returns
    -------
    DataFrame
        Columns `RECENT`: `at` (UTC) is when it happened, `what` a few words.
    """
    entered = {
        log: logbook.history[log]["entered_at"].dropna().nlargest(most) for log in RECENT_LOGS
    }
    return _told_newest(logbook, entered, most)


def entries_of(logbook: Logbook, hull_id: str, most: int = 60) -> pd.DataFrame:
    """The entries about one hull that stand, by when it happened, the latest first.

    Parameters
    ----------
    logbook : Logbook
        The logs as read.
    hull_id : str
        The hull.
    most : int
        How many.

    Returns
    -------
    DataFrame
        Columns `RECENT`, as `recent` gives them; also rows of which nobody knows when they were
        written down.
    """
    happened = {}
    for log in RECENT_LOGS:
        if "hull_id" in LOGS[log].names:
            own = stands_about(logbook, log, hull_id)
            happened[log] = logbook.history[log].loc[own, LOGS[log].event_time]
    return _told_newest(logbook, happened, most)


def stands_about(logbook: Logbook, log: str, hull_id: str) -> npt.NDArray[np.bool_]:
    """Which rows of a log's history are about a hull and stand."""
    history = logbook.history[log]
    own = history["hull_id"].eq(hull_id) & history["standing"].eq("stands")
    return own.to_numpy(bool)


def _told_newest(
    logbook: Logbook, when: Mapping[str, pd.Series[pd.Timestamp]], most: int
) -> pd.DataFrame:
    """Tell the newest of some rows; `when` is by log, with the index of its history."""
    every = [(moments, log) for log, moments in when.items() if len(moments)]
    if not every:
        return pd.DataFrame(columns=RECENT)
    newest = pd.concat([moments for moments, _ in every], keys=[log for _, log in every])
    newest = newest.sort_values(ascending=False, kind="stable")[:most]
    parts = {}
    for log in newest.index.unique(0):
        asked = logbook.history[log].index.isin(newest[log].index)
        parts[log] = _told(logbook, log, named_rows(logbook, log, asked))
    told: pd.DataFrame = pd.concat(parts).loc[newest.index]
    return told.reset_index(drop=True)


def _told(logbook: Logbook, log: str, rows: pd.DataFrame) -> pd.DataFrame:
    unit = logbook.settings.length_unit
    about = rows["hull_id"] if "hull_id" in rows else pd.Series("", index=rows.index)
    return pd.DataFrame(
        {
            "log": log,
            NAME: rows[NAME],
            "hull_id": about.fillna("").astype(object),
            "at": rows[LOGS[log].event_time],
            "what": [tell_entry(log, as_cells(row), unit) for _, row in rows.iterrows()],
            "standing": rows["standing"].mask(rows["void"].fillna(False).astype(bool), "voided"),
            "entered_at": rows["entered_at"],
            "entered_by": rows["entered_by"].fillna("").astype(object),
        },
        columns=RECENT,
    )


def _changed(log: str, made: Row, before: Mapping[str, Any]) -> bool:
    return any(
        made.cells.get(column.name) != _cell(before.get(column.name)) for column in columns_of(log)
    )


def _cell(value: Any) -> object:
    if value is None or value is pd.NA or value is pd.NaT or value != value:
        return None
    return value
