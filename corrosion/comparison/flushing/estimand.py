"""What is asked: wear of the engine circuit in salt and brackish water, as it was and flushed.

The fleet's own hours of the last year are worn by the fitted rates twice: as the log has them,
and as a flushing policy would have had them. Hulls keep their own pace, layouts their positions.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import tzinfo

import numpy as np
import pandas as pd

from corrosion.common import HOURS_A_DAY, WHOLE_YEAR_DAYS, Floats
from corrosion.comparison.flushing.policy import Policy, under
from corrosion.exposure import Exposure, Hours, rewetted
from corrosion.life_model import (
    Columns,
    Design,
    Fit,
    Rates,
    layout_of,
    pace_effects,
    surface_lost,
    wearing_columns,
)
from corrosion.records import SALTY

LAST_YEAR_H = WHOLE_YEAR_DAYS * HOURS_A_DAY


@dataclass(frozen=True)
class Span:
    """The stretch of time that is asked about, hours since 1970."""

    since_h: float
    until_h: float


@dataclass(frozen=True)
class Wear:
    """Wear summed over hulls, and its slope by every parameter.

    Attributes
    ----------
    value : float, share of the allowance, mean over a hull's engine positions, summed over hulls
    slope : ndarray, shape (p,)
    """

    value: float
    slope: Floats


@dataclass(frozen=True)
class Ledger:
    """The hours behind the answer, a row a hull, ready to be worn by any rates.

    Attributes
    ----------
    steady : Columns, hours that no flush changes: running, and flooded passages afloat
    before, after : Columns, salty wet hours as the log has them, and under the policy
    pace : ndarray, shape (hulls, positions), how a hull's wear is read off its positions
    """

    design: Design
    steady: Columns
    before: Columns
    after: Columns
    pace: Floats

    def steady_wear(self, rates: Rates) -> Wear:
        """Return the wear that no flush changes."""
        return self._worn(self.steady, rates)

    def wet_wear(self, rates: Rates) -> tuple[Wear, Wear]:
        """Return the wear of wet hours as they were, and the part that the policy takes away."""
        was, left = self._worn(self.before, rates), self._worn(self.after, rates)
        return was, Wear(was.value - left.value, was.slope - left.slope)

    def by_hull(self, rates: Rates) -> pd.DataFrame:
        """Return each hull's wear: steady, wet, wet_after (share of the allowance)."""
        factor = self.pace @ rates.share_per_mm
        parts = {"steady": self.steady, "wet": self.before, "wet_after": self.after}
        return pd.DataFrame(
            {k: factor * surface_lost(c, self.design.terms, rates).mm for k, c in parts.items()}
        )

    def _worn(self, columns: Columns, rates: Rates) -> Wear:
        at, terms = layout_of(self.design), self.design.terms
        surface = surface_lost(columns, terms, rates)
        factor = self.pace @ rates.share_per_mm
        slope = np.zeros(at.size)
        slope[at.position] = (surface.mm @ self.pace) * rates.share_per_mm
        by_cell = (factor @ surface.hours) * surface.rate
        slope[at.weight] = np.bincount(surface.group, by_cell, minlength=len(terms.groups))
        by_mooring = np.bincount(surface.mooring, by_cell, minlength=rates.mooring.size)
        slope[at.mooring] = by_mooring[terms.shared_water]
        slope[at.shape.start] = factor @ surface.by_kappa
        slope[at.shape.start + 1] = factor @ surface.by_log_tau
        return Wear(float(factor @ surface.mm), slope)


def build_ledger(fit: Fit, span: Span, policy: Policy, zone: tzinfo) -> Ledger:
    """Add up every hull's hours over the span, as they were and under the policy.

    Parameters
    ----------
    fit : Fit
    span : Span
    policy : Policy
    zone : tzinfo, the fleet's time zone

    Returns
    -------
    Ledger
    """
    exposure, design = fit.exposure, fit.model.design
    flushed = under(exposure.outings, policy, exposure.mooring_ids, zone)
    after = rewetted(exposure, flushed)
    was, then = (_hours(e, span) for e in (exposure, after))
    engine = np.ones(len(exposure.hull_ids), dtype=bool)
    salty = _salty(design)
    steady, before = (_columns(design, was, engine, salty, wet) for wet in (False, True))
    return Ledger(design, steady, before, _columns(design, then, engine, salty, True), _paces(fit))


def _hours(exposure: Exposure, span: Span) -> Hours:
    hulls = np.arange(len(exposure.hull_ids))
    ends = (np.full(hulls.size, span.since_h), np.full(hulls.size, span.until_h))
    return exposure.between(hulls, *ends)


def _salty(design: Design) -> tuple[np.ndarray, np.ndarray]:
    """Tell which plain and which drying terms are of salt or brackish water."""
    water = design.terms.groups["water"].isin(SALTY).to_numpy(bool)
    return water[design.terms.plain[:, 1]], water[design.terms.drying[:, 1]]


def _columns(
    design: Design,
    hours: Hours,
    engine: np.ndarray,
    salty: tuple[np.ndarray, np.ndarray],
    wet: bool,
) -> Columns:
    """Keep the wet hours alone, or all but them, of the engine circuit in salty water."""
    every = wearing_columns(design.terms, hours, engine)
    plain, drying = salty[0] & (not wet), salty[1][:, None] & wet
    return Columns(
        every.plain * plain,
        every.plain_warm * plain,
        every.drying * drying,
        every.drying_warm * drying,
    )


def _paces(fit: Fit) -> Floats:
    """Return each hull's own pace, spread evenly over the engine positions of its layout."""
    design = fit.model.design
    lives = fit.lives.lives.drop_duplicates("hull_id").set_index("hull_id")["layout"]
    layout = lives.reindex(fit.exposure.hull_ids).to_numpy(object)
    table = design.positions
    engine = (table["circuit"] == "engine").to_numpy(bool)
    there = np.equal.outer(layout, table["layout"].to_numpy(object)) & engine
    share = there / np.maximum(there.sum(axis=1, keepdims=True), 1)
    own = pace_effects(design, fit.results.evaluation).hull
    return np.asarray(share * np.maximum(1.0 + own, 0.1)[:, None])
