"""Metal lost at the surface by hours in each state, and the rates that it is lost at."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate, pairwise

import numpy as np

from corrosion.common import Codes, Floats
from corrosion.exposure import drying_weights
from corrosion.life_model.clock_terms import Columns, Terms
from corrosion.life_model.design import Design
from corrosion.life_model.priors import SHAPE

COLDEST, WARMEST = -0.03, 0.05
"""Bounds of the temperature coefficient, per C: wear must not run backwards in winter."""


@dataclass(frozen=True)
class Trust:
    """How far each anode and hull may be believed to be one of the fleet, 1 or less.

    Attributes
    ----------
    anode : ndarray, shape (k,)
    hull : ndarray, shape (hulls,)
    """

    anode: Floats
    hull: Floats

    def but_for(self, hulls: np.ndarray, hull: Codes, other: Trust) -> Trust:
        """Return the same trust, some hulls and their anodes trusted as in another.

        `hulls` is a mask of shape (hulls,), `hull` the hull code of each anode, shape (k,).
        """
        return Trust(
            np.where(hulls[hull], other.anode, self.anode), np.where(hulls, other.hull, self.hull)
        )


@dataclass(frozen=True)
class Rates:
    """The parameter vector, taken apart.

    Attributes
    ----------
    share_per_mm : ndarray, shape (positions,), share of the allowance per mm of surface lost
    weight : ndarray, shape (groups,), log mm of surface per hour
    mooring : ndarray, shape (moorings of the fleet,), log factor, 0 where it has none
    alloy : ndarray, shape (1 + alloys,), log factor of each row of `Terms.alloys`, 0 first
    kappa : float, per C; log_tau : float, log hours
    hull_sd, anode_sd, process_sd, reading_mm, by_eye : float
    """

    share_per_mm: Floats
    weight: Floats
    mooring: Floats
    alloy: Floats
    kappa: float
    log_tau: float
    hull_sd: float
    anode_sd: float
    process_sd: float
    reading_mm: float
    by_eye: float


@dataclass(frozen=True)
class Layout:
    """Where each kind of parameter stands in the vector."""

    position: slice
    weight: slice
    mooring: slice
    alloy: slice
    shape: slice

    @property
    def size(self) -> int:
        """Return how many parameters there are."""
        return int(self.shape.stop)


def layout_of(design: Design) -> Layout:
    """Return where each kind of parameter stands."""
    p, g = len(design.positions), len(design.terms.groups)
    m, a = design.terms.shared_water.size, len(design.terms.alloys)
    ends = accumulate([0, p, g, m, a, len(SHAPE)])
    return Layout(*(slice(*each) for each in pairwise(ends)))


def take_apart(params: Floats, design: Design, moorings: int) -> Rates:
    """Take a parameter vector apart.

    Parameters
    ----------
    params : ndarray, shape (p,)
    design : Design
    moorings : int, number of moorings of the fleet

    Returns
    -------
    Rates
    """
    at = layout_of(design)
    kappa, log_tau, *logs = params[at.shape]
    mooring = np.zeros(moorings)
    mooring[design.terms.shared_water] = params[at.mooring]
    place = np.exp(params[at.position]) * design.per_mm
    sds = np.exp(np.clip(logs, -12.0, 6.0))
    alloy = np.concatenate([[0.0], params[at.alloy]])
    return Rates(
        place, params[at.weight], mooring, alloy, float(kappa), float(log_tau), *map(float, sds)
    )


@dataclass(frozen=True)
class Surface:
    """Surface lost by each row, mm, with what its gradient needs."""

    mm: Floats
    hours: Floats
    rate: Floats
    group: Codes
    mooring: Codes
    alloy: Codes
    by_kappa: Floats
    by_log_tau: Floats


def surface_lost(columns: Columns, terms: Terms, rates: Rates) -> Surface:
    """Return the surface that an anode of the fleet's usual kind loses in these hours, mm.

    Parameters
    ----------
    columns : Columns of shape (n, ...)
    terms : Terms
    rates : Rates

    Returns
    -------
    Surface, `mm` of shape (n,)
    """
    dry = drying_weights(rates.log_tau)
    both = np.column_stack([dry.weight, dry.slope])
    wet, wet_slope = _dried(columns.drying, both)
    wet_warm, warm_slope = _dried(columns.drying_warm, both)
    warm = np.concatenate([columns.plain_warm, wet_warm], axis=1)
    hours = rates.kappa * warm
    hours[:, : columns.plain.shape[1]] += columns.plain
    hours[:, columns.plain.shape[1] :] += wet
    cells = np.concatenate([terms.plain, terms.drying])
    rate, (group, mooring, alloy) = _rate(cells, rates), cells[:, 1:].T
    slope = wet_slope + rates.kappa * warm_slope
    return Surface(
        hours @ rate, hours, rate, group, mooring, alloy,
        warm @ rate, slope @ rate[terms.plain.shape[0] :],
    )  # fmt: skip


@dataclass(frozen=True)
class CellWear:
    """Surface that an hour in each cell of packed hours takes, and its slopes, mm, shape (m,)."""

    mm: Floats
    by_kappa: Floats
    by_log_tau: Floats


def wear_of_cells(terms: Terms, rates: Rates) -> CellWear:
    """Return what an hour in each cell of packed hours wears off an anode of the usual kind.

    Parameters
    ----------
    terms : Terms
    rates : Rates

    Returns
    -------
    CellWear
    """
    dry = drying_weights(rates.log_tau)
    plain, wet = _rate(terms.plain, rates), _rate(terms.drying, rates)
    dried, slope = (np.outer(wet, each).ravel() for each in (dry.weight, dry.slope))
    none, kappa = np.zeros(plain.size), rates.kappa
    return CellWear(
        np.concatenate([plain, kappa * plain, dried, kappa * dried]),
        np.concatenate([none, plain, np.zeros(dried.size), dried]),
        np.concatenate([none, none, slope, kappa * slope]),
    )


def _rate(cells: Codes, rates: Rates) -> Floats:
    """Return the surface that an hour takes in cells of `Terms`, mm, shape of their rows."""
    _, group, mooring, alloy = cells.T
    return np.asarray(np.exp(rates.weight[group] + rates.mooring[mooring] + rates.alloy[alloy]))


def _dried(drying: Floats, both: Floats) -> tuple[Floats, Floats]:
    """Return effective hours and their slope in the log time constant, each (n, d).

    One flat product: over three dimensions numpy goes cell by cell, ten times slower.
    """
    rows, cells, grid = drying.shape
    flat = drying.reshape(rows * cells, grid) @ both
    return flat[:, 0].reshape(rows, cells), flat[:, 1].reshape(rows, cells)
