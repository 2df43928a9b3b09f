"""Moorings side by side: wear against the fleet's mean, raw and with all else held equal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from scipy import stats

from corrosion.clusters import clustered
from corrosion.water import Codes, Floats

from .equal_use import FleetUse, fleet_use, slopes, wear_a_day
from .raw import Raw, raw_wear
from .stays import service_of, spells
from .weights import weights

if TYPE_CHECKING:
    from corrosion.appraisal import Appraisal

FEWEST_HULLS = 5
"""Groups of fewer hulls are not compared on a page."""
CONFIDENCE = 0.95
COLUMNS = (
    *("mooring_id", "water", "hulls", "raw_ratio", "adjusted_ratio", "low", "high"),
    *("raw_low", "raw_high", "life_h", "life_low_h", "life_high_h", "hull_days", "compared"),
)


@dataclass(frozen=True)
class Comparison:
    """All that is known of how moorings compare.

    Attributes
    ----------
    table : DataFrame of `moorings`
    use : FleetUse, the average day that every mooring is put to
    spells : DataFrame, who lay where
    known : ndarray of int, shape (m,), codes of the moorings with a wear of their own
    log_wear : ndarray, shape (m,), log of the worn share a day under the fleet's use
    covariance : ndarray, shape (m, m), of `log_wear`
    """

    table: pd.DataFrame
    use: FleetUse
    spells: pd.DataFrame
    known: Codes
    log_wear: Floats
    covariance: Floats


def moorings(appraisal: Appraisal) -> pd.DataFrame:
    """Return the wear at each mooring against the fleet's mean.

    Parameters
    ----------
    appraisal : Appraisal

    Returns
    -------
    DataFrame, one row a mooring of the register:

    mooring_id, water
    hulls : how many lay there in service
    raw_ratio : worn a hull-day as the looks show it, both circuits added, over the fleet's (the
        mean of the moorings weighted by hull-days); nothing is held equal
    adjusted_ratio, low, high : the same with use, flushing, berthing and layout held equal, and
        its 95 % interval. Each mooring's water, warmth and own pace are put to the fleet's average
        day on the fleet's own mix of positions (`corrosion.moorings.equal_use`); the hulls' and
        anodes' own rates are left out
    raw_low, raw_high : 95 % interval of the raw ratio, hulls taken as drawn at random
    life_h, life_low_h, life_high_h : engine hours in which the average anode (circuits weigh alike)
        wears out there under the fleet's average use, and the 95 % interval
    hull_days
    compared : bool, whether FEWEST_HULLS or more hulls are behind it

    Ratios are NaN where no hull ever lay, or the water is not known.
    """
    return compare(appraisal).table


def compare(appraisal: Appraisal) -> Comparison:
    """Compare the moorings; see `moorings`."""
    fit, checked, exposure = appraisal.life, appraisal.checked, appraisal.exposure
    service, lay = service_of(checked, exposure), spells(checked, exposure)
    layout = checked.hulls.drop_duplicates("hull_id").set_index("hull_id")["layout"]
    use = fleet_use(fit, service, layout)
    days = _by_mooring(lay.groupby("mooring")["days"].sum(), exposure.mooring_ids)
    rates = weights(fit)
    wear = wear_a_day(rates, use, rates.mean).sum(axis=1)
    known = np.flatnonzero((wear > 0) & (days > 0)).astype(np.intp)
    log_wear, slope = slopes(rates, use, known)
    doubt = clustered(fit)
    covariance = slope @ rates.covariance(doubt.covariance) @ slope.T
    hulls = _by_mooring(lay.groupby("mooring")["hull"].nunique(), exposure.mooring_ids)
    raw = raw_wear(appraisal.lives, exposure)
    table = pd.DataFrame(
        {
            "mooring_id": exposure.mooring_ids.astype(str),
            "water": exposure.waters.to_numpy(object),
            "hulls": hulls.astype(int),
            "hull_days": days,
            "compared": hulls >= FEWEST_HULLS,
        }
    )
    table = table.join(_raw_ratios(raw, days)).join(
        _adjusted(known, log_wear, covariance, days, use, doubt.reach())
    )
    return Comparison(table[list(COLUMNS)], use, lay, known, log_wear, covariance)


def _by_mooring(column: pd.Series, mooring_ids: pd.Index) -> Floats:
    return column.reindex(range(len(mooring_ids))).fillna(0.0).to_numpy(float)


def _adjusted(
    known: Codes, log_wear: Floats, covariance: Floats, days: Floats, use: FleetUse, z: float
) -> pd.DataFrame:
    """Return ratios to the mean over hull-days, and lives in engine hours, index mooring code."""
    share = days[known] * np.exp(log_wear)
    mean = share.sum() / max(days[known].sum(), 1e-9)
    away = np.eye(known.size) - share / max(share.sum(), 1e-300)
    ratio, sd = np.exp(log_wear) / max(mean, 1e-300), _sds(away @ covariance @ away.T)
    # wear is added over the circuits, so the average anode wears a share of it
    life, life_sd = use.circuits * use.running_h * np.exp(-log_wear), _sds(covariance)
    return pd.DataFrame(
        {
            "adjusted_ratio": ratio,
            "low": ratio * np.exp(-z * sd),
            "high": ratio * np.exp(z * sd),
            "life_h": life,
            "life_low_h": life * np.exp(-z * life_sd),
            "life_high_h": life * np.exp(z * life_sd),
        },
        index=known,
    )


def _sds(covariance: Floats) -> Floats:
    return np.sqrt(np.maximum(np.diag(covariance), 0.0))


def _raw_ratios(raw: Raw, days: Floats) -> pd.DataFrame:
    """Return raw ratios to the mean over hull-days with their interval, index mooring code."""
    seen = ~np.isnan(raw.a_day)
    share = np.where(seen, raw.a_day * days, 0.0)
    mean = share.sum() / max(days[seen].sum(), 1e-9)
    ratio = raw.a_day / mean if mean > 0 else np.full(days.size, np.nan)
    of_mean = np.nan_to_num(raw.influence) @ (share / max(share.sum(), 1e-300))
    variance = ((raw.influence - of_mean[:, None]) ** 2).sum(axis=0)
    lay = (np.nan_to_num(raw.influence) != 0).sum(axis=0)
    reach = stats.t.ppf(0.5 + CONFIDENCE / 2, np.maximum(lay - 1, 1)) * np.sqrt(variance)
    return pd.DataFrame(
        {
            "raw_ratio": ratio,
            "raw_low": ratio * np.exp(-reach),
            "raw_high": ratio * np.exp(reach),
        }
    )
