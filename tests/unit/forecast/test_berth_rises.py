"""A berth is called out where its hulls rise together, and seldom by chance."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from corrosion.forecast.anomalies import BERTH_RISEN_HULLS, BERTH_RISEN_SD
from corrosion.forecast.berth_rises import BERTH_DRIFT, HULL_DRIFT, felt_rises, surest_rise

DAYS = (14, 21, 28, 35, 49)


def drawn(draw: np.random.Generator, ratio: float, hulls: int, sd: float) -> pd.DataFrame:
    """Rises of the hulls of a berth as they might be read: alike since each of the days."""
    drift = 1.0 + draw.normal(0.0, BERTH_DRIFT) + draw.normal(0.0, HULL_DRIFT, hulls)
    read = ratio * drift + draw.normal(0.0, sd, hulls)
    rows = {"hull_id": [f"H{n}" for n in range(hulls)], "rise": read, "sd": sd, "outside": True}
    return pd.concat([pd.DataFrame(rows).assign(days=days) for days in DAYS], ignore_index=True)


def called(ratio: float, hulls: int, sd: float, draws: int) -> float:
    draw = np.random.default_rng(4)
    rises = (drawn(draw, ratio, hulls, sd) for _ in range(draws))
    shown = [surest_rise(rise, BERTH_RISEN_SD, BERTH_RISEN_HULLS) for rise in rises]
    return sum(rise is not None for rise in shown) / draws


@pytest.mark.parametrize("sd", [0.2, 0.5, 1.0])
def test_a_calm_berth_is_seldom_called_out(sd: float) -> None:
    # scipy.stats, reference library: no oftener than the normal law lets the mean stray so far
    most = stats.binom.ppf(0.999, 800, stats.norm.sf(BERTH_RISEN_SD))
    assert called(1.0, 6, sd, 800) <= most / 800


def test_a_hot_berth_is_called_out() -> None:
    assert called(2.6, 6, 0.5, 60) > 0.95


def test_two_hulls_are_no_berth() -> None:
    assert called(2.6, 2, 0.2, 20) == 0.0


def test_what_is_said_is_what_was_pooled() -> None:
    rises = drawn(np.random.default_rng(1), 2.6, 5, 0.01).assign(sd=0.01)
    rise = surest_rise(rises, BERTH_RISEN_SD, BERTH_RISEN_HULLS)
    assert rise is not None
    assert rise.ratio == pytest.approx(rises["rise"].mean(), rel=0.01)
    assert (rise.risen, rise.hulls, rise.outside) == (5, 5, True)


def test_a_hull_on_land_feels_the_berth_by_nothing_outside() -> None:
    rises = drawn(np.random.default_rng(1), 2.6, 3, 0.1)
    lifted = pd.Series({"H0": True, "H1": False})
    felt = felt_rises(pd.concat([rises, rises.assign(outside=False)]), lifted)
    assert set(felt.loc[felt["outside"], "hull_id"]) == {"H1", "H2"}
    assert set(felt.loc[~felt["outside"], "hull_id"]) == {"H0", "H1", "H2"}
