"""Survival of anodes as people know it: life curves, log-rank, proportional hazards, brackets.

These are the pictures and the cross-check, not the forecast. They use the day somebody found an
anode worn, and nothing of the readings before it. Anodes pulled early *because* they looked nearly
spent are then censored for a reason, so these lives come out too long: every table counts them.

A table of lives has one row an anode life: `hull_id`, `position`, `mooring_id`, `water`,
`circuit`, `entry` (exposure when the watch began), `low` and `high` (exposure at the last look
before the limit and at the first look at it; `high` infinite when pulled early or still running)
and `ended` ('worn', 'pulled-early', 'running'). Exposure is in any one unit, hours as a rule.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy import stats
from statsmodels.duration.survfunc import SurvfuncRight, survdiff

from corrosion.common import TooLittle

FloatArray = npt.NDArray[np.float64]

WORN_AT = ("middle", "first-seen", "last-sound")
"""Where in its bracket a worn life is taken to have ended, for methods that need one moment."""


def watched(lives: pd.DataFrame, worn_at: str = "middle") -> pd.DataFrame:
    """Turn brackets into watches: from when, until when, and whether worn at the end.

    Parameters
    ----------
    lives : DataFrame
        Lives, one row an anode life.
    worn_at : {'middle', 'first-seen', 'last-sound'}
        Where in its bracket a worn life ended. The two ends show how much the choice matters.

    Returns
    -------
    DataFrame
        The lives with `exit` (unit of exposure) and `worn` (bool). A life that was not worn ends
        at its last look. Lives whose watch has no length say nothing and are left out.

    Raises
    ------
    ValueError
        If `worn_at` is none of the three.
    """
    if worn_at not in WORN_AT:
        raise ValueError(f"worn_at: {worn_at!r} is not one of {WORN_AT}")
    worn = np.isfinite(lives["high"].to_numpy(np.float64))
    share = {"last-sound": 0.0, "middle": 0.5, "first-seen": 1.0}[worn_at]
    width = np.where(worn, lives["high"] - lives["low"], 0.0)
    table = lives.assign(exit=lives["low"] + share * width, worn=worn)
    return table[table["exit"] > table["entry"]]


def need_worn(table: pd.DataFrame, least: int = 1) -> None:
    """Refuse with `TooLittle` where fewer lives than `least` were seen worn."""
    if int(table["worn"].sum()) < least:
        raise TooLittle(
            f"readings: {int(table['worn'].sum())} of {len(table)} anode lives end at a look past "
            f"the limit, {least} needed. Read anodes when they come out, and log it."
        )


def endings(lives: pd.DataFrame, by: str = "water") -> pd.DataFrame:
    """Count how the lives of each group ended.

    Parameters
    ----------
    lives : DataFrame
        Lives, one row an anode life.
    by : str
        Column that makes the groups.

    Returns
    -------
    DataFrame
        One row a group: the group, `lives`, `hulls`, `worn`, `pulled_early`, `running`. Where
        `pulled_early` is not small beside `worn`, the curves of that group are too long.
    """
    groups = lives.groupby(by, sort=True)
    counts = pd.crosstab(lives[by], lives["ended"])
    counts = counts.reindex(columns=["worn", "pulled-early", "running"], fill_value=0)
    counts = counts.rename(columns={"pulled-early": "pulled_early"}).rename_axis(columns=None)
    sizes = pd.DataFrame({"lives": groups.size(), "hulls": groups["hull_id"].nunique()})
    return sizes.join(counts).reset_index()


def life_curve(
    lives: pd.DataFrame,
    by: str | None = None,
    worn_at: str = "middle",
    confidence: float = 0.95,
) -> pd.DataFrame:
    """Kaplan-Meier curves of anode life, with late entry.

    Parameters
    ----------
    lives : DataFrame
        Lives, one row an anode life.
    by : str, optional
        Column that makes one curve a group; one curve named 'all' when left out.
    worn_at : {'middle', 'first-seen', 'last-sound'}
        See `watched`.
    confidence : float
        Confidence of the pointwise band (Greenwood, on the log-log scale), anodes taken as
        independent.

    Returns
    -------
    DataFrame
        One row a step of a curve: `group`, `exposure`, `sound` (share of lives not yet worn),
        `low`, `high` (band; NaN where none can be given), `at_risk`, `worn`. Each curve starts at
        exposure 0 with share 1.

    Raises
    ------
    TooLittle
        If no life has a watch of any length.
    """
    table = watched(lives, worn_at)
    if table.empty:
        raise TooLittle("readings: no anode was looked at after it was fitted. Read some first.")
    groups = [("all", table)] if by is None else list(table.groupby(by, sort=True))
    return pd.concat([_curve(name, rows, confidence) for name, rows in groups], ignore_index=True)


def _curve(name: object, rows: pd.DataFrame, confidence: float) -> pd.DataFrame:
    # where all at risk are worn at once, Greenwood divides by zero: that point has no band
    with np.errstate(divide="ignore", invalid="ignore"):
        fit = SurvfuncRight(rows["exit"], rows["worn"].astype(int), entry=entries(rows))
    curve = pd.DataFrame(
        {
            "group": name,
            "exposure": np.append(0.0, fit.surv_times),
            "sound": np.append(1.0, fit.surv_prob),
            "at_risk": np.append(np.nan, fit.n_risk),
            "worn": np.append(0.0, fit.n_events),
        }
    )
    low, high = _log_log_band(curve["sound"], np.append(0.0, fit.surv_prob_se), confidence)
    return curve.assign(low=low, high=high)


def entries(rows: pd.DataFrame) -> FloatArray | None:
    """Entries, or None where every watch began with the life."""
    entry = rows["entry"].to_numpy(np.float64)
    return entry if np.any(entry > 0.0) else None


def _log_log_band(
    sound: pd.Series, se: FloatArray, confidence: float
) -> tuple[FloatArray, FloatArray]:
    s = sound.to_numpy(np.float64)
    inside = (s > 0.0) & (s < 1.0) & np.isfinite(se)
    safe = np.where(inside, s, 0.5)
    reach = stats.norm.ppf(0.5 + confidence / 2.0) * np.where(inside, se, 0.0)
    power = np.exp(reach / (safe * np.log(safe)))
    low, high = safe ** (1.0 / power), safe**power
    unknown = np.where(s == 1.0, 1.0, np.nan)
    return np.where(inside, low, unknown), np.where(inside, high, unknown)


def still_watched(lives: pd.DataFrame, at: Sequence[float], by: str = "water") -> pd.DataFrame:
    """Count the anodes under watch at some exposures, for the row of numbers under a curve.

    Parameters
    ----------
    lives : DataFrame
        Lives, one row an anode life.
    at : sequence of float
        Exposures, unit of the lives.
    by : str
        Column that makes the groups.

    Returns
    -------
    DataFrame
        One row a group and exposure: `group`, `exposure`, `anodes`.
    """
    table = watched(lives)
    rows = [
        (name, moment, _watched_at(group, moment))
        for name, group in table.groupby(by, sort=True)
        for moment in at
    ]
    return pd.DataFrame(rows, columns=["group", "exposure", "anodes"])


def _watched_at(group: pd.DataFrame, moment: float) -> int:
    begun = (group["entry"] < moment) | ((group["entry"] == 0.0) & (moment == 0.0))
    return int((begun & (group["exit"] >= moment)).sum())


@dataclass(frozen=True)
class LogRank:
    """Log-rank comparison of life curves.

    Anodes are taken as independent. They share hulls, so the chance is too small where a group
    has few hulls: `hazards.proportional_hazards` counts that in.
    """

    chi_square: float
    degrees: int
    p_value: float
    groups: tuple[str, ...]
    lives: int
    worn: int


def log_rank(lives: pd.DataFrame, by: str, worn_at: str = "middle") -> LogRank:
    """Compare the life curves of groups by the log-rank test, with late entry.

    Parameters
    ----------
    lives : DataFrame
        Lives, one row an anode life.
    by : str
        Column that makes the groups.
    worn_at : {'middle', 'first-seen', 'last-sound'}
        See `watched`.

    Returns
    -------
    LogRank

    Raises
    ------
    TooLittle
        If there is one group only, or no worn life.
    """
    table = watched(lives, worn_at)
    need_worn(table)
    names = tuple(str(name) for name in sorted(table[by].unique()))
    if len(names) < 2:
        raise TooLittle(f"lives: {by} is {', '.join(names)} for all; nothing to compare.")
    codes, worn = pd.factorize(table[by])[0], table["worn"].to_numpy(int)
    chi_square, p_value = survdiff(table["exit"], worn, codes, entry=entries(table))
    return LogRank(
        float(chi_square), len(names) - 1, float(p_value), names, len(table), int(worn.sum())
    )
