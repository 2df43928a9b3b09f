"""What is said of a silence: who has not written since when, and what it was filled with."""

from __future__ import annotations

from datetime import tzinfo
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from corrosion.common import Z80, formatting
from corrosion.exposure import Filling

if TYPE_CHECKING:
    from corrosion.forecast.appraisal import Appraisal


def entries_until(filling: Filling | None, hulls: int, on: pd.Timestamp) -> pd.Series:
    """Return the moment up to which each hull's use is known from entries.

    Parameters
    ----------
    filling : Filling or None
    hulls : int, number of hull codes
    on : Timestamp, the moment of the report, up to which it is known where entries are in place

    Returns
    -------
    Series of UTC moments, shape (hulls,), by hull code
    """
    known = pd.Series(on, index=range(hulls), dtype="datetime64[us, UTC]")
    if filling is None:
        return known
    late = filling.chance > 0
    micros = np.where(late, np.round(filling.until_h * 3600) * 1_000_000, on.value / 1000)
    until = pd.to_datetime(micros.astype("int64"), unit="us", utc=True)
    return known.where(~late, pd.Series(until).astype("datetime64[us, UTC]"))


def unwritten(appraisal: Appraisal) -> pd.DataFrame:
    """Say for each mooring that has not been written up what was filled in.

    Parameters
    ----------
    appraisal : Appraisal

    Returns
    -------
    DataFrame
        One row a mooring, the longest silence first: `mooring_id`, `hulls`, `entries_until`
        (UTC), `days`, `chance` (that entries are missing), `engine_hours` (filled in, expected)
        with `low` and `high` (80 %), `wider` (ranges of worn, times as wide), `what_to_do`.
        No row where entries are in place.
    """
    filling, anodes = appraisal.exposure.filling, appraisal.forecast.anodes
    if filling is None:
        return pd.DataFrame(columns=list(COLUMNS))
    exposure = appraisal.exposure
    code = exposure.hull_ids.get_indexer(pd.Index(anodes["hull_id"]))
    table = anodes.assign(
        chance=filling.chance[code],
        filled=filling.engine_h.sum(axis=1)[code],
        sd=(filling.engine_h.sum(axis=1) * filling.spread)[code],
    )
    late = table[table["chance"] > 0]
    rows = [_row(mooring, part, appraisal) for mooring, part in late.groupby("mooring_id")]
    made = pd.DataFrame(rows, columns=list(COLUMNS))
    return made.sort_values(["days", "mooring_id"], ascending=[False, True], ignore_index=True)


COLUMNS = (
    *("mooring_id", "hulls", "entries_until", "days", "chance", "engine_hours", "low", "high"),
    *("wider", "what_to_do"),
)


def _row(mooring: Any, part: pd.DataFrame, appraisal: Appraisal) -> tuple[object, ...]:
    hulls = part.drop_duplicates("hull_id")
    until = part["entries_until"].min()
    days = (appraisal.logbook.on - until) / pd.Timedelta(days=1)
    total = float(hulls["filled"].sum())
    # use strays together as much as apart: the middle of both sums
    sd = float(np.sqrt((hulls["sd"] ** 2).sum()) + hulls["sd"].sum()) / 2
    chance = float(hulls["chance"].max())
    since = formatting.day(until, appraisal.logbook.settings.timezone)
    todo = f"enter outings and flushes of {mooring} since {since}, or say that its hulls lay still"
    return (
        mooring, len(hulls), until, days, chance, total, max(total - Z80 * sd, 0.0),
        total + Z80 * sd, float(part["wider"].mean()), todo,
    )  # fmt: skip


def in_words(appraisal: Appraisal) -> tuple[str, ...]:
    """Say each silence in a sentence; nothing where entries are in place.

    Parameters
    ----------
    appraisal : Appraisal

    Returns
    -------
    tuple of str
    """
    zone = appraisal.logbook.settings.timezone
    return tuple(_sentence(row, zone) for row in unwritten(appraisal).itertuples())


def _sentence(row: Any, zone: tzinfo) -> str:
    since = formatting.day(row.entries_until, zone)
    return (
        f"{row.mooring_id}: not all is written since {since} ({row.days:.0f} days, {row.hulls} "
        f"hulls; chance {row.chance:.2f} that entries are missing). Filled in from hires and "
        f"habit: {row.engine_hours:.0f} engine hours ({row.low:.0f} to {row.high:.0f}); ranges "
        f"are {row.wider:.2f} times as wide. To do: {row.what_to_do}."
    )
