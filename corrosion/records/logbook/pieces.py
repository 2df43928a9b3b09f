"""A log in pieces: each file taken apart by hull, and the pieces of some hulls settled by one.

For logs that lie where no folder is, or that are too long for one process. Read so, a log says
what it says read whole: files keep their names, so joined files and their parts are told apart,
and a correction goes to everybody, because it may move a row from one hull to another.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pyarrow as pa

from corrosion.common import Codes
from corrosion.records.logbook.columns import Objects, read_column
from corrosion.records.logbook.contents import contents_of, read_bytes
from corrosion.records.logbook.files import LogRows, rows_of
from corrosion.records.logbook.findings import Finding
from corrosion.records.logbook.lookback import last_logged
from corrosion.records.logbook.moments import PUT_BACK
from corrosion.records.logbook.settling import standing_at
from corrosion.records.logs import LOGS
from corrosion.records.settings import Settings


@dataclass(frozen=True)
class Piece:
    """What one file of a log says of some hulls."""

    name: str
    table: pa.Table


def part_of_hulls(hull_ids: pd.Series | Objects, firsts: tuple[str, ...]) -> Codes:
    """Say to which part each hull belongs.

    Parameters
    ----------
    hull_ids : Series or array of str or None, shape (n,)
    firsts : tuple of str, ascending
        The first hull of each part but the first; hulls stand in the order of their names.

    Returns
    -------
    ndarray of int, shape (n,)
        An unknown hull belongs to the first part.
    """
    names = pd.Series(hull_ids, dtype=object).fillna("").to_numpy(object)
    return np.searchsorted(np.array(firsts, dtype=object), names, side="right").astype(np.intp)


def take_apart_by_hull(
    log: str, name: str, data: bytes, firsts: tuple[str, ...], zone: ZoneInfo
) -> list[Piece]:
    """Read one file of a log and take it apart.

    Parameters
    ----------
    log, name : str
        The log, one with hulls, and the file's name.
    data : bytes
        The file.
    firsts : tuple of str
        As `part_of_hulls` takes them.
    zone : ZoneInfo
        Zone of times that carry none.

    Returns
    -------
    list of Piece, one a part

    Raises
    ------
    LogRefused
        The file is not Parquet or lacks a required column.
    """
    table = read_bytes(name, data, LOGS[log])
    (column,) = (each for each in LOGS[log] if each.name == "hull_id")
    if "hull_id" not in table.column_names:  # an empty file may have no column at all
        return [Piece(name, table) for _ in range(len(firsts) + 1)]
    part = part_of_hulls(read_column(column, table["hull_id"], zone).values, firsts)
    corrects = np.zeros(len(part), dtype=bool)
    if "corrects" in table.column_names:
        corrects = table["corrects"].is_valid().to_numpy(zero_copy_only=False)
    return [
        Piece(name, table.filter(pa.array((part == each) | corrects)))
        for each in range(len(firsts) + 1)
    ]


def put_together(log: str, pieces: Iterable[Piece], zone: ZoneInfo) -> LogRows:
    """Read the cells of pieces of one log, as `read_log` does those of its files."""
    folder = Path(log)
    read = {folder / piece.name: piece.table for piece in pieces}
    return rows_of(contents_of(read), folder, LOGS[log], zone)


def last_moment(log: str, rows: LogRows, *, is_simulated: bool) -> pd.Timestamp | None:
    """Return the last moment that rows know of, by which `read_fleet` sets its own moment.

    Parameters
    ----------
    log : str
    rows : LogRows
    is_simulated : bool
        Of a live fleet only what this program entered counts, and only up to a day from now.

    Returns
    -------
    Timestamp, UTC, or None
    """
    if is_simulated:
        return last_logged(LOGS[log], rows.frame)
    entered = pd.Timestamp(rows.entered, unit="us", tz="UTC").as_unit("us")
    return entered if entered <= pd.Timestamp.now("UTC") + PUT_BACK else None


def standing_of_part(
    log: str,
    rows: LogRows,
    settings: Settings,
    on: pd.Timestamp,
    part: int,
    firsts: tuple[str, ...],
) -> tuple[pd.DataFrame, list[Finding]]:
    """Return the rows of one part's hulls that stand at a moment, and what was met in reading.

    Parameters
    ----------
    log : str
    rows : LogRows
    settings : Settings
    on : Timestamp
    part : int
    firsts : tuple of str
        As `part_of_hulls` takes them.

    Returns
    -------
    DataFrame, as `Logbook.tables` holds it; `log_row` counts the part's rows
    list of Finding
    """
    table, met = standing_at(LOGS[log], rows, on, settings)
    own = part_of_hulls(table["hull_id"], firsts) == part
    return (table if own.all() else table[own].reset_index(drop=True)), met
