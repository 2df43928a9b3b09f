"""The share saved on a part of the fleet, with an interval of its own.

The rates at the ends of the fleet's interval know how sure the level of the unflushed rate is, not
how it falls on one water or mooring; so the likelihood of the part's own share is gone through,
and its ends are taken together with the fleet's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import tzinfo

import numpy as np

from corrosion.comparison.flushing.answer import Verdict
from corrosion.comparison.flushing.estimand import build_ledger
from corrosion.comparison.flushing.policy import DAILY
from corrosion.comparison.flushing.profile import ShareLikelihood
from corrosion.comparison.flushing.within import Rated


@dataclass(frozen=True)
class Part:
    """The share saved on some hulls, and its 95 % ends."""

    share: float
    low: float
    high: float


def share_on(verdict: Verdict, hull_ids: Sequence[str], zone: tzinfo) -> Part:
    """Return the share of these hulls' own salty engine-circuit wear that daily flushing saves.

    Parameters
    ----------
    verdict : Verdict with rates
    hull_ids : sequence of str
    zone : tzinfo, the fleet's time zone

    Returns
    -------
    Part
        Its low end is 0 where the fleet's is.
    """
    if verdict.believed is None:
        raise ValueError("a verdict without rates has no shares")
    ends = [_likelihood(rated, verdict, hull_ids, zone) for rated in _rated(verdict)]
    shares = [own.share_at(rated.params) for own, rated in zip(ends, _rated(verdict), strict=True)]
    likelihood = ends[1]
    peak = likelihood.top()
    spread = likelihood.spread(peak)
    own_ends = [
        likelihood.share_at(likelihood.end(peak, spread.critical(), spread.by_model, side))
        for side in (-1, 1)
    ]
    low = min(*shares, own_ends[0]) if verdict.low else 0.0
    return Part(shares[1], low, max(*shares, own_ends[1]))


def _rated(verdict: Verdict) -> tuple[Rated, Rated, Rated]:
    assert verdict.believed is not None  # the caller asked
    return verdict.believed.low, verdict.believed.middle, verdict.believed.high


def _likelihood(
    rated: Rated, verdict: Verdict, hull_ids: Sequence[str], zone: tzinfo
) -> ShareLikelihood:
    ledger = build_ledger(rated.fit, verdict.span, DAILY, zone)
    ours = np.asarray(rated.fit.exposure.hull_ids.isin(list(hull_ids)), dtype=float)
    return ShareLikelihood(rated.fit, replace(ledger, pace=ledger.pace * ours[:, None]))
