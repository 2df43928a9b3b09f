"""How much of the wear over a stretch of time each operating state caused.

Every hull's own hours are worn by the fitted rates, at the warmth they had, on all anodes of its
layout, so that 1 is one anode's whole allowance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from corrosion.common import Floats, central_slopes
from corrosion.exposure import Exposure, Hours
from corrosion.life_model.clock_terms import wearing_columns
from corrosion.life_model.fitting import Fit
from corrosion.life_model.robust_weights import pace_effects
from corrosion.life_model.surface import Rates, surface_lost, take_apart
from corrosion.records import CIRCUITS

SLOPE_STEP = 1e-4


@dataclass(frozen=True)
class Caused:
    """Wear that each state caused.

    Attributes
    ----------
    by_hull : ndarray, shape (hulls, groups), anodes (allowances used up)
    slope : ndarray, shape (groups, p), slope of the fleet's sums by every parameter
    """

    by_hull: Floats
    slope: Floats

    @property
    def total(self) -> Floats:
        """Return the fleet's anodes by state, shape (groups,)."""
        return np.asarray(self.by_hull.sum(axis=0))


def caused(fit: Fit, since_h: float, until_h: float) -> Caused:
    """Wear every hull's hours of a span by the fitted rates, state by state.

    Parameters
    ----------
    fit : Fit
    since_h, until_h : float, hours since 1970

    Returns
    -------
    Caused
    """
    hours = hours_of_hulls(fit.exposure, since_h, until_h)
    paces = {circuit: places_of(fit, circuit) for circuit in CIRCUITS}

    def worn(params: Floats) -> Floats:
        rates = take_apart(params, fit.model.design, len(fit.exposure.mooring_ids))
        return _worn(fit, hours, paces, rates)

    at = np.asarray(fit.results.params, dtype=float)
    slope = central_slopes(lambda params: worn(params).sum(axis=0), at, SLOPE_STEP)
    return Caused(worn(at), slope.T)


def hours_of_hulls(exposure: Exposure, since_h: float, until_h: float) -> Hours:
    """Return every hull's hours over a span, a row a hull."""
    hulls = np.arange(len(exposure.hull_ids))
    return exposure.between(hulls, np.full(hulls.size, since_h), np.full(hulls.size, until_h))


def places_of(fit: Fit, circuit: str) -> Floats:
    """Return each hull's own pace at every position of a circuit, shape (hulls, positions)."""
    design = fit.model.design
    lives = fit.lives.lives.drop_duplicates("hull_id").set_index("hull_id")["layout"]
    layout = lives.reindex(fit.exposure.hull_ids).to_numpy(object)
    ours = (design.positions["circuit"] == circuit).to_numpy(bool)
    there = np.equal.outer(layout, design.positions["layout"].to_numpy(object)) & ours
    pace = np.maximum(1.0 + pace_effects(design, fit.results.evaluation).hull, 0.1)
    return np.asarray(there * pace[:, None])


def _worn(fit: Fit, hours: Hours, paces: dict[str, Floats], rates: Rates) -> Floats:
    """Return anodes worn by hull and state, shape (hulls, groups)."""
    terms = fit.model.design.terms
    worn = np.zeros((hours.plain.shape[0], len(terms.groups)))
    for circuit, pace in paces.items():
        engine = np.full(worn.shape[0], circuit == "engine")
        surface = surface_lost(wearing_columns(terms, hours, engine), terms, rates)
        mm = surface.hours * surface.rate * (pace @ rates.share_per_mm)[:, None]
        np.add.at(worn.T, surface.group, mm.T)
    return worn
