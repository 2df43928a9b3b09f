"""A trial that would tell: how many hulls and weeks it takes, and in which order they start.

Each hull is its own control: it goes some weeks as it does now and as many flushed daily, and
its engine-circuit anodes are measured at the start, at the change and at the end. How far such
two measurements scatter follows from the fitted reading error and process noise; the number of
hulls from Student's t (`statsmodels.stats.power`).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd
from statsmodels.stats.power import TTestPower

from corrosion.comparison.flushing.answer import Verdict

POWER = 0.8
LEVEL = 0.05
WEEKS = (3, 4, 6, 8, 12)
WORTH_FINDING = 0.10


def trial_size(
    verdict: Verdict, wear_per_week: float, weeks: Sequence[int] = WEEKS
) -> pd.DataFrame:
    """Return how many hulls a trial takes by how long each half of it lasts.

    Parameters
    ----------
    verdict : Verdict with rates, for the fitted noise
    wear_per_week : float, share of the allowance that a usual engine anode of this fleet loses
    weeks : sequence of int, weeks of each half

    Returns
    -------
    DataFrame, one row a length: weeks (of each half), noise (one sd of a hull's difference, share
    of its wear), hulls (to find a saving of `WORTH_FINDING` with a chance of `POWER`, two-sided
    5 %)
    """
    rows = []
    for length in weeks:
        noise = _noise(verdict, wear_per_week * length)
        hulls = TTestPower().solve_power(
            effect_size=WORTH_FINDING / noise, alpha=LEVEL, power=POWER, alternative="two-sided"
        )
        rows.append({"weeks": length, "noise": noise, "hulls": int(np.ceil(hulls))})
    return pd.DataFrame(rows)


def _noise(verdict: Verdict, worn: float) -> float:
    """Return one sd of the difference between two halves of a hull, as a share of either's wear."""
    if verdict.believed is None:
        raise ValueError("a verdict without rates has no noise")
    rated = verdict.believed.middle
    rates = rated.fit.model.evaluate(rated.params).rates
    places = rated.fit.model.design.positions
    allowance = float(places["allowance_mm"].median())
    anodes = len(places) / places["layout"].nunique()
    reading = 2.0 * (rates.reading_mm / allowance) ** 2
    process = rates.process_sd**2 * worn
    # the middle look is shared by both halves, which turns its error against itself: 6, not 4
    return float(np.sqrt((3.0 * reading + 2.0 * process) / anodes) / max(worn, 1e-6))


def starting_order(groups: Sequence[str], seed: int) -> list[str]:
    """Return the groups (pontoons, moorings) in a random order that can be drawn again.

    Parameters
    ----------
    groups : sequence of str
    seed : int, written on the plan of the trial

    Returns
    -------
    list of str
    """
    return [str(g) for g in np.random.default_rng(seed).permutation(sorted(groups))]
