"""The week in one sentence's worth of numbers: how many hulls, by when, what if nobody acts."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC

import numpy as np
import numpy.typing as npt
import pandas as pd

from corrosion.common import after_days, formatting

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


def next_hires(bookings: pd.DataFrame, on: pd.Timestamp) -> pd.Series[pd.Timestamp]:
    """Give the start of each hull's next hire, or of the one that it is out on.

    Parameters
    ----------
    bookings : DataFrame
        `hull_id`, `starts` and `ends` (UTC) of hires.
    on : Timestamp
        The moment of the forecast.

    Returns
    -------
    Series
        Start, UTC, by `hull_id`; hulls without a hire ahead are not in it.
    """
    ahead = bookings[bookings["ends"] > on]
    return ahead.groupby("hull_id")["starts"].min()


def weeks_ahead(
    hulls: pd.DataFrame,
    days_ahead: npt.NDArray[np.float64],
    chance: npt.NDArray[np.float64],
    bookings: pd.DataFrame,
    on: pd.Timestamp,
    weeks: int = 6,
) -> pd.DataFrame:
    """Give each hull's chance by the end of each of the coming weeks.

    Parameters
    ----------
    hulls : DataFrame
        One row per hull, `hull_id`, riskiest first.
    days_ahead : ndarray, shape (D,)
        Days from `on`, ascending.
    chance : ndarray, shape (I, D)
        Chance that an anode of the hull reaches its limit by then; rows as in `hulls`.
    bookings : DataFrame
        `hull_id` and `starts` (UTC) of hires.
    on : Timestamp
        The moment of the forecast, in the zone in which dates are to be said.
    weeks : int
        Most weeks to give; fewer when `days_ahead` ends earlier.

    Returns
    -------
    DataFrame
        One row per hull and week, in that order: `hull_id`, `week` (its last day, such as
        ``14 Jun``), `chance` (0 to 1), `hires` (how many start in that week).
    """
    ends = [7.0 * week for week in range(1, weeks + 1) if 7.0 * week <= days_ahead[-1]]
    names = hulls["hull_id"].to_numpy()
    by_end = [np.interp(ends, days_ahead, row) for row in chance]
    table = pd.DataFrame(
        {
            "hull_id": np.repeat(names, len(ends)),
            "week": [_short_day(after_days(on, end, on.tz or UTC)) for end in ends] * len(names),
            "chance": np.concatenate([*by_end, []]),
            "ahead": list(range(len(ends))) * len(names),
        }
    )
    days = (bookings["starts"] - on.tz_convert("UTC")) / pd.Timedelta(days=1)
    starting = bookings.assign(ahead=np.floor(days / 7.0)).groupby(["hull_id", "ahead"]).size()
    table = table.merge(starting.rename("hires").reset_index(), on=["hull_id", "ahead"], how="left")
    return table.assign(hires=table["hires"].fillna(0).astype(int)).drop(columns="ahead")


def _short_day(when: pd.Timestamp) -> str:
    return f"{when.day} {formatting.MONTHS[when.month - 1]}"
