"""Go through the rules stage by stage: object, set aside, count, and hand the clean logs on."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.records.checks.catalogue import STAGES, LayOut, Stage
from corrosion.records.checks.evidence import (
    DOUBTFUL,
    EVENT_TIME,
    NOTE,
    PLACE,
    ROW_KEYS,
    SET_ASIDE,
    Evidence,
    Flags,
    Rule,
    in_order,
    is_true,
)
from corrosion.records.logbook import Finding, Logbook, clock_text, findings_table
from corrosion.records.logs import LOGS

OBJECTION_COLUMNS = ["log", "log_row", "rule", "severity"]
TELLING = ["size_mm", "size_low_mm", "size_high_mm", "verdict"]


@dataclass(frozen=True)
class Checked:
    """A fleet's logs after checking.

    Attributes
    ----------
    logbook : Logbook
        The logs as they were read.
    tables : mapping of str to DataFrame
        Log to the rows that are used, in the order of the log book: rows set aside are left out,
        cells set aside are unknown. `readings` has two more columns: `doubtful` (bool: used with
        care) and `breaks_life` (bool: the first look at another anode, though no fitting says so).
        Also as attributes (`checked.readings`).
    findings : DataFrame
        What was noticed in reading, then one row per log and rule that objected; columns of
        `corrosion.records.logbook.FINDING_COLUMNS`.
    objections : DataFrame
        One row per row objected to and rule: log, log_row, rule, severity.

    """

    logbook: Logbook
    tables: Mapping[str, pd.DataFrame]
    findings: pd.DataFrame
    objections: pd.DataFrame

    def __getattr__(self, name: str) -> pd.DataFrame:
        """A log's rows that are used, by the log's name."""
        if name in LOGS:
            return self.tables[name]
        raise AttributeError(f"there is no log {name}")


@dataclass(frozen=True)
class Objection:
    """One rule that found something in one log: the rows, in order of the log's keys."""

    rule: Rule
    log: str
    rows: pd.DataFrame


def check_logs(logbook: Logbook, logs: Collection[str] | None = None) -> Checked:
    """Look at every row of every log and say what can't be true, what is doubtful, what is odd.

    Parameters
    ----------
    logbook : Logbook
        The logs as they stood at a moment.
    logs : collection of str, optional
        Logs whose rows are asked about; without it, all. What is objected to in them is the same:
        a rule is not asked about another log only where no later rule would hear of it.

    Returns
    -------
    Checked
        The same whatever the order of rows and files; nothing is lost that is not counted.
    """
    evidence = _evidence(logbook)
    objections: list[Objection] = []
    laid_out: dict[LayOut, pd.DataFrame] = {}
    for stage in STAGES:
        evidence = _laid_out(stage, evidence, laid_out)
        evidence, raised = _go_through(stage, evidence, logs)
        objections += raised
    findings = findings_table(_finding(each, evidence) for each in objections)
    forgotten = {log: _forgotten_cells(log, objections) for log in LOGS}
    tables = {
        log: _as_read(evidence[log], read, forgotten[log]) for log, read in logbook.tables.items()
    }
    tables["readings"] = _with_flags(evidence["readings"], tables["readings"], objections)
    return Checked(
        logbook,
        tables,
        pd.concat([logbook.findings, findings], ignore_index=True),
        _objection_table(objections),
    )


def _evidence(logbook: Logbook) -> Evidence:
    named = {
        log: pd.factorize(rows["hull_id"].to_numpy(object))
        for log, rows in logbook.tables.items()
        if "hull_id" in rows
    }
    # in the order of their names, so that the numbers sort as the names do; unknown last
    hulls = pd.Index(sorted({name for _, names in named.values() for name in names}), dtype=object)
    logged = {
        log: in_order(_numbered(logbook.tables[log], named.get(log), hulls), log) for log in LOGS
    }
    logged["readings"]["doubtful"] = False
    return Evidence(logged, logged, logbook.on, logbook.settings.timezone)


def _numbered(
    rows: pd.DataFrame, named: tuple[np.ndarray, np.ndarray] | None, hulls: pd.Index
) -> pd.DataFrame:
    """Number the rows as they stand in the log book, and their hulls."""
    numbered = rows.assign(**{PLACE: np.arange(len(rows))})
    if named is not None:
        code, names = named
        number = np.append(hulls.get_indexer(pd.Index(names, dtype=object)), len(hulls))
        numbered["hull_no"] = number[code]
    return numbered


def _laid_out(stage: Stage, evidence: Evidence, before: dict[LayOut, pd.DataFrame]) -> Evidence:
    """Lay out what a stage compares, once for the same readings; noted in `before`."""
    readings = evidence["readings"]
    for lay_out in stage.lay_out:
        if before.get(lay_out) is not readings:
            evidence = lay_out(evidence)
    # a later one adds columns: what those before it laid out still stands
    before.update(dict.fromkeys(stage.lay_out, evidence["readings"]))
    return evidence


def _go_through(
    stage: Stage, evidence: Evidence, logs: Collection[str] | None
) -> tuple[Evidence, list[Objection]]:
    """Ask every rule of a stage about the same evidence, then act on all that they found."""
    objections = [
        Objection(rule, log, rows[flags])
        for rule in stage.rules
        for log in rule.logs
        if logs is None or log in logs or _is_heard(rule, stage)
        for rows in [evidence[log]]
        for flags in [_asked(rule, rows, evidence.looking_at(log))]
        if flags.any()
    ]
    for objection in objections:
        evidence = _acted(objection, evidence)
    return evidence, objections


def _is_heard(rule: Rule, stage: Stage) -> bool:
    """Whether a later stage sees what a rule says: notes set nothing aside and doubt nothing."""
    return rule.severity != NOTE and stage is not STAGES[-1]


def _asked(rule: Rule, rows: pd.DataFrame, evidence: Evidence) -> Flags:
    if rows.empty:
        return pd.Series(False, index=rows.index)
    return is_true(rule.finds(rows, evidence))


def _acted(objection: Objection, evidence: Evidence) -> Evidence:
    """Leave rows out, forget cells, or mark a doubt, as the rule's severity says."""
    rule, rows = objection.rule, evidence[objection.log]
    acts = rule.severity == SET_ASIDE or (rule.severity == DOUBTFUL and objection.log == "readings")
    if not acts:
        return evidence
    hit = rows["log_row"].isin(objection.rows["log_row"])
    if rule.severity == SET_ASIDE and rule.cells:
        rows = _forget(rows, hit, rule.cells)
    elif rule.severity == SET_ASIDE:
        rows = rows[~hit]
    else:
        rows = rows.assign(doubtful=rows["doubtful"] | hit)
    return evidence.with_table(objection.log, rows.reset_index(drop=True))


def _forget(rows: pd.DataFrame, hit: Flags, cells: tuple[str, ...]) -> pd.DataFrame:
    """Make cells unknown; a look that tells nothing more then is left out."""
    rows = rows.assign(**{cell: rows[cell].mask(hit) for cell in cells})
    if not set(TELLING) <= set(rows.columns):
        return rows
    empty = rows[TELLING].isna().all(axis=1) & ~is_true(rows["removed"])
    return rows[~(hit & empty)]


def _forgotten_cells(log: str, objections: list[Objection]) -> list[str]:
    """Return the columns of a log of which cells were made unknown."""
    cells = [each.rule.cells for each in objections if each.log == log]
    return sorted({cell for some in cells for cell in some})


def _as_read(rows: pd.DataFrame, read: pd.DataFrame, forgotten: list[str]) -> pd.DataFrame:
    """Return what is left, in the columns and the order of the log book.

    A log that nothing was objected to is handed on as it was read, and takes no further room.
    """
    place = rows[PLACE].to_numpy(np.intp)
    left = np.zeros(len(read), dtype=bool)
    left[place] = True
    table = read if left.all() else read[left]
    if forgotten:
        order = np.argsort(place, kind="stable")
        table = table.assign(**{cell: rows[cell].array[order] for cell in forgotten})
    return table.reset_index(drop=True)


def _with_flags(
    rows: pd.DataFrame, readings: pd.DataFrame, objections: list[Objection]
) -> pd.DataFrame:
    breaks = [each.rows["log_row"] for each in objections if each.rule.breaks_life]
    broken = readings["log_row"].isin(np.concatenate(breaks) if breaks else [])
    doubtful = readings["log_row"].isin(rows.loc[rows["doubtful"], "log_row"])
    return readings.assign(doubtful=doubtful, breaks_life=broken)


def _objection_table(objections: list[Objection]) -> pd.DataFrame:
    parts = [
        pd.DataFrame(
            {
                "log": each.log,
                "log_row": each.rows["log_row"].to_numpy(),
                "rule": each.rule.name,
                "severity": each.rule.severity,
            }
        )
        for each in objections
    ]
    empty = pd.DataFrame(columns=OBJECTION_COLUMNS, dtype=object).astype({"log_row": "int64"})
    return pd.concat(parts, ignore_index=True) if parts else empty


def _finding(objection: Objection, evidence: Evidence) -> Finding:
    rule, rows = objection.rule, objection.rows
    first = _in_words(objection, evidence)
    return Finding(objection.log, rule.name, rule.severity, len(rows), first, rule.what_to_do)


def _in_words(objection: Objection, evidence: Evidence) -> str:
    """Tell the earliest row: what it is about, when, and the values that were objected to."""
    log, rows = objection.log, objection.rows
    time = EVENT_TIME.get(log)
    row = rows.iloc[_earliest(rows[time]) if time else 0]
    about = " ".join(_told(row[key], evidence) for key in ROW_KEYS[log] if _names(key))
    when = [_told(row[time], evidence)] if time else []
    shown = [
        f"{column} {_told(row[column], evidence)}"
        for column in objection.rule.shows
        if column in row.index and column != time and pd.notna(row[column])
    ]
    return ", ".join([about, *when, *shown])


def _earliest(moments: pd.Series) -> int:
    return int(moments.argmin()) if moments.notna().any() else 0


def _names(key: str) -> bool:
    return key in {"hull_id", "mooring_id", "layout", "position"}


def _told(value: object, evidence: Evidence) -> str:
    if isinstance(value, pd.Timestamp):
        return clock_text(value, evidence.timezone)
    if value is None or value is pd.NaT or value is pd.NA or value != value:
        return "unknown"
    return f"{value:.6g}" if isinstance(value, float) else str(value)
