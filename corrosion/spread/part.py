"""What a worker does with its part of the hulls. Every function here runs on workers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

import pandas as pd

from corrosion.common import Codes, Floats
from corrosion.exposure import Exposure, Hours, PartPlaced, sum_part
from corrosion.life_model import LooksOfPart
from corrosion.records import (
    Checked,
    Logbook,
    LogRows,
    Piece,
    check_logs,
    findings_table,
    last_moment,
    put_together,
    standing_of_part,
    take_apart_by_hull,
)
from corrosion.spread.addresses import SPREAD_LOGS, Address

OUTING_COLUMNS = ["hull_id", "started", "ended", "engine_hours", "entered_at", "log_row"]


@dataclass(frozen=True)
class Parts:
    """How hulls are parted: the first hull of each part but the first, ascending."""

    firsts: tuple[str, ...]

    @property
    def count(self) -> int:
        """Return how many parts there are."""
        return len(self.firsts) + 1


def apart(address: Address, log: str, path: str, parts: Parts, zone: ZoneInfo) -> list[Piece]:
    """Read one file and take it apart by hull."""
    name = path.rsplit("/", 1)[-1]
    return take_apart_by_hull(log, name, address.read(path), parts.firsts, zone)


def piece_of(pieces: list[Piece], part: int) -> Piece:
    """Return one part's piece of a file."""
    return pieces[part]


def rows_of_part(log: str, pieces: list[Piece], zone: ZoneInfo) -> LogRows:
    """Read the cells of a part's pieces of one log."""
    return put_together(log, pieces, zone)


def last_known(log: str, rows: LogRows, is_simulated: bool) -> pd.Timestamp | None:
    """Return the last moment that a part's rows of one log know of."""
    return last_moment(log, rows, is_simulated=is_simulated)


def checked_part(logbook: Logbook, rows: Mapping[str, LogRows], part: int, parts: Parts) -> Checked:
    """Settle and check a part's outings and flushes, beside the registers of its hulls."""
    tables, met = dict(logbook.tables), []
    for log in SPREAD_LOGS:
        tables[log], of_log = standing_of_part(
            log,
            rows[log],
            logbook.settings,
            logbook.on,
            part,
            parts.firsts,
        )
        met += of_log
    return check_logs(
        Logbook(logbook.folder, logbook.settings, logbook.on, tables, {}, findings_table(met)),
        logs=(),
    )


@dataclass(frozen=True)
class Said:
    """What a part's checked logs say to all.

    Attributes
    ----------
    outings : DataFrame, columns `OUTING_COLUMNS` as far as they are known
    flushes : DataFrame: hull_id, flushed_at, the last of each hull
    findings : DataFrame, of outings and flushes
    """

    outings: pd.DataFrame
    flushes: pd.DataFrame
    findings: pd.DataFrame


def said_by(checked: Checked) -> Said:
    """Leave of a part's outings and flushes what the whole fleet's questions need."""
    columns = [name for name in OUTING_COLUMNS if name in checked.outings]
    last: pd.DataFrame = checked.flushes.groupby("hull_id")["flushed_at"].max().reset_index()
    findings = checked.findings
    return Said(checked.outings[columns], last, findings[findings["log"].isin(SPREAD_LOGS)])


def believing(part: Checked, registers: Mapping[str, pd.DataFrame]) -> Checked:
    """Return a part's logs beside the registers as they were checked for the whole fleet."""
    tables = {**part.tables, **registers}
    return Checked(part.logbook, tables, part.findings, part.objections)


def first_and_written(placed: PartPlaced) -> tuple[float, Floats]:
    """Return when a part's record begins, and where and when it wrote flush rows."""
    return placed.first_h, placed.written


def counted(kept: tuple[PartPlaced, pd.DataFrame]) -> pd.DataFrame:
    """Return a part's counts of returns left unflushed."""
    return kept[1]


def summed(kept: tuple[PartPlaced, pd.DataFrame], counts: pd.DataFrame, first_h: float) -> Exposure:
    """Sum a part's hours up, with what all parts said."""
    return sum_part(kept[0], counts, first_h)


def looks_lent(looks: LooksOfPart) -> LooksOfPart:
    """Keep a part's looks at hand for as long as a climb is on."""
    return looks


def placed_outings_of(exposure: Exposure, first_hull: int) -> pd.DataFrame:
    """Return when and how long a part's hulls were out, hulls by the fleet's codes."""
    out = exposure.outings[["hull", "start_h", "stop_h", "engine_h"]]
    return out.assign(hull=out["hull"] + first_hull)


def cells_of(exposure: Exposure) -> pd.DataFrame:
    """Return the cells of a part's exposure."""
    return exposure.cells


def hours_until(exposure: Exposure, hull: Codes, at_h: Floats) -> Hours:
    """Return running totals of a part's hulls, by its own codes."""
    return exposure.logged(hull, at_h)


def added(parts: Sequence[tuple[float, Floats]]) -> tuple[float, Floats]:
    """Add up value and gradient."""
    value, slope = parts[0]
    for other, other_slope in parts[1:]:
        value, slope = value + other, slope + other_slope
    return value, slope
