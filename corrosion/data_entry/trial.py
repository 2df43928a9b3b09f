"""A trial: what the checks would say of a row if it stood in the log."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from corrosion.data_entry.drafts import Row
from corrosion.data_entry.known import Desk
from corrosion.records import Logbook, check_logs

NEIGHBOURS = 30
"""Hulls of the same layout that a row is judged beside; more tell nothing new and take longer."""


def objections_to(desk: Desk, rows: Sequence[Row], instead_of: int | None = None) -> set[str]:
    """Ask the checks about rows that are not written yet.

    Parameters
    ----------
    desk : Desk
        The logs and the moment.
    rows : sequence of Row
        The rows; the first is the one asked about.
    instead_of : int, optional
        `log_row` of the row whose place the first would take.

    Returns
    -------
    set of str
        Names of the rules that object to the first row; of rules about the whole hull, those that
        did not object before.
    """
    logbook = _beside(desk, rows[0])
    tried, log_row = _with_rows(logbook, rows, desk.now, instead_of)
    objections = check_logs(tried, {rows[0].log, "hulls"}).objections
    own = objections[(objections["log"] == rows[0].log) & (objections["log_row"] == log_row)]
    return set(own["rule"]) | (_about_hull(objections, tried, rows[0]) - _before(logbook, rows[0]))


def objections_by_row(desk: Desk, rows: Sequence[Row]) -> list[set[str]]:
    """Ask the checks about rows of one register that are not written yet.

    Parameters
    ----------
    desk : Desk
        The logs and the moment.
    rows : sequence of Row
        All of one log.

    Returns
    -------
    list of set of str
        Names of the rules that object, row by row.
    """
    tried, first = _with_rows(desk.logbook, rows, desk.now, None)
    objections = check_logs(tried, {rows[0].log}).objections
    own = objections[objections["log"] == rows[0].log]
    return [set(own.loc[own["log_row"] == first + n, "rule"]) for n in range(len(rows))]


def _about_hull(objections: pd.DataFrame, logbook: Logbook, row: Row) -> set[str]:
    hulls = logbook.hulls
    own = hulls.loc[hulls["hull_id"] == row.cells.get("hull_id"), "log_row"]
    return set(
        objections.loc[(objections["log"] == "hulls") & objections["log_row"].isin(own), "rule"]
    )


def _before(logbook: Logbook, row: Row) -> set[str]:
    """Only a move changes what is said of a hull at once; for the rest it need not be asked."""
    if row.log != "berths":
        return {"idle-in-season", "never-out", "anode-unread", "berth-missing"}
    return _about_hull(check_logs(logbook, {"hulls"}).objections, logbook, row)


def _beside(desk: Desk, row: Row) -> Logbook:
    """The logs of the hull and of some of its sisters."""
    logbook = desk.logbook
    hulls = logbook.hulls
    if len(hulls) <= NEIGHBOURS:
        return logbook
    own = hulls["hull_id"] == row.cells.get("hull_id")
    sister = hulls["layout"].isin(hulls.loc[own, "layout"]) & ~own
    beside = [*hulls.loc[own, "hull_id"], *hulls.loc[sister, "hull_id"][: NEIGHBOURS - 1]]
    tables = {
        log: rows[rows["hull_id"].isin(beside)].reset_index(drop=True)
        if "hull_id" in rows
        else rows
        for log, rows in logbook.tables.items()
    }
    return replace(logbook, tables=tables)


def _with_rows(
    logbook: Logbook, rows: Sequence[Row], now: pd.Timestamp, instead_of: int | None
) -> tuple[Logbook, int]:
    """The logs with the rows in them, and the `log_row` of the first."""
    tables, first = dict(logbook.tables), -1
    for number, row in enumerate(rows):
        table = tables[row.log]
        log_row = int(table["log_row"].max()) + 1 if len(table) else 0
        if number == 0 and instead_of is not None:
            table = table[table["log_row"] != instead_of]
        first = log_row if number == 0 else first
        tables[row.log] = _with_row(table, row, log_row)
    return replace(logbook, tables=tables, on=max(logbook.on, now)), first


def _with_row(table: pd.DataFrame, row: Row, log_row: int) -> pd.DataFrame:
    # without a time of entry it comes after a row that says the same: it is the second of the two
    cells = {**row.cells, "log_row": log_row, "log_file": ""}
    values = {
        name: pd.Series([cells.get(name)], dtype=object).astype(table[name].dtype)
        for name in table.columns
    }
    # an all-unknown block beside a filled one would change no type here: both have the table's
    joined = {name: _joined(table[name], value) for name, value in values.items()}
    return pd.DataFrame(joined)


def _joined(column: pd.Series, value: pd.Series) -> pd.Series:
    both = np.concatenate([column.to_numpy(object), value.to_numpy(object)])
    return pd.Series(both, dtype=object).astype(column.dtype)


def objections_to_file(desk: Desk, log: str, rows: pd.DataFrame) -> pd.DataFrame:
    """Ask the checks about a file's rows before they are taken into a log.

    Parameters
    ----------
    desk : Desk
        The logs and the moment.
    log : str
        The log they are for.
    rows : DataFrame, n rows
        Columns of the log in its dtypes; further ones are not looked at.

    Returns
    -------
    DataFrame
        One row per rule that would set aside or doubt some of them: `rule`, `severity`, `rows`,
        `at` (tuple of int, their places in the file's rows), `what_to_do`; most first.
    """
    logbook = desk.logbook
    table = logbook.tables[log]
    first = int(table["log_row"].max()) + 1 if len(table) else 0
    given = rows.reindex(columns=[name for name in table.columns if name in rows])
    given = given.assign(log_row=np.arange(first, first + len(rows)), log_file="")
    joined = {
        name: _joined(
            table[name], given[name] if name in given else pd.Series(None, rows.index, object)
        )
        for name in table.columns
    }
    tables = {**logbook.tables, log: pd.DataFrame(joined)}
    tried = replace(logbook, tables=tables, on=max(logbook.on, desk.now))
    checked = check_logs(tried, {log})
    objections, findings = checked.objections, checked.findings
    own = objections[
        (objections["log"] == log)
        & (objections["log_row"] >= first)
        & (objections["severity"] != "note")
    ]
    own = own[own["rule"] != "exact-duplicate"]  # such a row is taken once
    counted = pd.DataFrame(
        [
            {"rule": rule, "severity": severity, "at": tuple(sorted(mine["log_row"] - first))}
            for (rule, severity), mine in own.groupby(["rule", "severity"], sort=False)
        ],
        columns=["rule", "severity", "at"],
    )
    counted["rows"] = counted["at"].map(len)
    advice = findings[findings["log"] == log].drop_duplicates("rule").set_index("rule")
    counted["what_to_do"] = counted["rule"].map(advice["what_to_do"])
    counted = counted[["rule", "severity", "rows", "at", "what_to_do"]]
    return counted.sort_values("rows", ascending=False, kind="stable", ignore_index=True)
