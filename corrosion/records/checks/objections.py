"""Go through the rules stage by stage: object, set aside, count, and hand the clean logs on."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np
import pandas as pd

from corrosion.common import Remembered
from corrosion.records.checks.catalogue import STAGES, LayOut, Stage
from corrosion.records.checks.evidence import (
    DOUBTFUL,
    NOTE,
    PLACE,
    SET_ASIDE,
    Evidence,
    Flags,
    Objection,
    Rule,
    is_true,
)
from corrosion.records.checks.numbering import evidence_of
from corrosion.records.checks.telling import finding_of
from corrosion.records.checks.watching import once
from corrosion.records.logbook import Logbook, findings_table
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


def check_logs(
    logbook: Logbook,
    logs: Collection[str] | None = None,
    remembered: Remembered | None = None,
    gone_through: Collection[str] = (),
) -> Checked:
    """Look at every row of every log and say what can't be true, what is doubtful, what is odd.

    Parameters
    ----------
    logbook : Logbook
        The logs as they stood at a moment.
    logs : collection of str, optional
        Logs whose rows are asked about; without it, all. What is objected to in them is the same:
        a rule is not asked about another log only where no later rule would hear of it.
    remembered : Remembered, optional
        What the last run found: a rule is asked again only where a table that it looks at is
        another one.
    gone_through : collection of str
        Logs whose rows were gone through before, part by part: no rule is asked about them again.

    Returns
    -------
    Checked
        The same whatever the order of rows and files; nothing is lost that is not counted.
    """
    last = Remembered() if remembered is None else remembered
    evidence = evidence_of(logbook, last)
    open_logs = LOGS.keys() - set(gone_through)
    objections: list[Objection] = []
    laid_out: dict[LayOut, pd.DataFrame] = {}
    for stage in STAGES:
        evidence = _laid_out(stage, evidence, laid_out)
        evidence, raised = _go_through(stage, evidence, logs, open_logs, last)
        objections += raised
    findings = findings_table(finding_of(each, evidence) for each in objections)
    forgotten = {log: _forgotten_cells(log, objections) for log in LOGS}
    tables = {
        log: last.of(
            ("believed", log),
            (evidence[log], read, tuple(forgotten[log])),
            partial(_as_read, evidence[log], read, forgotten[log]),
        )
        for log, read in logbook.tables.items()
    }
    tables["readings"] = _with_flags(evidence["readings"], tables["readings"], objections)
    return Checked(
        logbook,
        tables,
        pd.concat([logbook.findings, findings], ignore_index=True),
        _objection_table(objections),
    )


def _laid_out(stage: Stage, evidence: Evidence, before: dict[LayOut, pd.DataFrame]) -> Evidence:
    """Lay out what a stage compares, once for the same readings; noted in `before`."""
    readings = evidence["readings"]
    for lay_out in stage.lay_out:
        if before.get(lay_out) is not readings:
            name = ("laid out", STAGES.index(stage), lay_out.__name__)
            log, rows = once(evidence, name, lay_out)
            # laid out anew it may say the same: then rules that looked at it need not look again
            evidence = evidence.with_table(log, evidence.last.alike((*name, log), rows))
    # a later one adds columns: what those before it laid out still stands
    before.update(dict.fromkeys(stage.lay_out, evidence["readings"]))
    return evidence


def _go_through(
    stage: Stage,
    evidence: Evidence,
    logs: Collection[str] | None,
    open_logs: Collection[str],
    last: Remembered,
) -> tuple[Evidence, list[Objection]]:
    """Ask every rule of a stage about the same evidence, then act on all that they found."""
    asked = [
        _asked_once(rule, log, evidence)
        for rule in stage.rules
        for log in rule.logs
        if log in open_logs and (logs is None or log in logs or _is_heard(rule, stage))
    ]
    objections = [objection for objection in asked if objection is not None]
    for objection in objections:
        log, rows = objection.log, evidence[objection.log]
        left = last.of(
            ("acted", objection.rule.name, log),
            (rows, objection.rows),
            partial(_acted, objection, rows),
        )
        evidence = evidence.with_table(log, left)
    return evidence, objections


def _asked_once(rule: Rule, log: str, evidence: Evidence) -> Objection | None:
    """Ask a rule about a log, unless it was asked and would look at the same once more."""

    def ask(watched: Evidence) -> Objection | None:
        rows = watched[log]
        flags = _asked(rule, rows, watched)
        return Objection(rule, log, rows[flags]) if flags.any() else None

    return once(evidence.looking_at(log), ("rule", rule.name), ask)


def _is_heard(rule: Rule, stage: Stage) -> bool:
    """Whether a later stage sees what a rule says: notes set nothing aside and doubt nothing."""
    return rule.severity != NOTE and stage is not STAGES[-1]


def _asked(rule: Rule, rows: pd.DataFrame, evidence: Evidence) -> Flags:
    if rows.empty:
        return pd.Series(False, index=rows.index)
    return is_true(rule.finds(rows, evidence))


def _acted(objection: Objection, rows: pd.DataFrame) -> pd.DataFrame:
    """Leave rows out, forget cells, or mark a doubt, as the rule's severity says."""
    rule = objection.rule
    acts = rule.severity == SET_ASIDE or (rule.severity == DOUBTFUL and objection.log == "readings")
    if not acts:
        return rows
    hit = rows["log_row"].isin(objection.rows["log_row"])
    if rule.severity == SET_ASIDE and rule.cells:
        rows = _forget(rows, hit, rule.cells)
    elif rule.severity == SET_ASIDE:
        rows = rows[~hit]
    else:
        rows = rows.assign(doubtful=rows["doubtful"] | hit)
    return rows if len(rows) == len(hit) else rows.reset_index(drop=True)


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
