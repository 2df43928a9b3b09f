"""Whether all hulls of a berth wear faster than they did: rises of hulls, pooled."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import Floats

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
    kinds, kind = np.unique(
        np.stack([rises["outside"].to_numpy(int), rises["days"].to_numpy(int)]), axis=1,
        return_inverse=True,
    )  # fmt: skip
    kind = kind.reshape(-1)  # numpy 2.0 alone gave it another shape
    rise = rises["rise"].to_numpy(float)
    precision = 1 / np.hypot(rises["sd"].to_numpy(float), HULL_DRIFT) ** 2

    def total(values: Floats) -> Floats:
        return np.bincount(kind, values, minlength=kinds.shape[1]).astype(float)

    pooled = total(precision)
    excess = total((rise - 1.0) * precision) / pooled
    away = excess / np.sqrt(1 / pooled + BERTH_DRIFT**2)
    risen = total((rise > RISEN_RATIO).astype(float))
    shown = (risen >= least_hulls) & (excess > RISEN_RATIO - 1.0) & (away > sure)
    if not shown.any():
        return None
    best = int(np.where(shown, away, -np.inf).argmax())
    return BerthRise(
        int(kinds[1, best]), bool(kinds[0, best]), float(excess[best]) + 1.0, float(away[best]),
        int(risen[best]), int((kind == best).sum()),
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
