"""Rows put in order and numbered, so that rules compare whole numbers and not texts."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

import numpy as np
import pandas as pd

from corrosion.common import Remembered
from corrosion.records.checks.evidence import PLACE, Evidence, in_order
from corrosion.records.logbook import Logbook
from corrosion.records.logs import LOGS

NAMES = ("hull_id", "position")
Named = tuple[np.ndarray, np.ndarray]


def evidence_of(logbook: Logbook, last: Remembered) -> Evidence:
    """Return the logs as the first stage sees them: in order, hulls and spots numbered.

    Parameters
    ----------
    logbook : Logbook
    last : Remembered
        What the last run put in order: a log of which no row changed is not put in order again.

    Returns
    -------
    Evidence
    """
    named = {
        (key, log): last.of(("named in", log, key), (rows,), partial(_named, rows, key))
        for key in NAMES
        for log, rows in logbook.tables.items()
        if {"hull_id", key} <= set(rows.columns)
    }
    # in the order of their names, so that the numbers sort as the names do; unknown last
    ids, positions = (
        tuple(sorted({name for (of, _), (_, said) in named.items() if of == key for name in said}))
        for key in NAMES
    )
    logged = {
        log: last.of(
            ("in order", log),
            (logbook.tables[log], ids, positions),
            partial(_in_order, logbook, log, named, ids, positions),
        )
        for log in LOGS
    }
    return Evidence(logged, logged, logbook.on, logbook.settings.timezone, last=last)


def _named(rows: pd.DataFrame, key: str) -> Named:
    code, names = pd.factorize(rows[key].to_numpy(object))
    return code, names


def _numbers(named: Named, ids: tuple[str, ...]) -> np.ndarray:
    """Number names by their place among all names; unknown last."""
    code, names = named
    every = pd.Index(ids, dtype=object)
    number = np.append(every.get_indexer(pd.Index(names, dtype=object)), len(every))
    return np.asarray(number[code], dtype=np.int64)


def _in_order(
    logbook: Logbook,
    log: str,
    named: Mapping[tuple[str, str], Named],
    ids: tuple[str, ...],
    positions: tuple[str, ...],
) -> pd.DataFrame:
    """Number the rows as they stand in the log book, their hulls and spots; put them in order."""
    rows = logbook.tables[log]
    numbered = rows.assign(**{PLACE: np.arange(len(rows))})
    if ("hull_id", log) in named:
        hull = numbered["hull_no"] = _numbers(named["hull_id", log], ids)
        if ("position", log) in named:
            position = _numbers(named["position", log], positions)
            numbered["spot_no"] = hull * (len(positions) + 1) + position
    ordered = in_order(numbered, log)
    return ordered.assign(doubtful=False) if log == "readings" else ordered
