"""A rule worked through the seasons drawn, Monday by Monday, all draws at once."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
import pandas as pd

from corrosion.common import Codes, Floats
from corrosion.workshop.plan.prices import Prices
from corrosion.workshop.savings.draws import MOST_LIVES, WEEK_DAYS, Flags, Season
from corrosion.workshop.savings.rules import DUE_WEEKS, Rule, Seen

PACE_SD = 0.25
"""Spread of a pace before a look tells of it, share (common practice, no source)."""
UNTOLD_SD = 0.02


@dataclass(frozen=True)
class Worked:
    """What a rule came to in each season drawn, each of shape (n,).

    Attributes
    ----------
    pull_outs, changes : how many
    past_days : anode-days past the limit
    parts, work, late : currency
    """

    pull_outs: Floats
    changes: Floats
    past_days: Floats
    parts: Floats
    work: Floats
    late: Floats

    @property
    def cost(self) -> Floats:
        """Return what it all comes to, currency."""
        return self.parts + self.work + self.late


@dataclass
class _State:
    """Anodes as they stand on a Monday: each of shape (n, k) unless it says otherwise."""

    number: Codes  # how many have been fitted in the place since now
    base: Floats  # drawn worn share of the place when the anode was fitted
    age_days: Floats
    age_h: Floats
    read: Floats
    read_week: Codes
    used_then: Floats  # the luck of use, as it stood when the anode was last read or fitted
    pace: Floats  # as it is believed, against what was expected
    pace_sd: Floats


def work_through(season: Season, rule: Rule, prices: Prices, seed: int = 2) -> Worked:
    """Work a rule through every season drawn.

    Readings come at the fleet's own gaps, the same for every rule, and at every pull-out. Bays,
    bookings and stock stand in no rule's way.

    Parameters
    ----------
    season : Season
    rule : Rule
    prices : Prices
    seed : int, of the readings' errors

    Returns
    -------
    Worked
    """
    n, k, _ = season.worn.shape
    rng = np.random.default_rng(seed)
    state = _begin(season)
    sums = {field.name: np.zeros(n) for field in fields(Worked)}
    phase = rng.random((n, season.starts.size))[:, season.hull]
    for week in range(season.weeks):
        error = season.reading_sd * rng.normal(size=(n, k))
        _read(season, state, week, _looked(season.gap_days, phase, week), error)
        seen = _seen(season, state, week)
        pressing = rule.presses(seen) >= 1.0
        out = season.any_of_hull(pressing)
        change = out & (pressing | rule.joins(seen))
        _charge(season, prices, out, change, sums)
        _read(season, state, week, out & ~change, error)
        _fit(season, state, week, change)
        _run_on(season, state, week, prices, sums)
    return Worked(**sums)


def _begin(season: Season) -> _State:
    n, k, _ = season.worn.shape
    return _State(
        number=np.zeros((n, k), dtype=np.intp), base=np.zeros((n, k)),
        age_days=np.tile(season.age_days, (n, 1)), age_h=np.tile(season.age_h, (n, 1)),
        read=np.full((n, k), np.nan), read_week=np.zeros((n, k), dtype=np.intp),
        used_then=np.zeros((n, k)), pace=np.ones((n, k)), pace_sd=np.full((n, k), PACE_SD),
    )  # fmt: skip


def _truly(season: Season, state: _State, week: int) -> Floats:
    """True worn share in the season drawn, shape (n, k)."""
    worn = season.worn[:, :, week]
    later = np.minimum(np.maximum(state.number - 1, 0), MOST_LIVES - 1)
    pace = np.take_along_axis(season.pace, later[:, :, None], axis=2)[:, :, 0]
    return np.where(state.number == 0, worn, (worn - state.base) * pace)


def _looked(gap_days: Floats, phase: Floats, week: int) -> Flags:
    """Mark who is looked at in a week: every gap, from a day that is the hull's own luck."""
    turns = WEEK_DAYS / np.maximum(gap_days, 1.0)
    return np.asarray(np.floor(phase + turns * (week + 1)) > np.floor(phase + turns * week))


def _read(season: Season, state: _State, week: int, who: Flags, error: Floats) -> None:
    """Take readings; learn the pace of each anode from what it lost since the last."""
    reading = _truly(season, state, week) + error
    so_far = season.known[:, week] - _known_then(season, state) + _use(season, state, week)
    expected = np.maximum(so_far, 1e-3)
    told_sd = np.sqrt(2.0 * season.reading_sd**2 + season.walk * expected) / expected
    weight = state.pace_sd**2 / (state.pace_sd**2 + told_sd**2)
    pace = state.pace + weight * ((reading - _last(season, state)) / expected - state.pace)
    state.pace = np.where(who, np.clip(pace, 0.1, 4.0), state.pace)
    state.pace_sd = np.where(who, state.pace_sd * np.sqrt(1.0 - weight), state.pace_sd)
    state.read = np.where(who, reading, state.read)
    state.read_week = np.where(who, week, state.read_week).astype(np.intp)
    state.used_then = np.where(who, season.used[:, :, week], state.used_then)


def _use(season: Season, state: _State, week: int) -> Floats:
    """Wear that use beyond what was expected has made since: the logs of outings show it."""
    return np.asarray(season.used[:, :, week] - state.used_then)


def _known_then(season: Season, state: _State) -> Floats:
    """Worn share expected of the place when the anode was last read, or fitted."""
    rows = np.arange(season.known.shape[0])
    return np.asarray(season.known[rows, state.read_week])


def _last(season: Season, state: _State) -> Floats:
    """Worn share at the last reading; none since: new, or as the forecast has it now."""
    unread = np.where(state.number == 0, season.known[:, 0], 0.0)
    return np.where(np.isnan(state.read), unread, state.read)


def _seen(season: Season, state: _State, week: int) -> Seen:
    soon, due = min(week + 1, season.weeks), min(week + DUE_WEEKS, season.weeks)
    return Seen(
        state.age_days, state.age_h, state.read,
        *_believed(season, state, week, soon), *_believed(season, state, week, due),
    )  # fmt: skip


def _believed(season: Season, state: _State, now: int, week: int) -> tuple[Floats, Floats]:
    """Worn share as it is forecast on a Monday for a later one, with its spread."""
    unread = np.isnan(state.read) & (state.number == 0)
    so_far = _use(season, state, now)
    growth = np.maximum(season.known[:, week] - _known_then(season, state) + so_far, 0.0)
    error = np.where(np.isnan(state.read), 0.0, season.reading_sd)
    strays = error**2 + (state.pace_sd * growth) ** 2 + season.walk * growth
    mean = np.where(
        unread, season.known[:, week] + so_far, _last(season, state) + state.pace * growth
    )
    sd = np.where(unread, season.known_sd[:, week], np.sqrt(strays))
    return mean, np.hypot(sd, UNTOLD_SD)


def _charge(
    season: Season, prices: Prices, out: Flags, change: Flags, sums: dict[str, Floats]
) -> None:
    """Add up the pull-outs of a Monday, and what they take in parts and work."""
    anodes = season.anodes
    pull_outs = out[:, season.starts].sum(axis=1)
    groups = anodes["hull_id"] + "\n" + anodes["access_group"].astype(str)
    by_group = np.argsort(pd.factorize(groups)[0], kind="stable")
    first = np.flatnonzero(~groups.iloc[by_group].duplicated().to_numpy(bool))
    opened = np.logical_or.reduceat(change[:, by_group], first, axis=1)
    access_h = anodes["access_minutes"].to_numpy(float)[by_group][first] / 60.0
    each = (anodes["part_cost"] + anodes["seal_cost"]).to_numpy(float)
    hours = opened @ access_h + change @ anodes["swap_h"].to_numpy(float)
    sums["pull_outs"] += pull_outs
    sums["changes"] += change.sum(axis=1)
    sums["parts"] += change @ each
    sums["work"] += prices.wage * (hours + prices.haul_hours * pull_outs)


def _fit(season: Season, state: _State, week: int, change: Flags) -> None:
    state.number = np.where(change, state.number + 1, state.number)
    state.base = np.where(change, season.worn[:, :, week], state.base)
    state.age_days[change] = state.age_h[change] = 0.0
    state.read = np.where(change, np.nan, state.read)
    state.read_week = np.where(change, week, state.read_week).astype(np.intp)
    state.used_then = np.where(change, season.used[:, :, week], state.used_then)
    state.pace_sd = np.where(change, np.maximum(state.pace_sd, 0.5 * PACE_SD), state.pace_sd)


def _run_on(
    season: Season, state: _State, week: int, prices: Prices, sums: dict[str, Floats]
) -> None:
    """Let a week pass: anode-days past the limit, and what they cost; anodes grow older."""
    now, then = _truly(season, state, week), _truly(season, state, week + 1)
    over = np.clip((then - 1.0) / np.maximum(then - now, 1e-9), 0.0, 1.0) * (then > 1.0)
    days = WEEK_DAYS * np.where(now >= 1.0, 1.0, over)
    sums["past_days"] += days.sum(axis=1)
    sums["late"] += days @ season.anodes["late_cost"].to_numpy(float) / prices.late_days
    state.age_days = state.age_days + WEEK_DAYS
    state.age_h = state.age_h + season.hours[:, week + 1] - season.hours[:, week]
