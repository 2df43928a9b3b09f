"""What the record asks of the forecasts: wider ranges, where theirs did not hold."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd

from corrosion.forecast.backtest.scores import LEAD_DAYS, LOOK, next_looks

PROMISED: Final = 0.8
LEAST_LOOKS: Final = 60
MOST: Final = 2.5


@dataclass(frozen=True)
class Widening:
    """By how much ranges were too narrow.

    Attributes
    ----------
    factor : float
        What standard deviations are to be multiplied with: 1 unless they surely were too narrow.
    estimate, low, high : float
        The factor that would have made 80 % ranges hold 80 % of the next readings, with its 95 %
        ends.
    looks : int
        Readings that it rests on.
    """

    factor: float
    estimate: float
    low: float
    high: float
    looks: int


def widening(judged: pd.DataFrame) -> Widening:
    """Say by how much the ranges of a record were too narrow.

    The reading that lies at the 80 % point of the distances from what was said should lie 1.28
    standard deviations off; the ends are those of the order statistic (binomial). Ranges are never
    narrowed, and widened only by what is sure: the lower end.

    Parameters
    ----------
    judged : DataFrame
        As `corrosion.forecast.backtest.outcomes.judged` gives it.

    Returns
    -------
    Widening
    """
    rows = next_looks(judged) if len(judged) else judged
    if len(rows):
        rows = rows[rows["next_worn"].notna() & (rows["next_days"] >= LEAD_DAYS)]
        rows = rows.sort_values("next_days", kind="stable").drop_duplicates(LOOK)
    if len(rows) < LEAST_LOOKS:
        return Widening(1.0, np.nan, np.nan, np.nan, len(rows))
    middle, half = (rows["low"] + rows["high"]) / 2, (rows["high"] - rows["low"]) / 2
    off = np.sort(((rows["next_worn"] - middle).abs() / half).to_numpy(float))
    n = off.size
    # looks at one hull go together: its anodes count as half
    reach = 1.96 * np.sqrt(2 * PROMISED * (1 - PROMISED) / n)
    low, estimate, high = np.quantile(off, np.clip([PROMISED - reach, PROMISED, PROMISED + reach],
                                                   0, 1))  # fmt: skip
    factor = float(np.clip(low, 1.0, MOST))
    return Widening(factor, float(estimate), float(low), float(high), n)
