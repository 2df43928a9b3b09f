"""Fit the life model beside lifelines' Weibull life model on intervals, on as many rows.

lifelines' model is the usual way to use inspections: each row an interval in which the limit was
passed, hours per state as covariates. It is a smaller model (no hull effect, no reading sizes),
which is why it stands here as a yardstick of time and not of skill. Without
lifelines one Weibull of scipy is fitted to the same intervals instead.
"""

import tempfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
from scipy import stats

from corrosion.forecast.appraisal import appraise
from corrosion.life_model.fitting import fit_life
from tests.bench.clock import Measured, fastest
from tests.known_truth.simulator import KINDS, simulate, write

KIND, SEED = "standard", 1
PLAN = replace(KINDS[KIND], read_every_days=(31, 45))  # some 2,500 readings in 400 days
COVARIATES = 6


def intervals(rows: int) -> pd.DataFrame:
    """Weibull lives, each known to an interval between two inspections."""
    rng = np.random.default_rng(7)
    x = rng.normal(size=(rows, COVARIATES))
    life_h = 400 * np.exp(x @ np.linspace(-0.3, 0.3, COVARIATES)) * rng.weibull(2.5, rows)
    inspected_h = rng.uniform(40, 80, rows)
    low = np.floor(life_h / inspected_h) * inspected_h
    table = pd.DataFrame(x, columns=[f"state_{at}" for at in range(COVARIATES)])
    return table.assign(low=low, high=np.where(low > 600, np.inf, low + inspected_h))


def rival() -> Callable[[pd.DataFrame], object]:
    """Return lifelines' fit where it is installed (it holds pandas below 3), else scipy's."""
    try:
        from lifelines import WeibullAFTFitter
    except ImportError:
        return scipy_weibull

    def fit(table: pd.DataFrame) -> object:
        """lifelines, Weibull regression"""
        return WeibullAFTFitter().fit_interval_censoring(table, "low", "high")

    return fit


def scipy_weibull(table: pd.DataFrame) -> object:
    """scipy, one Weibull without covariates"""
    data = stats.CensoredData.interval_censored(table["low"], table["high"])
    return stats.weibull_min.fit(data, floc=0)


def measure() -> list[Measured]:
    with tempfile.TemporaryDirectory() as folder:
        fleet = simulate(KIND, SEED, PLAN)
        life = appraise(write(fleet, Path(folder)), fleet.end).life
    rows = len(life.lives.looks)
    table = intervals(rows)
    theirs_fit = rival()
    once, whole, theirs = fastest(
        lambda: life.model.fit(),
        lambda: fit_life(life.lives, life.exposure),
        lambda: theirs_fit(table),
    )
    beside = f"{theirs_fit.__doc__} on {rows:,} intervals"
    return [
        Measured(f"one fit of {rows:,} readings", once, beside, theirs),
        Measured(f"the whole fit of {rows:,} readings, in rounds", whole, beside, theirs),
    ]
