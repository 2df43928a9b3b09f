"""What is odd about an anode, why a hull is where it is on the list, which cannot be judged."""

from __future__ import annotations

import math
from datetime import tzinfo

import numpy as np
import pandas as pd

from corrosion.common import Floats, formatting, hours_since_epoch
from corrosion.forecast.wear_paths import Paths
from corrosion.forecast.wear_projection import in_service
from corrosion.life_model import Fit, Paces
from corrosion.records import SALTY, Checked

UNREAD_DAYS = 60
GREW_DAYS = 42
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
    columns = (
        table["position"], table["worn"].tolist(), table["clock"],
        _days(table["last_read_at"], settings.timezone),
        _days(table["fitted_at"], settings.timezone),
        table["last_size_mm"].tolist(), table["last_verdict"],
    )  # fmt: skip
    rows = zip(*columns, strict=True)
    return [_reason(settings.length_unit, *each) for each in rows]


def _days(moments: pd.Series, zone: tzinfo) -> list[str | None]:
    """Write days as a person says them, None for none; anodes of a visit share theirs."""
    code, every = pd.factorize(moments)
    said = [formatting.day(each, zone) for each in every]
    return [None if number < 0 else said[number] for number in code.tolist()]


def _reason(
    unit: str, position: str, worn: float, clock: str, read_on: str | None, fitted_on: str | None,
    size_mm: float, verdict: object,
) -> str:  # fmt: skip
    share = max(worn, 0.0)
    state = "past its limit" if share >= 1 else f"{round(100 * share):d} % worn"
    if read_on is None:
        since = "" if fitted_on is None else f" since it was fitted on {fitted_on}"
        seen = f"no reading{since}"
    elif not math.isnan(size_mm):
        seen = f"last read {formatting.size(size_mm, unit)} on {read_on}"
    else:
        how = f": {verdict}" if isinstance(verdict, str) else ", by eye"
        seen = f"last looked at on {read_on}{how}"
    return f"{position} {state}, mostly by {SAY[clock]}; {seen}"


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
