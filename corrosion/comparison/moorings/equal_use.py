"""What the fleet's own average day of use would wear at each mooring.

Every mooring is put to the same test: the hours that the fleet as a whole ran, lay wet with salt
and lay afloat, on the fleet's own mix of layouts and positions, at the seasons in which it did so;
only the water, its warmth and the mooring's own pace are the mooring's (direct standardisation).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import HOURS_A_DAY, Codes, Floats, central_slopes
from corrosion.comparison.moorings.weights import Weights
from corrosion.exposure import Exposure, drying_weights
from corrosion.life_model import Fit, take_apart
from corrosion.records import CIRCUITS, SALTY

MOST_ROWS = 20_000
"""Moments asked of the clocks at most: a large fleet is added up in longer steps."""
RATE_STEP = 1e-3
NONE = 1e-300
SHORTEST_STEP_H = 7 * HOURS_A_DAY


@dataclass(frozen=True)
class FleetUse:
    """The fleet's average day, and how warm each mooring is while the fleet does what it does.

    Attributes
    ----------
    running_h, afloat_h : float, hours a hull-day
    unflushed_h : ndarray, shape (len(DRYING_GRID_H),), effective salty hours a hull-day that the
        fleet's flushing would leave if all its outings were in salty water
    warmth_c : ndarray, shape (moorings, 3), C above 15 C by STATES
    layouts : Series, share of hull-days by layout, summing to 1
    positions : ndarray, shape (2, positions), how much each position of the life model counts in
        the average of its circuit
    """

    running_h: float
    afloat_h: float
    unflushed_h: Floats
    warmth_c: Floats
    layouts: pd.Series
    positions: Floats


def fleet_use(fit: Fit, service: pd.DataFrame, layout_of_hull: pd.Series) -> FleetUse:
    """Add up what the fleet did.

    Parameters
    ----------
    fit : Fit
    service : DataFrame of `service_of`
    layout_of_hull : Series, layout, index hull_id

    Returns
    -------
    FleetUse
    """
    (running, wet, afloat), middle = _fleet_hours(fit.exposure, service)
    days = max(float((service["end_h"] - service["begin_h"]).sum()) / HOURS_A_DAY, 1e-9)
    # fresh-water hulls leave no salt to dry: the days of hulls in salty water stand for all days
    unflushed = wet.sum(axis=0) / max(_salty_days(fit.exposure, service), 1e-9)
    layouts = _layouts(fit.exposure, service, layout_of_hull)
    return FleetUse(
        running.sum() / days,
        afloat.sum() / days,
        unflushed,
        _warmth(fit.exposure, middle, (running, wet.sum(axis=1), afloat)),
        layouts,
        _position_shares(fit.model.design.positions, layouts),
    )


def _salty_days(exposure: Exposure, service: pd.DataFrame) -> float:
    """Return the fleet's hull-days in salty water: each hull's days, by where its engine ran."""
    begin, end = (service[name].to_numpy(float) for name in ("begin_h", "end_h"))
    ran = exposure.between(service.index.to_numpy(np.intp), begin, end).plain
    runs, salty = _running_cells(exposure)
    share = ran[:, salty].sum(axis=1) / np.maximum(ran[:, runs].sum(axis=1), 1e-9)
    return float(share @ (end - begin)) / HOURS_A_DAY


def _running_cells(exposure: Exposure) -> tuple[np.ndarray, np.ndarray]:
    """Tell which cells count engine hours, and which of those in salty water."""
    cells = exposure.cells[exposure.cells["state"] != "unflushed"]
    runs = (cells["state"] == "running").to_numpy(bool)
    return runs, runs & cells["water"].isin(SALTY).to_numpy(bool)


def _fleet_hours(
    exposure: Exposure, service: pd.DataFrame
) -> tuple[tuple[Floats, Floats, Floats], Floats]:
    """Return the fleet's hours step by step: running, wet (by drying time), afloat.

    The second part is the middle of each step, hours since 1970.
    """
    edges = _edges(service)
    hull = np.repeat(service.index.to_numpy(np.intp), edges.size)
    at = np.clip(
        np.tile(edges, len(service)),
        np.repeat(service["begin_h"].to_numpy(float), edges.size),
        np.repeat(service["end_h"].to_numpy(float), edges.size),
    )
    totals = exposure.until(hull, at)
    plain = _steps(totals.plain, len(service), edges.size)
    wet = _steps(totals.drying, len(service), edges.size)
    runs, _ = _running_cells(exposure)
    hours = (plain[:, runs].sum(axis=1), wet.sum(axis=1), plain[:, ~runs].sum(axis=1))
    return hours, (edges[1:] + edges[:-1]) / 2


def _edges(service: pd.DataFrame) -> Floats:
    first, last = float(service["begin_h"].min()), float(service["end_h"].max())
    steps = max(min((last - first) / SHORTEST_STEP_H, MOST_ROWS / max(len(service), 1)), 1.0)
    return np.linspace(first, max(last, first + 1.0), int(np.ceil(steps)) + 1)


def _steps(totals: Floats, hulls: int, edges: int) -> Floats:
    """Return what the fleet gathered between edges, shape (edges - 1, ...), from running totals."""
    table = totals.reshape(hulls, edges, *totals.shape[1:])
    return np.asarray(np.diff(table, axis=1).sum(axis=0))


def _warmth(exposure: Exposure, middle: Floats, weights: tuple[Floats, ...]) -> Floats:
    moorings = len(exposure.mooring_ids)
    degrees = np.stack(
        [exposure.temperature.at(np.full(middle.size, m), middle) for m in range(moorings)]
    ).reshape(moorings, middle.size)
    columns = [degrees @ (w / w.sum()) if w.sum() > 0 else degrees.mean(axis=1) for w in weights]
    return np.stack(columns, axis=1)


def _layouts(exposure: Exposure, service: pd.DataFrame, layout_of_hull: pd.Series) -> pd.Series:
    layout = layout_of_hull.reindex(exposure.hull_ids[service.index.to_numpy(np.intp)])
    days = pd.Series((service["end_h"] - service["begin_h"]).to_numpy(float))
    shares = days.groupby(layout.to_numpy(object)).sum()
    return shares / max(float(shares.sum()), 1e-9)


def wear_a_day(weights: Weights, use: FleetUse, params: Floats) -> Floats:
    """Return what the fleet's average day wears at each mooring.

    Parameters
    ----------
    weights : Weights
    use : FleetUse
    params : ndarray, shape (p,), as `weights.mean`

    Returns
    -------
    ndarray, shape (moorings, 2), share of the allowance a day of the average anode of each of
    CIRCUITS; NaN where the mooring's water is not known
    """
    model = weights.fit.model
    rates = take_apart(params[: weights.size], model.design, model.moorings)
    dry = drying_weights(rates.log_tau).weight
    hours = np.array([use.running_h, float(use.unflushed_h @ dry), use.afloat_h])
    counted = hours * (1.0 + rates.kappa * use.warmth_c)
    mm = counted[:, weights.state] * np.exp(weights.log_mm_per_h(params))
    # mooring by cell, circuit by cell: which cells of its water wear which circuit
    by_circuit = (mm * weights.acts) @ weights.on_circuit.T
    pace = np.where(weights.acts.any(axis=1), np.exp(rates.mooring), np.nan)
    return np.asarray(by_circuit * pace[:, None] * (use.positions @ rates.share_per_mm))


def _position_shares(positions: pd.DataFrame, layouts: pd.Series) -> Floats:
    """Return how much each position counts in the average of its circuit, shape (2, positions)."""
    share = positions["layout"].map(layouts).fillna(0.0)
    rows = []
    for circuit in CIRCUITS:
        ours = positions["circuit"] == circuit
        each = positions.groupby(["layout", "circuit"])["position"].transform("size")
        part = (share / each).where(ours, 0.0).to_numpy(float)
        rows.append(part / part.sum() if part.sum() > 0 else part)
    return np.stack(rows)


def slopes(
    weights: Weights, use: FleetUse, mooring: Codes, circuits: tuple[str, ...] = CIRCUITS
) -> tuple[Floats, Floats]:
    """Return log wear a day at some moorings, circuits added, and its slopes.

    Parameters
    ----------
    weights : Weights
    use : FleetUse
    mooring : ndarray of int, shape (m,)
    circuits : tuple of str, those that are added

    Returns
    -------
    log_wear : ndarray, shape (m,)
    slope : ndarray, shape (m, p), by the parameters (central differences)
    """
    added = np.array([circuit in circuits for circuit in CIRCUITS], dtype=float)

    def log_wear(at: Floats) -> Floats:
        # a fleet that never ran wears no engine anode; who asks looks for that
        return np.asarray(np.log(np.maximum(wear_a_day(weights, use, at)[mooring] @ added, NONE)))

    mean = weights.mean
    return log_wear(mean), central_slopes(log_wear, mean, RATE_STEP).T.reshape(
        mooring.size, mean.size
    )
