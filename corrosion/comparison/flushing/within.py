"""The same hull in its flushed and its unflushed weeks: a comparison that no model made.

Between two looks an anode lost so much, its engine ran so many hours, and its passages lay wet and
salty for so many. Each anode is its own control: what it loses per engine hour is its own, and
only what more wet hours than usual took beside them is counted, over all anodes alike.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.stats import t
from statsmodels.regression.linear_model import OLS

from corrosion.common import Floats
from corrosion.comparison.flushing.estimand import Ledger
from corrosion.comparison.flushing.returns import SMALLEST_GROUP
from corrosion.exposure import drying_weights
from corrosion.life_model import Fit, wearing_columns

SHORTEST_H = 4 * 24.0
WET_COUNTS = {"salt": 1.0, "brackish": 0.5}
"""How a wet hour counts by water, beside one in salt (common practice, no source)."""


@dataclass(frozen=True)
class Rated:
    """One set of rates: a fit, under one reading of the log, and parameters near its own."""

    fit: Fit
    params: Floats

    @property
    def hull_spread(self) -> float:
        """Return how far hulls differ in pace from one another, one sd, share."""
        return self.fit.model.evaluate(self.params).rates.hull_sd


@dataclass(frozen=True)
class Within:
    """The paired estimate.

    Attributes
    ----------
    share, low, high : float, share saved, 95 % by hull (Student's t)
    p : float, chance of so large a slope where there is none, one-sided
    hulls, spans : int, hulls and stretches between two looks behind it
    rows : DataFrame, one row a stretch: hull_id, position, days, engine_h, wet_h, worn
    """

    share: float
    low: float
    high: float
    p: float
    hulls: int
    spans: int
    rows: pd.DataFrame


def within_hulls(rated: Rated, ledger: Ledger, hull_ids: set[str]) -> Within | None:
    """Compare each anode's stretches between looks with one another.

    Parameters
    ----------
    rated : Rated, the engine circuit's fit: gives the looks, the hours and the drying time
    ledger : Ledger of daily flushing, which puts the slope into a share saved
    hull_ids : set of str, the hulls that came back from salty water

    Returns
    -------
    Within or None
        None where fewer than `SMALLEST_GROUP` hulls have two stretches or more.
    """
    rows = stretches(rated)
    rows = rows[rows["hull_id"].isin(hull_ids)]
    anode = rows["hull_id"] + "\n" + rows["position"]
    several = anode.groupby(anode).transform("size") >= 2
    rows, anode = rows[several], anode[several]
    if rows["hull_id"].nunique() < SMALLEST_GROUP:
        return None
    lost = rows["worn"] * rows["per_mm"] - rows["flooded_mm"]
    own, wet = (_freed(values, rows["engine_h"], anode) for values in (lost, rows["wet_h"]))
    hull = pd.factorize(rows["hull_id"])[0]
    regression = OLS(own, wet).fit(cov_type="cluster", cov_kwds={"groups": hull})
    slope, sd = float(regression.params[0]), float(regression.bse[0])
    far = float(t.isf(0.025, rows["hull_id"].nunique() - 1)) * sd
    scale = _share_of_slope(rated, ledger)
    low, high = (scale * each for each in (slope - far, slope + far))
    hulls = rows["hull_id"].nunique()
    p = float(t.sf(slope / sd, hulls - 1))
    return Within(
        scale * slope, low, high, p, hulls, len(rows), rows.drop(columns=["per_mm", "flooded_mm"])
    )


def stretches(rated: Rated) -> pd.DataFrame:
    """Return what happened between successive sized looks at each engine-circuit anode.

    Returns
    -------
    DataFrame, one row a stretch of at least four days: hull_id, position, from_h, to_h, days,
    engine_h, wet_h (hours as they count at 15 C; drying hours, brackish ones halved), worn (share
    of the allowance), per_mm (mm of surface for each share of the allowance), flooded_mm (surface
    that flooded passages took by the fitted rates, where the looks asked for such wear)
    """
    fit = rated.fit
    looks = fit.lives.looks.query("kind == 'size' and not doubtful")
    lives = fit.lives.lives.loc[looks["life"]]
    first = fit.lives.lives.loc[looks["life"], ["start_h", "start_worn"]].to_numpy(float)
    before = looks.groupby("life")[["at_h", "worn"]].shift().to_numpy(float)
    before = np.where(np.isnan(before), first, before)
    hull = fit.exposure.hull_ids.get_indexer(pd.Index(lives["hull_id"]))
    ends = before[:, 0], looks["at_h"].to_numpy(float)
    ran, wet = _warm_hours(rated, hull, *ends)
    table = pd.DataFrame(
        {
            "hull_id": lives["hull_id"].to_numpy(object),
            "position": lives["position"].to_numpy(object),
            "from_h": ends[0],
            "to_h": ends[1],
            "days": (ends[1] - ends[0]) / 24.0,
            "engine_h": ran,
            "wet_h": wet,
            "worn": looks["worn"].clip(-1.0, 3.0).to_numpy(float) - before[:, 1],
            "per_mm": 1.0 / _per_mm(rated, lives),
            "flooded_mm": _flooded_mm(rated, hull, *ends),
        }
    )
    long_enough: pd.DataFrame = table[
        (table["days"] >= SHORTEST_H / 24.0) & (table["engine_h"] > 1.0)
    ]
    return long_enough


def _warm_hours(
    rated: Rated, hull: np.ndarray, from_h: Floats, to_h: Floats
) -> tuple[Floats, Floats]:
    """Return running and wet hours as they count at 15 C: a cold week wears less in both."""
    exposure, rates = rated.fit.exposure, rated.fit.model.evaluate(rated.params).rates
    spent = exposure.between(hull, from_h, to_h)
    states, waters = exposure.cells["state"], exposure.cells["water"]
    running = (states[states != "unflushed"] == "running").to_numpy(bool)
    ran = (spent.plain + rates.kappa * spent.plain_warm)[:, running].sum(axis=1)
    count = waters[states == "unflushed"].map(WET_COUNTS).fillna(0.0).to_numpy(float)
    dry = drying_weights(rates.log_tau).weight
    wet = (spent.drying @ dry + rates.kappa * (spent.drying_warm @ dry)) @ count
    return np.asarray(ran), np.asarray(wet)


def _flooded_mm(rated: Rated, hull: np.ndarray, from_h: Floats, to_h: Floats) -> Floats:
    design, rates = rated.fit.model.design, rated.fit.model.evaluate(rated.params).rates
    hours = rated.fit.exposure.between(hull, from_h, to_h)
    columns = wearing_columns(design.terms, hours, np.ones(hull.size, dtype=bool))
    plain = columns.plain + rates.kappa * columns.plain_warm
    group = design.terms.plain[:, 1]
    afloat = (design.terms.groups["state"].iloc[group] == "afloat").to_numpy(float)
    return np.asarray(plain @ (afloat * np.exp(rates.weight[group])))


def _per_mm(rated: Rated, lives: pd.DataFrame) -> Floats:
    """Return the share of the allowance that a mm of surface takes at each anode's position."""
    design = rated.fit.model.design
    per_place = rated.fit.model.evaluate(rated.params).rates.share_per_mm
    keys = pd.MultiIndex.from_frame(design.positions[["layout", "position"]])
    return np.asarray(
        per_place[keys.get_indexer(pd.MultiIndex.from_frame(lives[["layout", "position"]]))]
    )


def _freed(values: pd.Series, hours: pd.Series, anode: pd.Series) -> Floats:
    """Return what is left of values when each anode's own rate per engine hour is taken out."""
    rate = (values * hours).groupby(anode).sum() / (hours**2).groupby(anode).sum()
    return np.asarray(values - anode.map(rate) * hours, dtype=np.float64)


def _share_of_slope(rated: Rated, ledger: Ledger) -> float:
    """Return the share saved for each mm of surface that a wet hour in salt takes."""
    rates = rated.fit.model.evaluate(rated.params).rates
    terms, dry = ledger.design.terms, drying_weights(rates.log_tau).weight
    was, then = (
        columns.drying @ dry + rates.kappa * (columns.drying_warm @ dry)
        for columns in (ledger.before, ledger.after)
    )
    water = terms.groups["water"].iloc[terms.drying[:, 1]]
    count = water.map(WET_COUNTS).fillna(0.0).to_numpy(float)
    spared_mm = float((ledger.pace @ rates.share_per_mm) @ ((was - then) @ count))
    worn = ledger.steady_wear(rates).value + ledger.wet_wear(rates)[0].value
    return spared_mm / worn
