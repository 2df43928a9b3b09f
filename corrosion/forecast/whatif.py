"""What if an assumption is wrong: the same fit, carried ahead under another one.

Nothing is fitted again. Wear ahead, or what the flush log claims, is changed, and the forecast is
worked out from where the fit stands, so that a change of assumption costs a moment.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import pandas as pd

from corrosion.exposure import Exposure, rewetted
from corrosion.forecast.appraisal import Appraisal
from corrosion.forecast.prospects import Forecast, forecast_fleet
from corrosion.forecast.usage_forecast import Ahead, use_ahead

WORSE_BY: Final = 0.3
FALSE_FLUSHES: Final = 0.2


@dataclass(frozen=True)
class WhatIf:
    """The forecast under another assumption, beside the one that stands.

    Attributes
    ----------
    forecast : Forecast
        Under the assumption.
    changed : DataFrame
        One row a hull: `hull_id`, `risk`, `risk_then` (under the assumption), `pull_by`,
        `pull_by_then`, `rank`, `rank_then`; those that move most first.
    over, over_then : int
        Hulls whose risk is above the tolerated one, as it stands and under the assumption.
    """

    forecast: Forecast
    changed: pd.DataFrame
    over: int
    over_then: int


def what_if(appraisal: Appraisal, worse_by: float = 0.0, false_flushes: float = 0.0) -> WhatIf:
    """Work the forecast out again under other assumptions.

    Parameters
    ----------
    appraisal : Appraisal
        What stands.
    worse_by : float
        All wear to come is so much faster: 0.3 is 30 %.
    false_flushes : float
        So many of the flushes on record were not done, 0 to 1: the habit of flushing that is
        carried ahead is by so much the poorer. Past wear stays as it was measured.

    Returns
    -------
    WhatIf
    """
    days = appraisal.forecast.days
    claimed = _claimed(appraisal.exposure, false_flushes)
    ahead = _faster(use_ahead(appraisal.checked, claimed, days), 1.0 + worse_by)
    forecast = forecast_fleet(appraisal.life, appraisal.checked, ahead, days)
    tolerated = appraisal.logbook.settings.tolerated_risk
    changed = _beside(appraisal.forecast, forecast)
    return WhatIf(
        forecast, changed, int((changed["risk"] > tolerated).sum()),
        int((changed["risk_then"] > tolerated).sum()),
    )  # fmt: skip


def _faster(ahead: Ahead, factor: float) -> Ahead:
    """Let every hour to come wear so many times as much, which is as many more hours."""
    return replace(ahead, hours=ahead.hours.times(factor))


def _claimed(exposure: Exposure, share: float) -> Exposure:
    """Take so many of the flushes on record for not done, spread evenly over each hull's time."""
    outings = exposure.outings
    if share == 0.0 or not len(outings):
        return exposure
    flushed = outings["flushed_h"].notna()
    turn = flushed.groupby(outings["hull"]).cumsum().to_numpy(float)
    false = flushed.to_numpy(bool) & (np.floor(turn * share) > np.floor((turn - 1) * share))
    flushed_h = outings["flushed_h"].mask(false)
    return rewetted(exposure, outings.assign(flushed_h=flushed_h))


def _beside(stands: Forecast, other: Forecast) -> pd.DataFrame:
    keep = ["hull_id", "risk", "pull_by", "rank"]
    table = stands.hulls[keep].merge(
        other.hulls[keep], on="hull_id", how="left", suffixes=("", "_then")
    )
    order = (table["risk_then"] - table["risk"]).abs().sort_values(ascending=False).index
    return table.loc[order].reset_index(drop=True)
