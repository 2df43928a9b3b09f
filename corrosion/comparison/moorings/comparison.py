"""Moorings side by side: wear against the fleet's mean, raw and with all else held equal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from scipy import stats

from corrosion.common import Codes, Floats
from corrosion.comparison.moorings.equal_use import FleetUse, fleet_use, slopes, wear_a_day
from corrosion.comparison.moorings.raw import Raw, raw_wear
from corrosion.comparison.moorings.stays import service_of, spells
from corrosion.comparison.moorings.weights import Weights, weights
from corrosion.life_model import FLOODED, Clustered, clustered
from corrosion.records import CIRCUITS

if TYPE_CHECKING:
    from corrosion.forecast import Appraisal

FEWEST_HULLS = 5
"""Groups of fewer hulls are not compared on a page."""
CONFIDENCE = 0.95
MODEL_SD, FLOODED_SD = 0.04, 0.07
"""How far the log of a mooring's wear may lie from the model's clocks for what they simplify (the
law of drying, warmth inside the engine); and where passages stay flooded afloat, whose salt does
not dry as the clocks have it. Measured on simulated fleets of other physics."""
COLUMNS = (
    *("mooring_id", "water", "hulls", "raw_ratio", "adjusted_ratio", "low", "high"),
    *("raw_low", "raw_high", "life_h", "life_low_h", "life_high_h", "hull_days", "compared"),
)


@dataclass(frozen=True)
class Share:
    """A share with its 95 % interval."""

    middle: float
    low: float
    high: float


@dataclass(frozen=True)
class Comparison:
    """All that is known of how moorings compare.

    Attributes
    ----------
    table : DataFrame of `moorings`
    use : FleetUse, the average day that every mooring is put to
    spells : DataFrame, who lay where
    known : ndarray of int, shape (m,), codes of the moorings with a wear of their own
    log_wear, covariance : ndarray, shapes (m,) and (m, m), log of the worn share a day under the
        fleet's use, both circuits added, and its covariance
    log_life, life_covariance : ndarray, shapes (m,) and (m, m), log of the engine hours in which
        an anode of `circuit` wears out, and its covariance
    circuit : str, 'engine', or 'hull' in a fleet without an anode in an engine
    reach : float, standard deviations to the ends of a 95 % interval
    """

    table: pd.DataFrame
    use: FleetUse
    spells: pd.DataFrame
    known: Codes
    log_wear: Floats
    covariance: Floats
    log_life: Floats
    life_covariance: Floats
    circuit: str
    reach: float

    def life_share(self, mooring_id: str, other: str) -> Share:
        """Return how long an anode lasts at one mooring as a share of how long at another."""
        ids = list(self.table["mooring_id"])
        a, b = (int(np.flatnonzero(self.known == ids.index(m))[0]) for m in (mooring_id, other))
        away, doubt = self.log_life[a] - self.log_life[b], self.life_covariance
        variance = doubt[a, a] + doubt[b, b] - 2 * doubt[a, b]
        reach = self.reach * float(np.sqrt(max(variance, 0.0)))
        ends = np.exp([away, away - reach, away + reach])
        return Share(*(float(end) for end in ends))


def compare_moorings(appraisal: Appraisal) -> pd.DataFrame:
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
        day on the fleet's own mix of positions (`equal_use`); the hulls' and
        anodes' own rates are left out
    raw_low, raw_high : 95 % interval of the raw ratio, hulls taken as drawn at random
    life_h, life_low_h, life_high_h : engine hours in which the average engine-circuit anode wears
        out there under the fleet's average use (a hull-circuit one where no engine has any), and
        the 95 % interval
    hull_days
    compared : bool, whether FEWEST_HULLS or more hulls are behind it

    Ratios are NaN where no hull ever lay, or the water is not known; lives also where no hull of
    the fleet ever ran.
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
    doubt = clustered(fit)
    circuits = fit.model.design.positions["circuit"].unique()
    lasting = next((c for c in CIRCUITS if c in circuits), CIRCUITS[0])
    log_wear, covariance = _log_wear(rates, use, known, doubt, CIRCUITS)
    log_rate, life_covariance = _log_wear(rates, use, known, doubt, (lasting,))
    if use.running_h > 0:
        log_life = np.log(use.running_h) - log_rate
    else:
        log_life = np.full(known.size, np.nan)
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
        _adjusted(known, log_wear, covariance, days, doubt.reach())
    )
    table = table.join(_lives(known, log_life, life_covariance, doubt.reach()))
    return Comparison(
        table[list(COLUMNS)],
        use,
        lay,
        known,
        log_wear,
        covariance,
        log_life,
        life_covariance,
        lasting,
        doubt.reach(),
    )


def _by_mooring(column: pd.Series, mooring_ids: pd.Index) -> Floats:
    return column.reindex(range(len(mooring_ids))).fillna(0.0).to_numpy(float)


def _log_wear(
    rates: Weights, use: FleetUse, known: Codes, doubt: Clustered, circuits: tuple[str, ...]
) -> tuple[Floats, Floats]:
    """Return log wear a day on some circuits, added, and its covariance."""
    log_wear, slope = slopes(rates, use, known, circuits)
    covariance = slope @ rates.covariance(doubt.covariance) @ slope.T
    circuit, state = FLOODED
    flooded = (rates.cells["circuit"].eq(circuit) & rates.cells["state"].eq(state)).any()
    simplified = FLOODED_SD if flooded else MODEL_SD
    return log_wear, covariance + simplified**2 * np.eye(known.size)


def _adjusted(
    known: Codes, log_wear: Floats, covariance: Floats, days: Floats, reach: float
) -> pd.DataFrame:
    """Return ratios to the mean over hull-days with their interval, index mooring code."""
    share = days[known] * np.exp(log_wear)
    mean = share.sum() / max(days[known].sum(), 1e-9)
    away = np.eye(known.size) - share / max(share.sum(), 1e-300)
    ratio, sd = np.exp(log_wear) / max(mean, 1e-300), _sds(away @ covariance @ away.T)
    ends = {"low": ratio * np.exp(-reach * sd), "high": ratio * np.exp(reach * sd)}
    return pd.DataFrame({"adjusted_ratio": ratio, **ends}, index=known)


def _lives(known: Codes, log_life: Floats, covariance: Floats, reach: float) -> pd.DataFrame:
    """Return lives in engine hours with their interval, index mooring code."""
    far = reach * _sds(covariance)
    ends = {"life_low_h": np.exp(log_life - far), "life_high_h": np.exp(log_life + far)}
    return pd.DataFrame({"life_h": np.exp(log_life), **ends}, index=known)


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
