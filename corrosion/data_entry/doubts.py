"""Doubts: the rows behind each finding, so that they can be looked at and mended."""

from __future__ import annotations

from typing import Final

import pandas as pd

from corrosion.data_entry.amend import NAME, as_cells, named_rows
from corrosion.records import LOGS, Checked, tell_entry

DOUBTED: Final = [NAME, "about", "hull_id", "at", "what", "entered_at", "entered_by", "log_file"]
GRAVITY: Final = {"set-aside": 0, "doubtful": 1, "note": 2}


def findings_by_gravity(checked: Checked) -> pd.DataFrame:
    """What was found, the gravest first.

    Parameters
    ----------
    checked : Checked
        The logs after checking.

    Returns
    -------
    DataFrame
        Its findings; those that a row can be shown for have `shown` True.
    """
    table = checked.findings
    known = set(zip(checked.objections["log"], checked.objections["rule"], strict=True))
    shown = [pair in known for pair in zip(table["log"], table["rule"], strict=True)]
    gravity = table["severity"].map(GRAVITY)
    ordered = table.assign(shown=shown, gravity=gravity)
    return ordered.sort_values("gravity", kind="stable", ignore_index=True).drop(columns="gravity")


def doubted_rows(checked: Checked, log: str, rule: str, most: int = 25) -> pd.DataFrame:
    """The rows that a rule objects to, newest first.

    Parameters
    ----------
    checked : Checked
        The logs after checking.
    log, rule : str
        As in the findings.
    most : int
        How many rows are told.

    Returns
    -------
    DataFrame
        Columns `DOUBTED`: `name` to correct it by, `about` what it is about, `at` when (UTC,
        unknown for a register), `what` it says.
    """
    objections = checked.objections
    places = objections.loc[(objections["log"] == log) & (objections["rule"] == rule), "log_row"]
    history, when = checked.logbook.history[log], LOGS[log].event_time
    rows = history[history["log_row"].isin(places)]
    at = rows[when] if when else pd.Series(pd.NaT, rows.index, "datetime64[us, UTC]")
    at = at.sort_values(ascending=False, kind="stable")[:most]
    rows = named_rows(checked.logbook, log, history.index.isin(at.index)).loc[at.index]
    unit = checked.logbook.settings.length_unit
    cells = [as_cells(row) for _, row in rows.iterrows()]
    nothing = pd.Series(None, rows.index, object)
    return pd.DataFrame(
        {
            NAME: rows[NAME],
            "about": [" ".join(str(c[key]) for key in LOGS[log].keys if c[key]) for c in cells],
            "hull_id": rows.get("hull_id", nothing),
            "at": at,
            "what": [tell_entry(log, each, unit) for each in cells],
            "entered_at": rows["entered_at"],
            "entered_by": rows["entered_by"],
            "log_file": rows["log_file"],
        },
        columns=DOUBTED,
    ).reset_index(drop=True)
