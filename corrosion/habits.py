"""What each operating state costs in wear, with its interval."""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.design import drying_weights
from corrosion.life import Fit
from corrosion.likelihood import layout_of
from corrosion.water import Floats, hours_since_epoch

Z95 = 1.959963984540054
COLUMNS = ["circuit", "water", "state", "hours", "worn_per_100h", "low", "high", "hulls"]


def habits(fit: Fit, on: pd.Timestamp) -> pd.DataFrame:
    """Return the wear of each operating state, at 15 C.

    Parameters
    ----------
    fit : Fit
    on : Timestamp, UTC, until when hours are counted

    Returns
    -------
    DataFrame, one row a circuit, water and state: hours (logged, over all hulls; for `unflushed`
    the hours that count while the passages dry), worn_per_100h (share of the allowance, mean over
    the positions of that circuit on the hulls that spent the hours), low, high (95 %, delta
    method on the log), hulls (how many have such hours)
    """
    groups = fit.model.design.terms.groups
    logged = _logged(fit, on)
    rows = [
        (
            g.circuit,
            g.water,
            g.state,
            logged[i].sum(),
            *_rate(fit, i, logged[i]),
            (logged[i] > 1).sum(),
        )
        for i, g in enumerate(groups.itertuples())
    ]
    table = pd.DataFrame(rows, columns=COLUMNS)
    return table.sort_values(["circuit", "water", "state"], ignore_index=True)


def _rate(fit: Fit, group: int, hours: Floats) -> tuple[float, float, float]:
    """Return share of the allowance per 100 h on the average position, with its 95 % interval."""
    model, at = fit.model, layout_of(fit.model.design)
    rates = fit.results.evaluation.rates
    part = _position_shares(fit, group, hours) * rates.place
    rate = 100 * float(np.exp(rates.weight[group]) * part.sum())
    slope = np.zeros(model.k_params)
    slope[at.position] = part / part.sum()
    slope[at.weight.start + group] = 1.0
    # weights and places trade off against each other, so both enter the slope
    sd = float(np.sqrt(slope @ fit.results.cov_params() @ slope))
    return rate, rate * float(np.exp(-Z95 * sd)), rate * float(np.exp(Z95 * sd))


def _position_shares(fit: Fit, group: int, hours: Floats) -> Floats:
    """Return how much each position counts in the average, shape (positions,), summing to 1."""
    design = fit.model.design
    table = design.positions
    ours = table["circuit"] == design.terms.groups["circuit"].iloc[group]
    hulls = fit.lives.lives.drop_duplicates("hull_id").set_index("hull_id")["layout"]
    layout = hulls.reindex(fit.exposure.hull_ids)
    spent = pd.Series(hours, layout.to_numpy(object)).groupby(level=0).sum()
    by_layout = table["layout"].map(spent).fillna(0.0).where(ours, 0.0)
    by_layout = by_layout if by_layout.sum() > 0 else ours.astype(float)
    here = ours.groupby(table["layout"]).transform("sum").clip(lower=1)
    share = (by_layout / here).to_numpy(float)
    return np.asarray(share / share.sum())


def _logged(fit: Fit, on: pd.Timestamp) -> Floats:
    """Return hours of each hull in each weight's cells, shape (groups, hulls)."""
    exposure, terms = fit.exposure, fit.model.design.terms
    hulls = np.arange(len(exposure.hull_ids))
    end = np.full(hulls.size, hours_since_epoch(pd.DatetimeIndex([on]))[0])
    tables = (exposure.outings["start_h"], exposure.berths["start_h"])
    first = min((float(t.min()) for t in tables if len(t)), default=float(end[0]))
    past = exposure.between(hulls, np.full(hulls.size, first - 1.0), end)
    wet = past.drying @ drying_weights(fit.results.evaluation.rates.log_tau).weight
    hours = np.zeros((len(terms.groups), hulls.size))
    for cell, group, _ in terms.plain:
        hours[group] += past.plain[:, cell]
    for cell, group, _ in terms.drying:
        hours[group] += wet[:, cell]
    return hours
