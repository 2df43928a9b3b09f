"""How fast each anode and hull wears beside its sisters, and which are surely not one of them.

Wear between looks is set beside what the usual anode of the same position and berth would have
lost in the same hours. Hulls differ by nature, and so do anodes; what is looked for is a pace that
this spread and the reading error cannot explain, or that a hull's own past cannot. Because many
anodes are looked at every week, the chance of calling one out by accident is shared out between
the looks of a month (Bonferroni's bound on the expected number of false calls), and a hull's
nature, which is drawn once, is judged once, on all its anodes so far.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import ndtr
from scipy.stats import pearson3

from corrosion.design import VERDICT
from corrosion.life import Fit
from corrosion.water import Codes, Floats

FALSE_A_MONTH = 0.4
"""False calls that 40 hulls may expect in 30 days, of hulls whose wear rose and of single anodes
alike; half as many of each kind."""
FALSE_STILL_A_MONTH = 0.4
"""False calls that 40 hulls may expect in 30 days of anodes that hardly wear: missing one costs a
casting, looking at a sound one a quarter of an hour."""
FALSE_BY_NATURE = 0.3
"""Hulls of 40 that may stand called out at any time only because they are fast by nature."""
MONTH_H = 720.0
WINDOWS = (1, 2, 3)
"""Wear since one, two and three looks ago is compared with the past before it."""
RISEN_RATIO, NATURE_RATIO, ALONE_RATIO, SLOW_RATIO = 1.6, 1.6, 2.2, 0.35
"""How far off a pace must be to matter, however sure it is: a hull's from its past; a hull's from
its sisters; one anode's from the hull's others, faster and slower."""
LEAST_HULL_SD, MOST_HULL_SD, LEAST_ANODE_SD = 0.15, 0.28, 0.15
"""Spreads between hulls and between anodes of one hull are never taken for less or more (hulls
differ by 20 to 25 %; a hull's two circuits are not equally fast; common practice, no source)."""
DRIFT = 0.15
"""By how much a hull's pace may stray from its own past for no reason (as above)."""
UNEVEN = 1.3
"""Reading error and the wander of wear are larger at the tails than in the middle that is fitted;
as in the forecast."""
FEW = 5
"""Hulls that make sisters at a berth or position: fewer are compared with the whole fleet."""
TWICE, TWICE_SLOW = 0.05, 0.15
"""A call must still stand, at this chance, without the anode or look that speaks loudest."""
LEAST_USUAL = 0.01
"""Share of the allowance under which usual wear says nothing about pace."""
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
    hulls : DataFrame, one row a hull, index its code: `pace` (all its anodes so far), `recent`
        (over up to three looks), `before` (until then), `sd` (of their difference), and
        `recent_outside`, `before_outside`, `sd_outside` (hull circuit alone); NaN where unknown
    """

    pace: Floats
    hull_pace: Floats
    fast: np.ndarray
    slow: np.ndarray
    by_hull: np.ndarray
    since_h: Floats
    hulls: pd.DataFrame


def paces(fit: Fit, lives: Codes, on_h: float) -> Paces:
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
    fleet = _centred(_fleet(fit))
    whole = _whole(fleet)
    hull = fit.model.design.hull[lives]
    long = _pooled(whole, fleet.hull, fleet)
    fleet_sd = _hull_spread(long, fit.results.evaluation.rates.hull_sd)
    base = _without_own(whole, long, fleet, fleet_sd, lives)
    levels = _levels(fleet, lives, hull, on_h)
    windows = [_window(fleet, back, lives) for back in WINDOWS]
    parts = [np.ones(hull.size, bool), fleet.outside[lives]]
    rises = [[_rise(fleet, w, lives, hull, p, fleet_sd) for w in windows] for p in parts]
    named = _fast_by_nature(whole, long, fleet, fleet_sd, levels.nature)[hull]
    risen = np.array([[_risen(r, levels.visits, hull) for r in row] for row in rises])
    span = _Span(*(part[lives] for part in whole.parts()))
    alone = _fast_alone(span, base, fleet, levels.looks)
    slow = np.array([_slow(s, base, fleet, levels.still) for s in (*windows[1:], span)])
    return _told(windows, span, named, risen, alone, slow, base, long, rises, hull)


@dataclass(frozen=True)
class _Fleet:
    """Sized looks of all lives, the start of each first, and where each life belongs."""

    looks: pd.DataFrame
    hull: Codes
    position: Codes
    outside: np.ndarray
    berth: Codes
    process: float
    anode_sd: float


@dataclass(frozen=True)
class _Span:
    """Wear of anodes over a span of looks, shape (k,); NaN where there is none.

    `gained` and `usual` are shares of the allowance, `variance` that of `gained`; the others end
    a look earlier. `since_h` is when the span began.
    """

    gained: Floats
    usual: Floats
    variance: Floats
    gained_earlier: Floats
    usual_earlier: Floats
    variance_earlier: Floats
    since_h: Floats

    def parts(self) -> tuple[Floats, ...]:
        """Return the columns, to be taken apart by rows."""
        return (
            self.gained, self.usual, self.variance,
            self.gained_earlier, self.usual_earlier, self.variance_earlier, self.since_h,
        )  # fmt: skip


@dataclass(frozen=True)
class _Pace:
    """A pace and its variance, for each hull or each anode."""

    mean: Floats
    variance: Floats


def _fleet(fit: Fit) -> _Fleet:
    design, found = fit.model.design, fit.results.evaluation
    at_h = fit.lives.looks["at_h"].to_numpy(float)[design.steps.order]
    sized = design.kind != VERDICT
    names = ["life", "worn", "clock", "error", "at_h"]
    values = [design.life, design.worn, found.clock, found.error, at_h]
    looks = pd.DataFrame({n: v[sized] for n, v in zip(names, values, strict=True)})
    error = design.start_error + (found.rates.reading_mm * design.start_caliper) ** 2
    start_h = fit.lives.lives["start_h"].to_numpy(float)[design.steps.lives]
    none = np.zeros(design.hull.size)
    values = [np.arange(design.hull.size), design.start_worn, none, error, start_h]
    starts = pd.DataFrame(dict(zip(names, values, strict=True)))
    both = pd.concat([starts, looks]) if len(looks) else starts
    last = fit.exposure.berths.drop_duplicates("hull", keep="last").set_index("hull")["mooring"]
    berth = last.reindex(np.arange(design.hulls)).fillna(-1).to_numpy(np.intp)
    outside = (fit.lives.lives["circuit"] == "hull").to_numpy(bool)[design.steps.lives]
    return _Fleet(
        both.sort_values(["life", "at_h"], kind="stable"), design.hull, design.position, outside,
        berth, found.rates.process_sd**2, max(found.rates.anode_sd, LEAST_ANODE_SD),
    )  # fmt: skip


def _centred(fleet: _Fleet) -> _Fleet:
    """Make the middle anode of each position, and the middle hull of each berth, the usual one.

    By medians, so that the odd ones, which the fit has partly followed, do not hide themselves.
    """
    whole = _whole(fleet)
    pace = whole.gained / whole.usual
    told = np.where(whole.usual > 10 * LEAST_USUAL, pace, np.nan)
    by_position = _middles(told, fleet.position)
    hulls = _pooled(whole, fleet.hull, fleet, by_position)
    known = np.where(hulls.variance < 0.06, hulls.mean, np.nan)
    by_berth = _middles(known, fleet.berth)[fleet.hull]
    scale = by_position * by_berth
    looks = fleet.looks.assign(clock=fleet.looks["clock"] * scale[fleet.looks["life"]])
    return _Fleet(
        looks, fleet.hull, fleet.position, fleet.outside, fleet.berth, fleet.process, fleet.anode_sd
    )


def _middles(values: Floats, group: Codes) -> Floats:
    """Return the median of each one's group, 1 where the group is too small, shape of `values`."""
    table = pd.Series(values).groupby(group).agg(["median", "count"])
    middle = table["median"].where(table["count"] >= FEW).fillna(1.0).clip(0.6, 1.6)
    return np.asarray(middle.reindex(group).to_numpy(float))


def _whole(fleet: _Fleet) -> _Span:
    """Return each life from its start to its last look, shape (all lives,)."""
    lives = np.arange(fleet.hull.size)
    grouped = fleet.looks.groupby("life", sort=False)
    first = grouped.head(1).set_index("life").reindex(lives)
    return _span(first, _nth(fleet.looks, 2, lives), _nth(fleet.looks, 1, lives), fleet.process)


def _window(fleet: _Fleet, back: int, lives: Codes) -> _Span:
    looks = fleet.looks
    first, before, last = (_nth(looks, n, lives) for n in (back + 1, 2, 1))
    return _span(first, before, last, fleet.process)


def _nth(looks: pd.DataFrame, back: int, lives: Codes) -> pd.DataFrame:
    """Return the look so many from the end of each life."""
    rows = pd.DataFrame(looks.groupby("life", sort=False).nth(-back))
    return rows.set_index("life").reindex(lives)


def _span(first: pd.DataFrame, before: pd.DataFrame, last: pd.DataFrame, process: float) -> _Span:
    whole, earlier = _between(first, last, process), _between(first, before, process)
    return _Span(*whole, *earlier, np.where(np.isnan(whole[0]), np.nan, first["at_h"]))


def _between(
    first: pd.DataFrame, last: pd.DataFrame, process: float
) -> tuple[Floats, Floats, Floats]:
    gained = (last["worn"] - first["worn"]).to_numpy(float)
    usual = (last["clock"] - first["clock"]).to_numpy(float)
    error = (last["error"] + first["error"]).to_numpy(float)
    variance = UNEVEN * (error + process * np.maximum(usual, gained)) + 1e-9
    usable = (last["at_h"] > first["at_h"]).to_numpy(bool) & (usual > LEAST_USUAL)
    columns = [np.where(usable, part, np.nan) for part in (gained, usual, variance)]
    return columns[0], columns[1], columns[2]


def _pooled(
    span: _Span, hull: Codes, fleet: _Fleet, scale: Floats | float = 1.0, only: Floats | float = 1.0
) -> _Pace:
    """Return the pace of each hull, all its anodes together; endless variance where unknown."""
    known = ~np.isnan(span.gained)
    usual = np.where(known, span.usual, 1.0) * scale
    pace = np.where(known, span.gained, 0.0) / usual
    weight = only * known / (np.where(known, span.variance, 1.0) / usual**2 + fleet.anode_sd**2)
    total = np.bincount(hull, weight, minlength=fleet.berth.size)
    mean = np.bincount(hull, weight * pace, minlength=fleet.berth.size) / np.maximum(total, 1e-12)
    return _Pace(mean, np.where(total > 0, 1 / np.maximum(total, 1e-12), np.inf))


def _hull_spread(long: _Pace, fitted: float) -> float:
    """Return the spread between hulls by the middle ones, so that odd hulls do not widen it."""
    known = long.variance < 0.06
    robust = 1.4826 * float(np.median(np.abs(long.mean[known] - 1.0))) if known.any() else fitted
    enough = known.sum() >= 2 * FEW
    return float(np.clip(min(fitted, robust if enough else fitted), LEAST_HULL_SD, MOST_HULL_SD))


def _shrunk(pace: _Pace, hull_sd: float) -> _Pace:
    """Return paces drawn towards the usual one as far as they are not known."""
    variance = 1 / (1 / hull_sd**2 + 1 / pace.variance)
    mean = 1.0 + variance * (np.where(np.isfinite(pace.variance), pace.mean, 1.0) - 1.0) / (
        pace.variance
    )
    return _Pace(np.maximum(mean, 0.3), variance)


def _without_own(whole: _Span, long: _Pace, fleet: _Fleet, hull_sd: float, lives: Codes) -> _Pace:
    """Return what the hull's other anodes say of its pace, for each of the lives."""
    hull, total = fleet.hull[lives], 1 / long.variance
    known = ~np.isnan(whole.gained[lives])
    usual = np.where(known, whole.usual[lives], 1.0)
    spread = np.where(known, whole.variance[lives], np.inf) / usual**2 + fleet.anode_sd**2
    pace = np.where(known, whole.gained[lives], 0.0) / usual
    rest = np.maximum(total[hull] - 1 / spread, 1e-9)
    mean = (total[hull] * long.mean[hull] - pace / spread) / rest
    return _shrunk(_Pace(mean, 1 / rest), hull_sd)


@dataclass(frozen=True)
class _Levels:
    """Chance by accident under which one comparison counts."""

    nature: float
    visits: float
    looks: float
    still: float


def _levels(fleet: _Fleet, lives: Codes, hull: Codes, on_h: float) -> _Levels:
    """Share the false calls that are put up with out between the comparisons of a month."""
    hulls = len(np.unique(hull))
    looks = fleet.looks[fleet.looks["life"].isin(lives)]
    recent = looks[looks["at_h"] > on_h - MONTH_H]
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
    whole: _Span, long: _Pace, fleet: _Fleet, hull_sd: float, level: float
) -> np.ndarray:
    """Tell which hulls, by all their anodes so far, are faster than hulls are by nature."""
    left = _less(whole, fleet.hull, fleet, np.ones(fleet.hull.size))
    sure = _natural(long, hull_sd) < level
    return sure & (_natural(left, hull_sd) < TWICE) & (long.mean > NATURE_RATIO)


def _less(span: _Span, hull: Codes, fleet: _Fleet, part: Floats) -> _Pace:
    """Return each hull's pace without its loudest anode; of a lone anode, without its last look."""
    own = _Span(*(np.where(part > 0, column, np.nan) for column in span.parts()))
    left = _pooled(own, hull, fleet, only=_but_loudest(own, hull, fleet))
    size = fleet.berth.size
    anodes = np.bincount(hull, ~np.isnan(own.gained), minlength=size)
    earlier = _Span(*own.parts()[3:6], *own.parts()[3:])
    lone = _pooled(earlier, hull, fleet)
    alone = anodes == 1
    return _Pace(
        np.where(alone, lone.mean, left.mean), np.where(alone, lone.variance, left.variance)
    )


def _but_loudest(span: _Span, hull: Codes, fleet: _Fleet) -> Floats:
    """Return 0 for the anode that pulls its hull up the most, 1 for the others."""
    usual = np.where(np.isnan(span.usual), 1.0, span.usual)
    excess = np.where(np.isnan(span.gained), -np.inf, span.gained / usual - 1.0)
    pull = np.where(np.isfinite(excess), excess, 0.0) / (
        np.where(np.isnan(span.variance), 1.0, span.variance) / usual**2 + fleet.anode_sd**2
    )
    pull = np.where(np.isfinite(excess), pull, -np.inf)
    others = np.ones(hull.size)
    # one of two that are alike is enough
    others[pd.Series(pull).groupby(hull).idxmax().to_numpy(np.intp)] = 0.0
    return others


def _natural(pace: _Pace, hull_sd: float) -> Floats:
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

    recent: _Pace
    left: _Pace
    before: _Pace
    pace: Floats  # of each anode asked for, in the window
    part: np.ndarray


def _rise(
    fleet: _Fleet, window: _Span, lives: Codes, hull: Codes, part: np.ndarray, hull_sd: float
) -> _Rise:
    recent = _pooled(window, hull, fleet, only=part.astype(float))
    left = _less(window, hull, fleet, part.astype(float))
    since = pd.Series(window.since_h).groupby(hull).median().reindex(np.arange(fleet.berth.size))
    cut = since.fillna(np.inf).to_numpy(float) + 12.0
    looks = fleet.looks[fleet.looks["at_h"] <= cut[fleet.hull[fleet.looks["life"]]]]
    every = np.arange(fleet.hull.size)
    first = looks.groupby("life", sort=False).head(1).set_index("life").reindex(every)
    last = _nth(looks, 1, every)
    past = _span(first, last, last, fleet.process)
    kind = np.ones(every.size) if part.all() else fleet.outside.astype(float)
    before = _shrunk(_pooled(past, fleet.hull, fleet, only=kind), hull_sd)
    return _Rise(recent, left, before, window.gained / window.usual, part)


def _risen(rise: _Rise, level: float, hull: Codes) -> np.ndarray:
    """Tell which anodes belong to a hull that now wears plainly faster than it did."""
    recent, before = rise.recent, rise.before

    def chance(now: _Pace) -> Floats:
        apart = np.sqrt(now.variance + before.variance + (DRIFT * before.mean) ** 2)
        return np.asarray(ndtr((before.mean - now.mean) / apart))

    rose = (chance(recent) < level) & (chance(rise.left) < TWICE)
    rose &= (recent.mean > RISEN_RATIO * before.mean) & (recent.mean > CLEARLY_FAST)
    return np.asarray(rose[hull] & rise.part & (rise.pace > CLEARLY_FAST))


def _slow(span: _Span, base: _Pace, fleet: _Fleet, level: float) -> np.ndarray:
    whole = _below(span.gained, span.usual, span.variance, base, fleet)
    earlier = _below(span.gained_earlier, span.usual_earlier, span.variance_earlier, base, fleet)
    pace = span.gained / (base.mean * span.usual)
    return np.asarray((whole < level) & (earlier < TWICE_SLOW) & (pace < SLOW_RATIO))


def _fast_alone(span: _Span, base: _Pace, fleet: _Fleet, level: float) -> np.ndarray:
    whole = _below(span.gained, span.usual, span.variance, base, fleet)
    earlier = _below(span.gained_earlier, span.usual_earlier, span.variance_earlier, base, fleet)
    pace = span.gained / (base.mean * span.usual)
    return np.asarray((1 - whole < level) & (1 - earlier < TWICE) & (pace > ALONE_RATIO))


def _below(gained: Floats, usual: Floats, variance: Floats, base: _Pace, fleet: _Fleet) -> Floats:
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
    windows: list[_Span], whole: _Span, named: np.ndarray, risen: np.ndarray, alone: np.ndarray,
    slow: np.ndarray, base: _Pace, long: _Pace, rises: list[list[_Rise]], hull: Codes,
) -> Paces:  # fmt: skip
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
    return Paces(
        pace, base.mean, fast, hardly, by_hull,
        np.where(np.isfinite(since), since, np.nan), _hulls(long, rises),
    )  # fmt: skip


def _hulls(long: _Pace, rises: list[list[_Rise]]) -> pd.DataFrame:
    everything, outside = (_widest(row) for row in rises)
    pace = np.where(np.isfinite(long.variance), long.mean, np.nan)
    columns = {f"{name}_outside": column for name, column in outside.items()}
    return pd.DataFrame({"pace": pace, **everything, **columns})


def _widest(rises: list[_Rise]) -> dict[str, Floats]:
    """Return each hull's pace lately and before by the longest window that it has looks for."""
    recent = np.full(rises[0].recent.mean.size, np.nan)
    before, sd = recent.copy(), recent.copy()
    for rise in rises:
        known = np.isfinite(rise.recent.variance)
        recent = np.where(known, rise.recent.mean, recent)
        before = np.where(known, rise.before.mean, before)
        sd = np.where(known, np.sqrt(rise.recent.variance + rise.before.variance), sd)
    return {"recent": recent, "before": before, "sd": sd}
