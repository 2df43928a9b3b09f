"""Wear over spans of looks beside what sisters would have lost, pooled by hull."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd
from pandas.api.extensions import take

from corrosion.common import Codes, Floats
from corrosion.life_model.design import VERDICT
from corrosion.life_model.fitting import Fit

LEAST_HULL_SD, MOST_HULL_SD, LEAST_ANODE_SD = 0.15, 0.28, 0.15
"""Spreads between hulls and between anodes of one hull are never taken for less or more (hulls
differ by 20 to 25 %; a hull's two circuits are not equally fast; common practice, no source)."""
UNEVEN = 1.3
"""Wear between two looks comes more unevenly than a normal walk fitted to the middle of the looks
says (outliers are held back in the fit); measured on simulated fleets of other physics."""
FEW = 5
"""Hulls that make sisters at a berth or position: fewer are compared with the whole fleet."""
LEAST_USUAL = 0.01
"""Share of the allowance under which usual wear says nothing about pace."""

LOOK_COLUMNS = ("worn", "clock", "error", "at_h")
NOWHERE = -1


@dataclass(frozen=True)
class FleetLooks:
    """Sized looks of all lives, the start of each first, and where each life belongs."""

    looks: pd.DataFrame
    hull: Codes
    position: Codes
    outside: np.ndarray
    berth: Codes
    process: float
    anode_sd: float

    @cached_property
    def bounds(self) -> Codes:
        """Return where the looks of each life begin, and where the last ends, shape (lives + 1,).

        Looks stand in the order of their lives and of time, so places in them are all it takes.
        """
        life = self.looks["life"].to_numpy(np.intp)
        return np.searchsorted(life, np.arange(self.hull.size + 1))

    def until(self, at_h: Floats | float) -> Codes:
        """Return where the looks of each life end that were taken until a moment, shape (lives,).

        `at_h` is one moment, or one for each life; hours since 1970.
        """
        begin = self.bounds[:-1]
        limit = np.repeat(np.broadcast_to(at_h, begin.shape), np.diff(self.bounds))
        counted = np.append(0, np.cumsum(self.looks["at_h"].to_numpy(float) <= limit))
        return np.asarray(begin + counted[self.bounds[1:]] - counted[begin])

    def at(self, places: Codes, there: np.ndarray) -> pd.DataFrame:
        """Return the looks at some places, unknown where there is none."""
        return pd.DataFrame(
            {
                name: take(
                    self.looks[name].to_numpy(float),
                    np.where(there, places, NOWHERE),
                    allow_fill=True,
                )
                for name in LOOK_COLUMNS
            }
        )


@dataclass(frozen=True)
class Span:
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
class Pace:
    """A pace and its variance, for each hull or each anode."""

    mean: Floats
    variance: Floats


def fleet_looks(fit: Fit) -> FleetLooks:
    """Gather the sized looks of every life that the fit knows, starts first."""
    design, evaluation = fit.model.design, fit.results.evaluation
    at_h = fit.lives.looks["at_h"].to_numpy(float)[design.steps.order]
    sized = design.kind != VERDICT
    names = ["life", *LOOK_COLUMNS]
    values = [design.life, design.worn, evaluation.clock, evaluation.error, at_h]
    looks = pd.DataFrame({n: v[sized] for n, v in zip(names, values, strict=True)})
    error = design.start_error + (evaluation.rates.reading_mm * design.start_caliper) ** 2
    start_h = fit.lives.lives["start_h"].to_numpy(float)[design.steps.lives]
    none = np.zeros(design.hull.size)
    values = [np.arange(design.hull.size), design.start_worn, none, error, start_h]
    starts = pd.DataFrame(dict(zip(names, values, strict=True)))
    both = pd.concat([starts, looks]) if len(looks) else starts
    last = fit.exposure.berths.drop_duplicates("hull", keep="last").set_index("hull")["mooring"]
    berth = last.reindex(np.arange(design.hulls)).fillna(-1).to_numpy(np.intp)
    outside = (fit.lives.lives["circuit"] == "hull").to_numpy(bool)[design.steps.lives]
    return FleetLooks(
        both.sort_values(["life", "at_h"], kind="stable"), design.hull, design.position, outside,
        berth, evaluation.rates.process_sd**2, max(evaluation.rates.anode_sd, LEAST_ANODE_SD),
    )  # fmt: skip


def centred(fleet: FleetLooks) -> FleetLooks:
    """Make the middle anode of each position, and the middle hull of each berth, the usual one.

    By medians, so that the odd ones, which the fit has partly followed, do not hide themselves.
    """
    whole = whole_lives(fleet)
    pace = whole.gained / whole.usual
    comparable = np.where(whole.usual > 10 * LEAST_USUAL, pace, np.nan)
    by_position = middles(comparable, fleet.position)
    hulls = pooled(whole, fleet.hull, fleet, by_position)
    known = np.where(hulls.variance < 0.06, hulls.mean, np.nan)
    by_berth = middles(known, fleet.berth)[fleet.hull]
    scale = by_position * by_berth
    looks = fleet.looks.assign(clock=fleet.looks["clock"] * scale[fleet.looks["life"]])
    return FleetLooks(
        looks, fleet.hull, fleet.position, fleet.outside, fleet.berth, fleet.process, fleet.anode_sd
    )


def middles(values: Floats, group: Codes) -> Floats:
    """Return the median of each one's group, 1 where the group is too small, shape of `values`."""
    table = pd.Series(values).groupby(group).agg(["median", "count"])
    middle = table["median"].where(table["count"] >= FEW).fillna(1.0).clip(0.6, 1.6)
    return np.asarray(middle.reindex(group).to_numpy(float))


def whole_lives(fleet: FleetLooks) -> Span:
    """Return each life from its start to its last look, shape (all lives,)."""
    begin, end = fleet.bounds[:-1], fleet.bounds[1:]
    first = fleet.at(begin, begin < end)
    before, last = (fleet.at(end - back, end - back >= begin) for back in (2, 1))
    return span_between(first, before, last, fleet.process)


def last_looks(fleet: FleetLooks, back: int, lives: Codes) -> Span:
    """Return each life over its last so many looks."""
    begin, end = fleet.bounds[lives], fleet.bounds[lives + 1]
    first, before, last = (fleet.at(end - n, end - n >= begin) for n in (back + 1, 2, 1))
    return span_between(first, before, last, fleet.process)


def span_between(
    first: pd.DataFrame, before: pd.DataFrame, last: pd.DataFrame, process: float
) -> Span:
    """Return the wear between two looks, and between the first and the look before the last."""
    whole, earlier = _between(first, last, process), _between(first, before, process)
    return Span(*whole, *earlier, np.where(np.isnan(whole[0]), np.nan, first["at_h"]))


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


def pooled(
    span: Span,
    hull: Codes,
    fleet: FleetLooks,
    scale: Floats | float = 1.0,
    only: Floats | float = 1.0,
) -> Pace:
    """Return the pace of each hull, all its anodes together; endless variance where unknown."""
    known = ~np.isnan(span.gained)
    usual = np.where(known, span.usual, 1.0) * scale
    pace = np.where(known, span.gained, 0.0) / usual
    weight = only * known / (np.where(known, span.variance, 1.0) / usual**2 + fleet.anode_sd**2)
    total = np.bincount(hull, weight, minlength=fleet.berth.size)
    mean = np.bincount(hull, weight * pace, minlength=fleet.berth.size) / np.maximum(total, 1e-12)
    return Pace(mean, np.where(total > 0, 1 / np.maximum(total, 1e-12), np.inf))


def past_of(fleet: FleetLooks, until: Codes) -> Span:
    """Return each life over its first looks, until some place in them, shape (lives,)."""
    begin = fleet.bounds[:-1]
    seen = begin < until
    first, last = fleet.at(begin, seen), fleet.at(until - 1, seen)
    return span_between(first, last, last, fleet.process)


def pace_of(past: Span, fleet: FleetLooks, part: Floats, hull_sd: float) -> Pace:
    """Return the pace of each hull over its past, drawn towards the usual one.

    `part` is 1 for the lives that count, 0 for others.
    """
    return shrunk(pooled(past, fleet.hull, fleet, only=part), hull_sd)


def hull_spread(long: Pace, fitted: float) -> float:
    """Return the spread between hulls by the middle ones, so that odd hulls do not widen it."""
    known = long.variance < 0.06
    robust = 1.4826 * float(np.median(np.abs(long.mean[known] - 1.0))) if known.any() else fitted
    enough = known.sum() >= 2 * FEW
    return float(np.clip(min(fitted, robust if enough else fitted), LEAST_HULL_SD, MOST_HULL_SD))


def shrunk(pace: Pace, hull_sd: float) -> Pace:
    """Return paces drawn towards the usual one as far as they are not known."""
    variance = 1 / (1 / hull_sd**2 + 1 / pace.variance)
    mean = 1.0 + variance * (np.where(np.isfinite(pace.variance), pace.mean, 1.0) - 1.0) / (
        pace.variance
    )
    return Pace(np.maximum(mean, 0.3), variance)


def without_own(whole: Span, long: Pace, fleet: FleetLooks, hull_sd: float, lives: Codes) -> Pace:
    """Return what the hull's other anodes say of its pace, for each of the lives."""
    hull, total = fleet.hull[lives], 1 / long.variance
    known = ~np.isnan(whole.gained[lives])
    usual = np.where(known, whole.usual[lives], 1.0)
    spread = np.where(known, whole.variance[lives], np.inf) / usual**2 + fleet.anode_sd**2
    pace = np.where(known, whole.gained[lives], 0.0) / usual
    rest = np.maximum(total[hull] - 1 / spread, 1e-9)
    mean = (total[hull] * long.mean[hull] - pace / spread) / rest
    return shrunk(Pace(mean, 1 / rest), hull_sd)


def without_loudest(span: Span, hull: Codes, fleet: FleetLooks, part: Floats) -> Pace:
    """Return each hull's pace without its loudest anode; of a lone anode, without its last look."""
    own = Span(*(np.where(part > 0, column, np.nan) for column in span.parts()))
    left = pooled(own, hull, fleet, only=_but_loudest(own, hull, fleet))
    size = fleet.berth.size
    anodes = np.bincount(hull, ~np.isnan(own.gained), minlength=size)
    earlier = Span(*own.parts()[3:6], *own.parts()[3:])
    lone = pooled(earlier, hull, fleet)
    alone = anodes == 1
    return Pace(
        np.where(alone, lone.mean, left.mean), np.where(alone, lone.variance, left.variance)
    )


def _but_loudest(span: Span, hull: Codes, fleet: FleetLooks) -> Floats:
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
