"""Regressions on lives: proportional hazards.

Lives are the table of `corrosion.comparison.survival`. Anodes of a hull are alike, so the standard
errors are clustered on hulls unless told otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy import stats
from statsmodels.duration.hazard_regression import PHReg

from corrosion.comparison.survival import entries, need_worn, watched


def design(table: pd.DataFrame, columns: Sequence[str]) -> pd.DataFrame:
    """Explaining columns as numbers: a number as it is, a text as one column a further value.

    Parameters
    ----------
    table : DataFrame
        Lives, one row an anode life.
    columns : sequence of str
        Columns that explain the life.

    Returns
    -------
    DataFrame
        Float columns, index of `table`; a text's most frequent value is what the others are
        compared with, and has no column.
    """
    parts = []
    for name in columns:
        if pd.api.types.is_numeric_dtype(table[name]):
            parts.append(table[[name]].astype(float))
            continue
        values = table[name].value_counts().index[1:]
        parts.append(pd.DataFrame({f"{name}: {v}": (table[name] == v) * 1.0 for v in values}))
    return pd.concat(parts, axis=1)


@dataclass(frozen=True)
class Regression:
    """A regression on lives.

    Attributes
    ----------
    effects : DataFrame
        One row a term: `term`, `estimate`, `ratio` (its exponential), `low`, `high` (interval of
        the ratio), `p_value`.
    log_likelihood : float
        At the fit.
    lives, worn, hulls : int
        Rows, worn rows and hulls behind it.
    converged : bool
        Whether the search settled; read nothing from one that did not.
    results : statsmodels results
        For `summary()` and the covariance.
    """

    effects: pd.DataFrame
    log_likelihood: float
    lives: int
    worn: int
    hulls: int
    converged: bool
    results: Any


def _effects(terms: Sequence[str], results: Any, confidence: float) -> pd.DataFrame:
    count = len(terms)
    estimate, se = (np.asarray(v, np.float64)[:count] for v in (results.params, results.bse))
    reach = stats.norm.ppf(0.5 + confidence / 2.0) * se
    with np.errstate(over="ignore"):  # an effect that runs off has no upper end
        low, ratio, high = (np.exp(estimate + step * reach) for step in (-1.0, 0.0, 1.0))
    return pd.DataFrame(
        {
            "term": list(terms),
            "estimate": estimate,
            "ratio": ratio,
            "low": low,
            "high": high,
            "p_value": np.asarray(results.pvalues, dtype=np.float64)[:count],
        }
    )


def _hull_codes(table: pd.DataFrame) -> npt.NDArray[np.intp]:
    return np.asarray(pd.factorize(table["hull_id"])[0], dtype=np.intp)


def proportional_hazards(
    lives: pd.DataFrame,
    columns: Sequence[str],
    worn_at: str = "middle",
    by_hull: bool = True,
    confidence: float = 0.95,
) -> Regression:
    """Cox's proportional hazards on the lives, ties by Efron, with late entry.

    Parameters
    ----------
    lives : DataFrame
        Lives, one row an anode life.
    columns : sequence of str
        Columns that explain the life; a ratio above 1 wears out sooner.
    worn_at : {'middle', 'first-seen', 'last-sound'}
        See `watched`.
    by_hull : bool
        Count in that the anodes of a hull are alike: standard errors clustered on `hull_id`.
    confidence : float
        Confidence of the intervals.

    Returns
    -------
    Regression

    Raises
    ------
    TooLittle
        If fewer lives were seen worn than there are terms.
    """
    table = watched(lives, worn_at)
    exog = design(table, columns)
    need_worn(table, exog.shape[1])
    model = PHReg(
        table["exit"].to_numpy(np.float64),
        exog.to_numpy(np.float64),
        status=table["worn"].to_numpy(int),
        entry=entries(table),
        ties="efron",
    )
    # whether it settled is said in the result
    results = model.fit(groups=_hull_codes(table) if by_hull else None, warn_convergence=False)
    settled = bool(np.abs(model.score(results.params)).max() < 1e-4 * len(table))
    effects = _effects(list(exog.columns), results, confidence)
    return _regression(effects, results, table, settled)


def _regression(
    effects: pd.DataFrame, results: Any, table: pd.DataFrame, settled: bool
) -> Regression:
    worn, hulls = int(table["worn"].sum()), int(table["hull_id"].nunique())
    return Regression(effects, float(results.llf), len(table), worn, hulls, settled, results)
