"""What each operating state costs in wear, with its interval."""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.design import drying_weights
from corrosion.life import Fit
from corrosion.likelihood import layout_of
from corrosion.water import REFERENCE_C, Floats, hours_since_epoch

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
    DataFrame, one row a circuit, water and state: hours (logged, over all hulls; drying hours
    for `unflushed`), worn_per_100h (share of the allowance, average position of that circuit),
    low, high (95 %, delta method on the log), hulls (how many have such hours)
    """
    model, groups = fit.model, fit.model.design.terms.groups
    logged, hulls = _logged(fit, on)
    rows = [
        (g.circuit, g.water, g.state, logged[i], *_rate(fit, i, str(g.circuit)), hulls[i])
        for i, g in enumerate(groups.itertuples())
    ]
    table = pd.DataFrame(rows, columns=COLUMNS)
    table.attrs["reference_c"] = REFERENCE_C
    table.attrs["looks"] = int(model.design.worn.size)
    return table.sort_values(["circuit", "water", "state"], ignore_index=True)


def _rate(fit: Fit, group: int, circuit: str) -> tuple[float, float, float]:
    """Return share of the allowance per 100 h of the circuit's average position, with 95 %."""
    model, at = fit.model, layout_of(fit.model.design)
    rates = fit.results.evaluation.rates
    ours = (model.design.positions["circuit"] == circuit).to_numpy(bool)
    place = rates.place[ours]
    rate = 100 * float(np.exp(rates.weight[group])) * float(place.mean())
    slope = np.zeros(model.k_params)
    slope[at.position][ours] = place / place.sum()
    slope[at.weight.start + group] = 1.0
    # weights and places trade off against each other, so both enter the slope
    sd = float(np.sqrt(slope @ fit.results.cov_params() @ slope))
    return rate, rate * float(np.exp(-Z95 * sd)), rate * float(np.exp(Z95 * sd))


def _logged(fit: Fit, on: pd.Timestamp) -> tuple[Floats, Floats]:
    """Return hours of all hulls in each weight's cells, and how many hulls have any."""
    exposure, terms = fit.exposure, fit.model.design.terms
    hulls = np.arange(len(exposure.hull_ids))
    end = np.full(hulls.size, hours_since_epoch(pd.DatetimeIndex([on]))[0])
    tables = (exposure.outings["start_h"], exposure.berths["start_h"])
    first = min((float(t.min()) for t in tables if len(t)), default=float(end[0]))
    past = exposure.between(hulls, np.full(hulls.size, first - 1.0), end)
    tau = fit.results.evaluation.rates.log_tau
    wet = past.drying @ drying_weights(tau).weight
    hours = np.zeros((len(terms.groups), hulls.size))
    for cell, group, _ in terms.plain:
        hours[group] += past.plain[:, cell]
    for cell, group, _ in terms.drying:
        hours[group] += wet[:, cell]
    return hours.sum(axis=1), (hours > 1.0).sum(axis=1)
