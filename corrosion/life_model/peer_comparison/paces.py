"""Which anodes and hulls are surely not like their sisters; the comparisons and their levels."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import ndtr
from scipy.stats import pearson3

from corrosion.common import Codes, Floats
from corrosion.life_model.fitting import Fit
from corrosion.life_model.peer_comparison.idle import idle_log_odds
from corrosion.life_model.peer_comparison.rises import rises
from corrosion.life_model.peer_comparison.spans import (
    FleetLooks,
    Pace,
    Span,
    centred,
    fleet_looks,
    hull_spread,
    last_looks,
    pace_of,
    past_of,
    pooled,
    whole_lives,
    without_loudest,
    without_own,
)

FALSE_A_MONTH = 0.4
"""False calls that 40 hulls may expect in 30 days, of hulls whose wear rose and of single anodes
alike; half as many of each kind."""
FALSE_STILL_A_MONTH = 0.4
"""False calls that 40 hulls may expect in 30 days of anodes that hardly wear: missing one costs a
casting, looking at a sound one a quarter of an hour."""
FALSE_BY_NATURE = 0.3
"""Hulls of 40 that may stand called out at any time only because they are fast by nature."""
RECENT_H = 720.0
WINDOWS = (1, 2, 3)
"""Wear since one, two and three looks ago is compared with the past before it."""
RISEN_RATIO, NATURE_RATIO, ALONE_RATIO, SLOW_RATIO = 1.6, 1.6, 2.2, 0.35
"""How far off a pace must be to matter, however sure it is: a hull's from its past; a hull's from
its sisters; one anode's from the hull's others, faster and slower."""
DRIFT = 0.15
"""By how much a hull's pace may stray from its own past for no reason (as above)."""
TWICE, TWICE_SLOW = 0.05, 0.15
"""A call must still stand, at this chance, without the anode or look that speaks loudest."""
CLEARLY_FAST = 1.25


@dataclass(frozen=True)
class Paces:
    """Anodes in service beside their sisters, row-aligned with the lives asked for.

    Attributes
    ----------
    pace : ndarray, shape (k,), wear over up to three looks against its sisters', NaN unknown
    hull_pace : ndarray, shape (k,), the pace of the hull's other anodes
    fast, slow : ndarray of bool, shape (k,), surely faster than its sisters; hardly wearing
    by_hull : ndarray of bool, shape (k,), the hull is fast, not this anode alone
    since_h : ndarray, shape (k,), hours since 1970 from which on it shows; NaN where not odd
    idle_log_odds : ndarray, shape (k,), log of how much more likely the looks are if the anode
        hardly wears than if it wears like the hull's others; 0 where no look tells
    hulls : DataFrame, one row a hull, index its code: `latest` (pace since the look before the
        last), `before_latest` (until then), `sd_latest` (of their difference); each with
        `_outside` behind it for the hull circuit alone; NaN where unknown
    rises : DataFrame, as `corrosion.life_model.peer_comparison.rises.rises`
    """

    pace: Floats
    hull_pace: Floats
    fast: np.ndarray
    slow: np.ndarray
    by_hull: np.ndarray
    since_h: Floats
    idle_log_odds: Floats
    hulls: pd.DataFrame
    rises: pd.DataFrame


def compare_paces(fit: Fit, lives: Codes, on_h: float) -> Paces:
    """Set anodes in service beside their sisters.

    Parameters
    ----------
    fit : Fit
    lives : ndarray of int, shape (k,), places of lives in the filter
    on_h : float, the moment of the report, hours since 1970

    Returns
    -------
    Paces
    """
    fleet = centred(fleet_looks(fit))
    whole = whole_lives(fleet)
    hull = fit.model.design.hull[lives]
    long = pooled(whole, fleet.hull, fleet)
    fleet_sd = hull_spread(long, fit.results.evaluation.rates.hull_sd)
    base = without_own(whole, long, fleet, fleet_sd, lives)
    levels = _levels(fleet, lives, hull, on_h)
    windows = [last_looks(fleet, back, lives) for back in WINDOWS]
    parts = [np.ones(hull.size, bool), fleet.outside[lives]]
    pasts = [_past_before(fleet, window, hull) for window in windows]
    by_window = [
        [_rise(fleet, *both, hull, p, fleet_sd) for both in zip(windows, pasts, strict=True)]
        for p in parts
    ]
    named = _fast_by_nature(whole, long, fleet, fleet_sd, levels.nature)[hull]
    risen = np.array([[_risen(r, levels.visits, hull) for r in row] for row in by_window])
    span = Span(*(part[lives] for part in whole.parts()))
    alone = _fast_alone(span, base, fleet, levels.looks)
    slow = np.array([_slow(s, base, fleet, levels.still) for s in (*windows[1:], span)])
    idle = idle_log_odds(windows[1:], base, fleet, lives)
    told = _told(windows, span, named, risen, alone, slow, base, idle)
    return Paces(*told, _hulls(by_window), rises(fleet, lives, on_h, fleet_sd))


@dataclass(frozen=True)
class _Levels:
    """Chance by accident under which one comparison counts."""

    nature: float
    visits: float
    looks: float
    still: float


def _levels(fleet: FleetLooks, lives: Codes, hull: Codes, on_h: float) -> _Levels:
    """Share the false calls that are put up with out between the comparisons of a month."""
    hulls = len(np.unique(hull))
    looks = fleet.looks[fleet.looks["life"].isin(lives)]
    recent = looks[looks["at_h"] > on_h - RECENT_H]
    seen = pd.DataFrame(
        {"hull": fleet.hull[recent["life"]], "day": (recent["at_h"] // 24).to_numpy()}
    ).drop_duplicates()
    fleet_share = max(hulls, 8) / 40
    budget = FALSE_A_MONTH / 2 * fleet_share
    # a quiet month makes nobody less careful: at least a look in two months is counted
    visits, looked = max(len(seen), hulls // 2, 1), max(len(recent), lives.size // 2, 1)
    nature = FALSE_BY_NATURE / 40
    # an anode's few spans overlap: they are as good as one comparison
    still = FALSE_STILL_A_MONTH * fleet_share / looked
    return _Levels(nature, budget / (2 * len(WINDOWS) * visits), budget / looked, still)


def _fast_by_nature(
    whole: Span, long: Pace, fleet: FleetLooks, hull_sd: float, level: float
) -> np.ndarray:
    """Tell which hulls, by all their anodes so far, are faster than hulls are by nature."""
    left = without_loudest(whole, fleet.hull, fleet, np.ones(fleet.hull.size))
    sure = natural(long, hull_sd) < level
    return sure & (natural(left, hull_sd) < TWICE) & (long.mean > NATURE_RATIO)


def natural(pace: Pace, hull_sd: float) -> Floats:
    """Return the chance that a hull of the fleet shows at least this pace, 1 where not known.

    Hulls follow a gamma law of mean 1; the reading noise is added by matching the first three
    moments (Pearson's type III).
    """
    known = np.isfinite(pace.variance)
    variance = hull_sd**2 + np.where(known, pace.variance, 1.0)
    skew = 2 * hull_sd**4 / variance**1.5
    chance = pearson3.sf((pace.mean - 1.0) / np.sqrt(variance), skew)
    return np.asarray(np.where(known, chance, 1.0))


@dataclass(frozen=True)
class _Rise:
    """A hull's pace in a window beside that before it, and without its loudest anode."""

    recent: Pace
    left: Pace
    before: Pace
    pace: Floats  # of each anode asked for, in the window
    part: np.ndarray


def _past_before(fleet: FleetLooks, window: Span, hull: Codes) -> Span:
    """Return each life over its looks until the window of its hull began."""
    since = pd.Series(window.since_h).groupby(hull).median().reindex(np.arange(fleet.berth.size))
    cut = since.fillna(np.inf).to_numpy(float) + 12.0
    return past_of(fleet, fleet.until(np.asarray(cut[fleet.hull], dtype=np.float64)))


def _rise(
    fleet: FleetLooks, window: Span, past: Span, hull: Codes, part: np.ndarray, hull_sd: float
) -> _Rise:
    recent = pooled(window, hull, fleet, only=part.astype(float))
    left = without_loudest(window, hull, fleet, part.astype(float))
    kind = np.ones(fleet.hull.size) if part.all() else fleet.outside.astype(float)
    before = pace_of(past, fleet, kind, hull_sd)
    return _Rise(recent, left, before, window.gained / window.usual, part)


def _risen(rise: _Rise, level: float, hull: Codes) -> np.ndarray:
    """Tell which anodes belong to a hull that now wears plainly faster than it did."""
    recent, before = rise.recent, rise.before

    def chance(now: Pace) -> Floats:
        apart = np.sqrt(now.variance + before.variance + (DRIFT * before.mean) ** 2)
        return np.asarray(ndtr((before.mean - now.mean) / apart))

    rose = (chance(recent) < level) & (chance(rise.left) < TWICE)
    rose &= (recent.mean > RISEN_RATIO * before.mean) & (recent.mean > CLEARLY_FAST)
    return np.asarray(rose[hull] & rise.part & (rise.pace > CLEARLY_FAST))


def _slow(span: Span, base: Pace, fleet: FleetLooks, level: float) -> np.ndarray:
    whole = _below(span.gained, span.usual, span.variance, base, fleet)
    earlier = _below(span.gained_earlier, span.usual_earlier, span.variance_earlier, base, fleet)
    pace = span.gained / (base.mean * span.usual)
    return np.asarray((whole < level) & (earlier < TWICE_SLOW) & (pace < SLOW_RATIO))


def _fast_alone(span: Span, base: Pace, fleet: FleetLooks, level: float) -> np.ndarray:
    whole = _below(span.gained, span.usual, span.variance, base, fleet)
    earlier = _below(span.gained_earlier, span.usual_earlier, span.variance_earlier, base, fleet)
    pace = span.gained / (base.mean * span.usual)
    return np.asarray((1 - whole < level) & (1 - earlier < TWICE) & (pace > ALONE_RATIO))


def _below(
    gained: Floats, usual: Floats, variance: Floats, base: Pace, fleet: FleetLooks
) -> Floats:
    """Return the chance that an anode of this hull gains no more than that, NaN where unknown.

    Its pace follows a gamma law about its hull's; reading noise is added by moments.
    """
    natural = base.variance + (fleet.anode_sd * base.mean) ** 2
    spread = natural + variance / usual**2
    skew = 2 * natural**2 / base.mean / spread**1.5
    known = ~np.isnan(spread)
    z = np.where(known, (gained / usual - base.mean) / np.sqrt(spread), 0.0)
    chance = pearson3.cdf(z, np.where(known, skew, 0.1))
    return np.asarray(np.where(known, chance, np.nan))


def _told(
    windows: list[Span], whole: Span, named: np.ndarray, risen: np.ndarray, alone: np.ndarray,
    slow: np.ndarray, base: Pace, idle: Floats,
) -> tuple[Floats, Floats, np.ndarray, np.ndarray, np.ndarray, Floats, Floats]:  # fmt: skip
    pace = whole.gained / whole.usual
    for window in windows:
        pace = np.where(np.isnan(window.gained), pace, window.gained / window.usual)
    named = named & ((pace > CLEARLY_FAST) | (whole.gained / whole.usual > CLEARLY_FAST))
    by_hull = named | risen.any(axis=(0, 1))
    fast = by_hull | alone
    hardly = slow.any(axis=0) & ~fast
    began = [np.where(risen[:, n].any(axis=0), w.since_h, np.inf) for n, w in enumerate(windows)]
    began += [np.where(named | alone | hardly, whole.since_h, np.inf)]
    since = np.min(began, axis=0)
    return (
        pace, base.mean, fast, hardly, by_hull,
        np.where(np.isfinite(since), since, np.nan), idle,
    )  # fmt: skip


def _hulls(by_window: list[list[_Rise]]) -> pd.DataFrame:
    everything, outside = (_latest(row[0]) for row in by_window)
    columns = {f"{name}_outside": column for name, column in outside.items()}
    return pd.DataFrame({**everything, **columns})


def _latest(rise: _Rise) -> dict[str, Floats]:
    """Return each hull's pace since the look before the last, and that before it."""
    known = np.isfinite(rise.recent.variance)
    columns = {
        "latest": rise.recent.mean,
        "before_latest": rise.before.mean,
        "sd_latest": np.sqrt(np.where(known, rise.recent.variance, 0.0) + rise.before.variance),
    }
    return {name: np.where(known, column, np.nan) for name, column in columns.items()}
