"""Scores of forecasts against the truth, and their bootstrap intervals.

A table of judged forecasts has one row for each anode, forecast date and horizon: `fleet`,
`hull_id`, `crossed`, `risk`, `worn_true`, `worn`, `days_left`, `seen_days`, `days_left_10`,
`days_left_90`, and, where the program says them, `worn_low` and `worn_high`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.stats import binomtest, rankdata

Floats = NDArray[np.float64]
CLIP = 1e-6
SOON_DAYS = 60


def exact_interval(hits: int, of: int) -> tuple[float, float]:
    """Clopper and Pearson's 95 % interval of a share; unknown where nobody was asked."""
    if not of:
        return np.nan, np.nan
    interval = binomtest(hits, of).proportion_ci(0.95)
    return float(interval.low), float(interval.high)


def auc(risk: Floats, crossed: NDArray[np.bool_]) -> float:
    """Chance that an anode that crossed was given the higher risk; ties count half."""
    worn = int(crossed.sum())
    if worn in (0, len(crossed)):
        return np.nan
    ranks = rankdata(risk)[crossed].sum()
    return float((ranks - worn * (worn + 1) / 2) / (worn * (len(crossed) - worn)))


def brier(risk: Floats, crossed: NDArray[np.bool_]) -> float:
    """Mean squared distance of the risk from what happened."""
    return float(np.mean((risk - crossed) ** 2))


def brier_skill(risk: Floats, crossed: NDArray[np.bool_]) -> float:
    """Share of the average's Brier score that the forecast takes away (average of this sample)."""
    base = float(np.mean(crossed))
    return 1 - brier(risk, crossed) / (base * (1 - base)) if 0 < base < 1 else np.nan


def log_loss(risk: Floats, crossed: NDArray[np.bool_]) -> float:
    """Mean surprise, natural logarithm, risks clipped at one in a million."""
    safe = np.clip(risk, CLIP, 1 - CLIP)
    return float(-np.mean(np.where(crossed, np.log(safe), np.log1p(-safe))))


def decidable(judged: pd.DataFrame) -> pd.DataFrame:
    """Rows whose interval of days left can be judged, chosen without looking at the outcome.

    An anode past its limit already has no days left to forecast. Where the upper end of the
    interval lies beyond the simulated end, the truth may be censored inside it; such rows go out
    whether or not the crossing was seen, since to keep only seen crossings would favour short
    lives. In the rows that stay, a crossing that is not seen lies above the interval for certain.
    """
    open_at = judged["worn_true"] < 1
    return judged[open_at & (judged["days_left_90"] <= judged["seen_days"])]


def score(judged: pd.DataFrame) -> dict[str, float]:
    """Every score of one table of judged forecasts."""
    risk, crossed = judged["risk"].to_numpy(float), judged["crossed"].to_numpy(bool)
    still = judged[judged["worn_true"] < 1]
    hulls = judged.groupby(["fleet", "date", "hull_id"])[["crossed", "hull_risk"]].max()
    hulls = hulls.dropna()
    return {
        "anodes": float(len(judged)),
        "crossed": float(crossed.sum()),
        "auc": auc(risk, crossed),
        "auc_not_yet_past": auc(still["risk"].to_numpy(float), still["crossed"].to_numpy(bool)),
        "auc_hulls": auc(hulls["hull_risk"].to_numpy(float), hulls["crossed"].to_numpy(bool)),
        "brier": brier(risk, crossed),
        "skill": brier_skill(risk, crossed),
        "log_loss": log_loss(risk, crossed),
        "expected_over_observed": float(risk.sum() / crossed.sum()) if crossed.any() else np.nan,
        "worn_rmse": float(np.sqrt(np.mean((judged["worn"] - judged["worn_true"]) ** 2))),
        **_intervals(judged),
    }


def _intervals(judged: pd.DataFrame) -> dict[str, float]:
    """Coverage of the 80 % intervals of days left and of worn, and on which side they miss."""
    rows = decidable(judged)
    if not len(rows):
        return dict.fromkeys(
            ("judged_intervals", "covered", "sooner", "later", "covered_60_days"), np.nan
        )
    sooner = rows["days_left"] < rows["days_left_10"]
    later = rows["days_left"] > rows["days_left_90"]
    shares = {
        "judged_intervals": float(len(rows)),
        "covered": float(1 - (sooner | later).mean()),
        "sooner": float(sooner.mean()),
        "later": float(later.mean()),
        "covered_60_days": float(1 - (sooner | later)[rows["days_left_50"] <= SOON_DAYS].mean()),
    }
    if "worn_low" in judged:
        inside = judged["worn_true"].between(judged["worn_low"], judged["worn_high"])
        shares["worn_covered"] = float(inside.mean())
    return shares


def bootstrap(
    judged: pd.DataFrame,
    draws: int,
    rng: np.random.Generator,
    scorer: Callable[[pd.DataFrame], dict[str, float]] = score,
) -> pd.DataFrame:
    """95 % intervals of every score: fleets drawn anew, then hulls within each fleet.

    Returns
    -------
    DataFrame
        Indexed by score: `low`, `high`.
    """
    hulls = {
        fleet: [rows for _, rows in table.groupby("hull_id")]
        for fleet, table in judged.groupby("fleet")
    }
    drawn = [scorer(_redrawn(hulls, rng)) for _ in range(draws)]
    ends = pd.DataFrame(drawn).quantile([0.025, 0.975])
    return ends.set_axis(["low", "high"]).T


def _redrawn(hulls: dict[Any, list[pd.DataFrame]], rng: np.random.Generator) -> pd.DataFrame:
    names = list(hulls)
    picked = []
    for draw, number in enumerate(rng.integers(0, len(names), len(names))):
        own = hulls[names[number]]
        for again, hull in enumerate(rng.integers(0, len(own), len(own))):
            picked.append(own[hull].assign(fleet=draw, hull_id=again))
    return pd.concat(picked, ignore_index=True)
