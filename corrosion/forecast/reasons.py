"""What is odd about an anode, why a hull is where it is on the list, which cannot be judged."""

from __future__ import annotations

from datetime import tzinfo
from typing import Any

import numpy as np
import pandas as pd

from corrosion.common import Floats, formatting, hours_since_epoch
from corrosion.forecast.wear_paths import Paths
from corrosion.forecast.wear_projection import in_service
from corrosion.life_model import Fit, Paces
from corrosion.records import SALTY, Checked

UNREAD_DAYS = 60


GREW_DAYS = 42


TOLD = (
    *("position", "worn", "clock", "fitted_at"),
    *("last_read_at", "last_size_mm", "last_verdict"),
)
SAY = {"running": "engine hours", "unflushed": "unflushed hours", "afloat": "hours afloat"}


def hours_of(on: pd.Timestamp) -> float:
    """Return a moment as hours since 1970."""
    return float(hours_since_epoch(pd.DatetimeIndex([on]))[0])


def flags_of_anodes(
    fit: Fit, checked: Checked, path: Paths, beside: Paces, table: pd.DataFrame
) -> np.ndarray:
    """Return the flag of each anode, empty where nothing is odd about it, shape (k,)."""
    on = checked.logbook.on
    salty = pd.Series(fit.exposure.waters).reindex(table["mooring_id"]).isin(SALTY).to_numpy(bool)
    unread = table["last_read_at"].isna() & (_age_days(fit, path, on) > UNREAD_DAYS)
    unread |= (on - table["last_read_at"]) > pd.Timedelta(days=UNREAD_DAYS)
    changed = (table["started"] == "change") & (_age_days(fit, path, on) < GREW_DAYS)
    read_past = (table["last_worn"] >= 1.0) | (table["last_verdict"] == "worn")
    return np.select(
        [
            (path.mean[:, 0] >= 1.0) | (read_past & (path.mean[:, 0] > 0.95)),
            salty & beside.slow,
            beside.fast,
            changed.to_numpy(bool),
            unread.to_numpy(bool),
        ],
        ["past-limit", "not-wearing", "wearing-fast", "grew", "unread"],
        default="",
    )


def _age_days(fit: Fit, path: Paths, on: pd.Timestamp) -> Floats:
    start = fit.lives.lives["start_h"].to_numpy(float)[fit.model.design.steps.lives[path.lives]]
    return np.asarray((hours_of(on) - start) / 24.0)


def why_risky(table: pd.DataFrame, checked: Checked) -> list[str]:
    """Say of each anode why it stands where it does."""
    settings = checked.logbook.settings
    told = table[list(TOLD)]
    return [_reason(row, settings.timezone, settings.length_unit) for row in told.itertuples()]


def _reason(row: Any, zone: tzinfo, unit: str) -> str:
    worn = max(float(row.worn), 0.0)
    state = "past its limit" if worn >= 1 else f"{round(100 * worn):d} % worn"
    drive = SAY[str(row.clock)]
    return f"{row.position} {state}, mostly by {drive}; {_seen(row, zone, unit)}"


def _seen(row: Any, zone: tzinfo, unit: str) -> str:
    at, size = row.last_read_at, row.last_size_mm
    if pd.isna(at):
        fitted = row.fitted_at
        since = "" if pd.isna(fitted) else f" since it was fitted on {formatting.day(fitted, zone)}"
        return f"no reading{since}"
    when = formatting.day(at, zone)
    if pd.notna(size):
        return f"last read {formatting.size(size, unit)} on {when}"
    verdict = row.last_verdict
    return f"last looked at on {when}" + (
        f": {verdict}" if isinstance(verdict, str) else ", by eye"
    )


def hulls_not_judged(
    fit: Fit, checked: Checked, hulls: pd.DataFrame, anodes: pd.DataFrame
) -> pd.DataFrame:
    """Return the hulls in service that cannot be judged, and what is missing."""
    left = sorted(set(in_service(checked)) - set(hulls["hull_id"]))
    berthed = set(fit.exposure.hull_ids[fit.exposure.berths["hull"].unique()])
    layouts = checked.hulls.drop_duplicates("hull_id").set_index("hull_id")["layout"]
    known = set(checked.anode_positions["layout"])
    return pd.DataFrame(
        {"hull_id": left, "reason": [_missing(h, berthed, layouts.get(h), known) for h in left]},
        dtype=object,
    )


def _missing(hull: str, berthed: set[str], layout: object, known: set[object]) -> str:
    if layout not in known:
        return f"layout {layout} has no usable anode positions: enter them in anode_positions"
    if hull not in berthed:
        return "no berth on record: enter where it lies in berths"
    return "no fitting and no reading on record: measure its anodes"
