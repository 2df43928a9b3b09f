"""Whether all hulls of a berth wear faster than they did: rises of hulls, pooled."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

HULL_DRIFT, BERTH_DRIFT = 0.15, 0.1
"""By how much a hull's wear, and that of all hulls of a berth together (weather, an odd month), may
stray from its own past for no reason."""
RISEN_RATIO = 1.4
"""From here on a hull's wear counts as risen."""


@dataclass(frozen=True)
class BerthRise:
    """How the wear at a berth rose, since the day that shows it most surely.

    Attributes
    ----------
    days : int, ago
    outside : bool, the anodes wetted by the water that the hulls lie in show it
    ratio : float, wear since then against the hulls' own past
    sure : float, standard deviations off
    risen, hulls : int, hulls whose wear rose, and hulls whose looks tell
    """

    days: int
    outside: bool
    ratio: float
    sure: float
    risen: int
    hulls: int


def surest_rise(rises: pd.DataFrame, sure: float, least_hulls: int) -> BerthRise | None:
    """Pool the hulls of a berth, for each day since which their wear may have risen.

    Parameters
    ----------
    rises : DataFrame
        Rows of `Forecast.rises` of the hulls at one berth.
    sure : float
        So many standard deviations off it must stand.
    least_hulls : int
        So many hulls must show it.

    Returns
    -------
    BerthRise or None
        The surest; None where nothing rose so far.
    """
    precision = 1 / np.hypot(rises["sd"], HULL_DRIFT) ** 2
    weighed = rises.assign(
        precision=precision,
        part=(rises["rise"] - 1.0) * precision,
        risen=rises["rise"] > RISEN_RATIO,
    )
    pooled = weighed.groupby(["outside", "days"], as_index=False).agg(
        precision=("precision", "sum"), part=("part", "sum"), risen=("risen", "sum"),
        hulls=("hull_id", "size"),
    )  # fmt: skip
    pooled["excess"] = pooled["part"] / pooled["precision"]
    pooled["sure"] = pooled["excess"] / np.sqrt(1 / pooled["precision"] + BERTH_DRIFT**2)
    shown = pooled[
        (pooled["risen"] >= least_hulls)
        & (pooled["excess"] > RISEN_RATIO - 1.0)
        & (pooled["sure"] > sure)
    ]
    if shown.empty:
        return None
    best = shown.sort_values("sure").tail(1).to_dict("records")[0]
    return BerthRise(
        best["days"], best["outside"], best["excess"] + 1.0, best["sure"], best["risen"],
        best["hulls"],
    )  # fmt: skip


def felt_rises(rises: pd.DataFrame, lifted: pd.Series) -> pd.DataFrame:
    """Leave out what a berth cannot have done: a hull on land feels none from outside.

    Parameters
    ----------
    rises : DataFrame, as `Forecast.rises`
    lifted : Series of bool, index hull_id
    """
    on_land = rises["hull_id"].map(lifted).eq(True)
    return rises[~(rises["outside"] & on_land)]
