"""Logs that arrive late or not at all, while the truth and the bookings stay as they are.

A silence takes rows of outings and flushes (and, unless told otherwise, of looks and fittings) out
of the logs of a whole fleet, of a mooring or of some hulls. Nothing of the truth is touched.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

import numpy as np
import pandas as pd

from .truth import HOUR, TrueFleet

WRITTEN = {"outings": "ended", "flushes": "flushed_at"}
SEEN = {"readings": "read_at", "fittings": "fitted_at"}
DAY = pd.Timedelta(days=1)


def living_at(fleet: TrueFleet, mooring: int, on: pd.Timestamp) -> set[str]:
    """Return the hulls that live at a mooring, by its number, at a moment."""
    on_h = fleet.hours(on)
    return {
        hull.hull_id
        for hull in fleet.hulls
        if [b.mooring for b in hull.berths if b.since_h <= on_h][-1:] == [mooring]
    }


def fallen_silent(
    fleet: TrueFleet,
    since: pd.Timestamp,
    until: pd.Timestamp,
    hulls: Collection[str] | None = None,
    looks_too: bool = True,
) -> TrueFleet:
    """Withhold the rows of a stretch of time.

    Parameters
    ----------
    fleet
        As it was drawn.
    since, until
        Rows of events after `since` and up to `until` are withheld.
    hulls
        Whose rows; everybody's when None.
    looks_too
        Withhold looks and fittings as well.
    """
    times = WRITTEN | (SEEN if looks_too else {})
    remaining = {}
    for log, table in fleet.tables.items():
        if log in times:
            within = (table[times[log]] > since) & (table[times[log]] <= until)
            own = True if hulls is None else table["hull_id"].isin(hulls)
            remaining[log] = table[~(within & own)].reset_index(drop=True)
    return replace(fleet, tables=fleet.tables | remaining)


def late_entries(
    fleet: TrueFleet, on: pd.Timestamp, most_days: float, dated: bool, seed: int
) -> TrueFleet:
    """Let each outing and flush be written down 0 to `most_days` days later, at random.

    Rows not written by `on` are withheld; with `dated`, the others say when they were entered.
    """
    rng = np.random.default_rng([seed, 77])
    by_then = {}
    for log, column in WRITTEN.items():
        table = fleet.tables[log]
        entered = table[column] + pd.to_timedelta(rng.uniform(0, most_days, len(table)), unit="D")
        entered = entered.astype("datetime64[us, UTC]")
        with_entry_time = table.assign(entered_at=entered) if dated else table
        by_then[log] = with_entry_time[entered <= on].reset_index(drop=True)
    return replace(fleet, tables=fleet.tables | by_then)


def hours_out(
    fleet: TrueFleet, since: pd.Timestamp, until: pd.Timestamp, hulls: Collection[str] | None = None
) -> float:
    """Return the engine hours truly run between two moments."""
    first, last = fleet.hours(since), fleet.hours(until)
    return float(
        sum(
            use.engine_h[(use.end_h > first) & (use.end_h <= last)].sum()
            for hull, use in zip(fleet.hulls, fleet.uses, strict=True)
            if hulls is None or hull.hull_id in hulls
        )
    )


def moment(fleet: TrueFleet, share: float) -> pd.Timestamp:
    """Return the midnight at a share of the days on record."""
    return fleet.start + int(fleet.plan.days * share) * 24 * HOUR
