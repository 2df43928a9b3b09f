"""The week in one sentence's worth of numbers: how many hulls, by when, what if nobody acts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

PAST_LIMIT = "past-limit"


@dataclass(frozen=True)
class Headline:
    """What the manager reads first.

    Attributes
    ----------
    judged, not_judged : int
        Hulls in service with and without a forecast.
    over : int
        Hulls whose risk by `by` is above the fleet's tolerated risk.
    by : Timestamp
        End of the horizon, UTC.
    low, likely, high : int
        Hulls with an anode at its limit by `by` if nobody acts: the 10, 50 and 90 % points.
    past : DataFrame
        Anodes flagged as past their limit, worst first: the columns of the forecast's anodes.
    """

    judged: int
    not_judged: int
    over: int
    by: pd.Timestamp
    low: int
    likely: int
    high: int
    past: pd.DataFrame


def headline(
    hulls: pd.DataFrame,
    anodes: pd.DataFrame,
    not_judged: pd.DataFrame,
    by: pd.Timestamp,
    tolerated_risk: float,
) -> Headline:
    """Sum up a forecast.

    Parameters
    ----------
    hulls, anodes, not_judged : DataFrame
        The forecast's tables: one row per hull with `risk`, per anode with `flag` and `worn`,
        per hull that cannot be judged.
    by : Timestamp
        End of the horizon, UTC.
    tolerated_risk : float
        Chance, 0 to 1, that the fleet puts up with.

    Returns
    -------
    Headline
    """
    risk = hulls["risk"].to_numpy(dtype=float)
    low, likely, high = hulls_expected(risk, (0.1, 0.5, 0.9))
    past = anodes[anodes["flag"] == PAST_LIMIT].sort_values("worn", ascending=False, kind="stable")
    return Headline(
        judged=len(hulls),
        not_judged=int(not_judged["hull_id"].nunique()),
        over=int((risk > tolerated_risk).sum()),
        by=by,
        low=low,
        likely=likely,
        high=high,
        past=past.reset_index(drop=True),
    )


def hulls_expected(risk: npt.NDArray[np.float64], shares: tuple[float, ...]) -> tuple[int, ...]:
    """Give quantiles of how many hulls it will be, hulls taken as independent of each other.

    The number is Poisson-binomial; its probabilities are the coefficients of the product of
    ``(1 - p) + p z`` over the hulls, multiplied out one hull at a time.

    Parameters
    ----------
    risk : ndarray, shape (I,)
        Chance of each hull, 0 to 1.
    shares : tuple of float
        Quantiles wanted, 0 to 1.

    Returns
    -------
    tuple of int
        The smallest number whose cumulative probability reaches each share.
    """
    probability = np.ones(1)
    for chance in risk:
        probability = np.convolve(probability, (1.0 - chance, chance))
    reached = np.cumsum(probability)
    # the last sum falls short of 1 by rounding; a quantile must not run off the end
    reached[-1] = 1.0
    return tuple(int(np.searchsorted(reached, share - 1e-12)) for share in shares)
