"""How potentials move over time: towards zero, protection fades."""

from __future__ import annotations

from typing import Final

import pandas as pd
from scipy import stats

from corrosion.common import MONTH_H
from corrosion.records import Logbook

LEAST_READINGS: Final = 3


DRIFT_MV_PER_MONTH: Final = 5.0


def potential_drift(logbook: Logbook) -> pd.DataFrame:
    """Say how each hull's potential moves over time.

    A straight line through all of a hull's potentials, whatever the position; towards zero means
    that protection fades.

    Parameters
    ----------
    logbook : Logbook

    Returns
    -------
    DataFrame
        One row a hull with at least three potentials: `hull_id`, `readings`, `first_at`,
        `last_at` (UTC), `last_mv`, `mv_per_month`, `low`, `high` (95 %), `fades` (bool: surely
        upwards, by more than 5 mV a month).
    """
    readings = logbook.readings.dropna(subset=["potential_mv", "read_at"])
    rows = [
        _drift(str(hull), own.sort_values("read_at"))
        for hull, own in readings.groupby("hull_id")
        if len(own) >= LEAST_READINGS and own["read_at"].nunique() > 1
    ]
    columns = [
        "hull_id", "readings", "first_at", "last_at", "last_mv", "mv_per_month", "low", "high",
        "fades",
    ]  # fmt: skip
    table = pd.DataFrame(rows, columns=columns)
    return table.sort_values("mv_per_month", ascending=False, ignore_index=True)


def _drift(hull: str, own: pd.DataFrame) -> dict[str, object]:
    hours = (own["read_at"] - own["read_at"].iloc[0]).dt.total_seconds().to_numpy() / 3600
    line = stats.linregress(hours / MONTH_H, own["potential_mv"].to_numpy(float))
    reach = float(stats.t.ppf(0.975, max(len(own) - 2, 1))) * float(line.stderr)
    slope = float(line.slope)
    return {
        "hull_id": hull,
        "readings": len(own),
        "first_at": own["read_at"].iloc[0],
        "last_at": own["read_at"].iloc[-1],
        "last_mv": float(own["potential_mv"].iloc[-1]),
        "mv_per_month": slope,
        "low": slope - reach,
        "high": slope + reach,
        "fades": bool(slope - reach > 0 and slope > DRIFT_MV_PER_MONTH),
    }
