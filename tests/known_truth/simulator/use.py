"""What is done with a hull: outings, rinses and bookings, in hours since the start."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from demo_fleet.clock import SEASONS_TURN_DAYS

from .craft import Hull
from .physics import Floats
from .plans import BRACKISH, FRESH, SALT, Plan
from .waters import Mooring

REST_H = 21 * 24.0
SLOTS_H = np.array([9.0, 12.75, 16.5])
OUTING_CHANCE = 0.36  # of one slot, on a high-season day, for a hull in average demand
BOOKED_SHARE = 0.88
CANCELLED_SHARE = 0.05
EXCURSION_SHARE = 0.03  # a brackish hull runs out to sea


@dataclass(frozen=True)
class Use:
    """One hull's outings (sorted, apart from one another) and rinses."""

    start_h: Floats
    end_h: Floats
    engine_h: Floats
    water: NDArray[np.int64]
    mooring: NDArray[np.int64]
    last_of_day: NDArray[np.bool_]
    flush_h: Floats  # rinses that were done
    not_flushed_h: Floats  # moments when somebody wrote down that none was done
    not_flushed_why: list[str]
    booking_start_h: Floats
    booking_end_h: Floats
    booking_engine_h: Floats
    booking_taken_h: Floats  # when the hire was booked; -inf: long before
    flush_minutes: Floats | None = None  # where a short rinse leaves salt behind


def berth_at(hull: Hull, time_h: Floats) -> NDArray[np.int64]:
    """Which of the hull's berths holds at each time."""
    since = np.array([berth.since_h for berth in hull.berths])
    return np.maximum(np.searchsorted(since, time_h, side="right") - 1, 0)


def draw_use(
    hull: Hull, plan: Plan, moorings: list[Mooring], activity: Floats, rng: np.random.Generator
) -> Use:
    """Draw everything that is done with one hull; `activity` is the season's pull, by day."""
    day, slot = _slots(hull, activity, rng)
    start = day * 24 + SLOTS_H[slot] + _minutes(rng.uniform(0, 0.8, len(day)))
    end = start + _minutes(np.clip(rng.normal(2.05, 0.3, len(day)), 0.8, 2.7))
    engine = (end - start) * np.clip(rng.normal(0.86, 0.05, len(day)), 0.5, 0.99)
    berth = berth_at(hull, start)
    mooring = np.array([each.mooring for each in hull.berths])[berth]
    water = np.array([each.water for each in moorings])[mooring]
    out_to_sea = (water == BRACKISH) & (rng.random(len(day)) < EXCURSION_SHARE)
    water = np.where(out_to_sea, SALT, water)
    last = np.append(day[1:] != day[:-1], True)[: len(day)]
    able = np.array([not each.afloat for each in hull.berths])[berth] | hull.can_flush_afloat
    flush, refused, why = _flushes(hull, start, end, water, last, able, rng)
    booked = _bookings(hull, plan, start, end, rng, len(activity))
    return Use(start, end, engine, water, mooring, last, flush, refused, why, *booked)


def rested(uses: list[Use], plan: Plan) -> list[Use]:
    """Let the plan's first hulls lie still for three weeks: no outing, no rinse, no hire."""
    first = int(plan.days * plan.laid_up_from) * 24.0
    stretch = (first, first + REST_H)
    return [_rested(u, stretch) if i < plan.laid_up else u for i, u in enumerate(uses)]


def _rested(use: Use, stretch: tuple[float, float]) -> Use:
    def outside(at_h: Floats) -> NDArray[np.bool_]:
        return ~((at_h >= stretch[0]) & (at_h < stretch[1]))

    fields = {}
    for key, names in _TOGETHER.items():
        keep = outside(getattr(use, key))
        fields |= {name: getattr(use, name)[keep] for name in names}
    refused = outside(use.not_flushed_h)
    why = [w for w, keep in zip(use.not_flushed_why, refused, strict=True) if keep]
    return replace(use, **fields, not_flushed_h=use.not_flushed_h[refused], not_flushed_why=why)


_TOGETHER = {
    "start_h": ("start_h", "end_h", "engine_h", "water", "mooring", "last_of_day"),
    "flush_h": ("flush_h",),
    "booking_start_h": (
        *("booking_start_h", "booking_end_h", "booking_engine_h", "booking_taken_h"),
    ),
}


def season(day_of_year: int, weekday: int, days: int, winter: float) -> Floats:
    """Pull of the season on each day: 1 in high summer, `winter` in the depth of winter.

    `weekday` is that of the first day, Monday 0; Saturdays and Sundays are busier.
    """
    wave = 0.5 + 0.5 * np.cos(2 * np.pi * (day_of_year + np.arange(days) - 205) / SEASONS_TURN_DAYS)
    weekend = np.where((weekday + np.arange(days)) % 7 >= 5, 1.45, 0.82)
    return np.asarray((winter + (1 - winter) * wave) * weekend)


def stormy(activity: Floats, spread: float, dice: np.random.Generator) -> Floats:
    """Let whole weeks stray from the season's pull, for the fleet as a whole."""
    weeks = np.exp(dice.normal(-(spread**2) / 2, spread, -(-len(activity) // 7)))
    return np.asarray(activity * np.repeat(weeks, 7)[: len(activity)])


def with_minutes(use: Use, dice: np.random.Generator) -> Use:
    """Say how long each rinse took: a third of them are a minute or two."""
    count = len(use.flush_h)
    short = dice.random(count) < 1 / 3
    minutes = np.where(short, dice.uniform(0.5, 2.5, count), dice.uniform(8, 15, count))
    return replace(use, flush_minutes=np.round(minutes, 1))


def _minutes(hours: Floats) -> Floats:
    return np.round(hours * 60) / 60


def _slots(
    hull: Hull, activity: Floats, rng: np.random.Generator
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    chance = np.clip(OUTING_CHANCE * hull.popularity * activity, 0, 0.92)
    taken = rng.random((len(activity), len(SLOTS_H))) < chance[:, None]
    taken[: hull.joins_day + 1] = False
    taken[hull.leaves_day :] = False
    day, slot = np.nonzero(taken)
    return day, slot


def _flushes(
    hull: Hull,
    start: Floats,
    end: Floats,
    water: NDArray[np.int64],
    last: NDArray[np.bool_],
    able: NDArray[np.bool_],
    rng: np.random.Generator,
) -> tuple[Floats, Floats, list[str]]:
    """Rinses done, and the moments when it was written down that none was."""
    chance = hull.flush_chance * np.where(last, 1.0, 0.1) * np.where(water == FRESH, 0.4, 1.0)
    done = able & (rng.random(len(end)) < chance)
    delay = np.minimum(0.2 + rng.exponential(0.5, len(end)), 3.0)
    next_morning = last & (rng.random(len(end)) < 0.1)
    when = np.where(next_morning, np.floor(end / 24) * 24 + 30.5, end + delay)
    following = np.append(start[1:], np.inf)[: len(end)]
    when = _minutes(np.minimum(when, following - 0.1))
    written = ~done & last & (rng.random(len(end)) < np.where(able, 0.25, 0.6))
    why = ["no" if can else "could-not" for can in able[written]]
    return when[done], _minutes(end[written] + 0.5), why


def _bookings(
    hull: Hull, plan: Plan, start: Floats, end: Floats, rng: np.random.Generator, days: int
) -> tuple[Floats, Floats, Floats, Floats]:
    """Bookings: most outings, the hours guessed, and some hires that never came to pass."""
    if not plan.bookings or not len(start):
        return np.empty(0), np.empty(0), np.empty(0), np.empty(0)
    known = rng.random(len(start)) < BOOKED_SHARE
    begins, ends = np.floor(start[known] * 2) / 2, np.ceil(end[known] * 2) / 2
    day = rng.integers(
        hull.joins_day + 1, min(days, hull.leaves_day), int(CANCELLED_SHARE * len(start))
    )
    no_show = np.unique(day * 24.0 + SLOTS_H[rng.integers(0, 3, len(day))])
    after = start[np.minimum(np.searchsorted(start, no_show - 0.1), len(start) - 1)]
    no_show = no_show[np.abs(after - no_show) > 2.0]
    begins = np.concatenate([begins, no_show])
    ends = np.concatenate([ends, no_show + 2.5])
    guess = np.round(1.76 * np.exp(rng.normal(0, 0.1, len(begins))), 1)
    order = np.argsort(begins, kind="stable")
    taken = np.full(len(begins), -np.inf)
    if np.isfinite(plan.book_lead_days):
        taken = begins - 24 * rng.exponential(plan.book_lead_days, len(begins))
    return begins[order], ends[order], guess[order], taken[order]
