"""Hours by state with what was probably done and not yet written down filled in."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from corrosion.common import HOURS_A_DAY, Codes, Floats, Remembered, hours_since_epoch
from corrosion.exposure import Exposure, Filling, Hours, build_exposure
from corrosion.forecast.season import season_of_use, season_spread
from corrosion.forecast.silence import (
    LEAST_UNWRITTEN,
    SETTLED_DAYS,
    Expected,
    arrived_by_age,
    by_mooring,
    had_rested,
    last_written,
    missing,
    silent_chance,
    thinning,
)
from corrosion.forecast.usage_forecast import (
    booked_hours,
    daily_engine_hours,
)
from corrosion.forecast.usage_regression import HABIT_DAYS, Rule, learn, windows
from corrosion.forecast.use_by_state import sharing, spent
from corrosion.records import Checked

TELL_NO_HOURS = ("readings", "fittings")
"""Logs of what was seen and fitted: no hour of use or of water follows from them."""
LEAST_LATE_DAYS = 0.6
"""Days' worth of entries still to come below which a dock counts as up to date."""
LONGEST_FILLED_DAYS = 120
"""A silence is filled in for no longer: who has not written for a season has stopped."""


def exposure_until_now(checked: Checked, remembered: Remembered | None = None) -> Exposure:
    """Turn the logs into hours by state, and fill in the days that nobody has written up.

    Parameters
    ----------
    checked : Checked
    remembered : Remembered, optional
        What the last run worked out, as `corrosion.exposure.build_exposure` takes it; a look at an
        anode is no hour, and leaves all of it as it was.

    Returns
    -------
    Exposure
        With a `filling` where entries are missing; without one, just as the logs say.
    """
    last = Remembered() if remembered is None else remembered
    telling = (table for log, table in checked.tables.items() if log not in TELL_NO_HOURS)

    def filled() -> Exposure:
        exposure = build_exposure(checked, last)
        return replace(exposure, filling=find_filling(checked, exposure))

    return last.of("exposure", (checked.logbook.on, *telling), filled)


@dataclass(frozen=True)
class _Past:
    """What is on record, by hull and day, the last day last."""

    on_h: float
    daily: Floats
    booked: Floats
    outing_h: float
    moorings: dict[int, Codes]
    last_h: Floats

    def silent_days(self, hulls: Codes) -> int:
        """Return the whole days since anything was written of any of these hulls."""
        last = float(self.last_h[hulls].max())
        if not np.isfinite(last):
            return 0
        return int(np.clip((self.on_h - last) // HOURS_A_DAY, 0, LONGEST_FILLED_DAYS))


def find_filling(checked: Checked, exposure: Exposure) -> Filling | None:
    """Say which days are not written up and what was probably done on them.

    Parameters
    ----------
    checked : Checked
    exposure : Exposure, as the logs say

    Returns
    -------
    Filling, or None where entries are in place
    """
    past = _past(checked, exposure)
    if not past.moorings or past.daily.shape[1] < 2 * HABIT_DAYS:
        return None
    silent = {m: past.silent_days(hulls) for m, hulls in past.moorings.items()}
    dated = arrived_by_age(checked.outings, past.on_h, SETTLED_DAYS)
    filled = _Found.nothing(past, max([SETTLED_DAYS, *silent.values()]))
    everywhere = min(silent.values())
    together = _chance(past, _everybody(past), everywhere, silent, dated)
    for mooring, hulls in past.moorings.items():
        days = silent[mooring]
        alone = _chance(past, hulls, days, silent, dated)
        if max(alone, together) > 0:
            chances = np.full(days, alone)
            chances[days - everywhere :] = max(alone, together)
            _fill_silence(filled, past, hulls, chances, silent)
    _fill_late(filled, past, silent, dated)
    return filled.filling(exposure) if filled.chance.any() else None


def _past(checked: Checked, exposure: Exposure) -> _Past:
    on_h = float(hours_since_epoch(pd.DatetimeIndex([checked.logbook.on]))[0])
    daily = daily_engine_hours(exposure, on_h)
    booked = booked_hours(checked.bookings, exposure.hull_ids, on_h, daily.shape[1]).past
    shares = sharing(exposure, np.full(len(exposure.hull_ids), on_h))
    hulls = checked.hulls.drop_duplicates("hull_id").set_index("hull_id")
    hulls = hulls.reindex(exposure.hull_ids)
    left = hours_since_epoch(hulls["retired"])
    serving = np.isnan(left) | (left > on_h)
    last = last_written(exposure.outings, checked.flushes, exposure.hull_ids)
    hours = exposure.outings["engine_h"].to_numpy(float)
    usual = float(hours.mean()) if hours.size else 1.0
    return _Past(
        on_h, daily, booked, max(usual, 0.1), by_mooring(shares.mooring, serving), last
    )  # fmt: skip


def _due(past: _Past, days: int, silent: dict[int, int]) -> tuple[Expected, Rule]:
    """Say what was due on the last days, from all that was on record before them."""
    before, book = past.daily[:, :-days], past.booked[:, :-days]
    known = np.ones(before.shape, dtype=bool)
    for mooring, hulls in past.moorings.items():
        also = silent[mooring] - days
        if also > 0:
            known[hulls, -also:] = False
    rule = learn(before, book, known)
    writing = np.concatenate([h for m, h in past.moorings.items() if silent[m] <= days])
    season = season_of_use(before[writing], days)
    usual = before[:, -HABIT_DAYS:].mean(axis=1)[:, None] * season
    hires = past.booked[:, -days:]
    by_hires = rule.booked * hires
    weight = rule.habit if past.booked[:, -days - HABIT_DAYS :].any() else 1.0
    return Expected(by_hires + weight * usual, by_hires, past.outing_h), rule


@dataclass
class _Found:
    """What is filled in so far."""

    past: _Past
    engine_h: Floats
    unknown: np.ndarray
    chance: Floats
    until_h: Floats
    variance: Floats

    @classmethod
    def nothing(cls, past: _Past, days: int) -> _Found:
        shape, hulls = (len(past.daily), days), len(past.daily)
        return cls(
            past, np.zeros(shape), np.zeros(shape, dtype=bool), np.zeros(hulls),
            np.full(hulls, past.on_h), np.zeros(hulls),
        )  # fmt: skip

    def add(self, hulls: Codes, hours: Floats, chance: float, spread: Floats, days: int) -> None:
        """Fill hours into the last days of some hulls; the spread is that of the whole."""
        self.engine_h[hulls, -days:] += hours
        self.unknown[hulls, -days:] = True
        self.chance[hulls] = chance
        self.variance[hulls] += spread

    def filling(self, exposure: Exposure) -> Filling:
        total = self.engine_h.sum(axis=1)
        spread = np.sqrt(self.variance) / np.maximum(total, 1e-9)
        return Filling(
            self.past.on_h, self.until_h, self.chance, self.engine_h, self.unknown,
            np.where(total > 0, spread, 0.0), _by_state(exposure, self),
        )  # fmt: skip


def _everybody(past: _Past) -> Codes:
    return np.concatenate(list(past.moorings.values()))


def _chance(
    past: _Past, hulls: Codes, days: int, silent: dict[int, int], dated: Floats | None
) -> float:
    """Return the chance that days without entries of some hulls are days not written up."""
    if days == 0 or past.daily.shape[1] < days + 2 * HABIT_DAYS:
        return 0.0
    due, _ = _due(past, days, silent)
    come = np.ones(days)
    if dated is not None:
        come[: dated.size] = dated[:days]
    seen = come[::-1]
    outings = (due.engine_h[hulls] * seen).sum(axis=1) / due.outing_h
    hires = (due.booked[hulls] * seen).sum(axis=1) / due.outing_h
    rested = had_rested(past.daily[hulls, :-days].sum(axis=0), days)
    habit = past.daily[hulls, -days - HABIT_DAYS : -days].mean(axis=1) * days / due.outing_h
    return silent_chance(outings, hires, habit, rested)


def _fill_silence(
    filled: _Found, past: _Past, hulls: Codes, chances: Floats, silent: dict[int, int]
) -> None:
    """Fill a mooring's silence in, each day weighed by the chance that it was not written up."""
    first = int(np.flatnonzero(chances)[0])
    days, chance = chances.size - first, float(chances.max())
    due, rule = _due(past, chances.size, silent)
    hours = due.engine_h[hulls, first:]
    spread = _spread(rule, hours.sum(axis=1), days, chance)
    filled.add(hulls, chances[first:] * hours, chance, spread, days)
    alone = float(past.last_h[hulls].max())
    filled.until_h[hulls] = max(alone, past.on_h - (days + 1) * HOURS_A_DAY)


def _spread(rule: Rule, whole: Floats, days: int, chance: float) -> Floats:
    """Return the variance of hours that are not written down, or were never run."""
    strays = float(season_spread(np.array([float(days)]))[0]) ** 2
    variance = rule.own * whole + (rule.common + strays) * whole**2
    return np.asarray(chance * variance + chance * (1 - chance) * whole**2)


def _fill_late(filled: _Found, past: _Past, silent: dict[int, int], dated: Floats | None) -> None:
    """Fill in what a dock that always writes late has not written yet."""
    moorings = {
        m: hulls
        for m, hulls in past.moorings.items()
        if silent[m] < SETTLED_DAYS and not filled.chance[hulls].any()
    }
    if not moorings or past.daily.shape[1] < SETTLED_DAYS + 2 * HABIT_DAYS:
        return
    due, rule = _due(past, SETTLED_DAYS, silent)
    hulls = np.concatenate(list(moorings.values()))
    written = past.daily[:, -SETTLED_DAYS:]
    chance, share = 1.0, dated
    if share is None:
        totals = written[hulls].sum(axis=0), due.engine_h[hulls].sum(axis=0)
        share, chance = thinning(*totals, _usual_week(past, hulls, rule))
    days = int((share < 1.0).sum())
    if float((1.0 - share).sum()) < LEAST_LATE_DAYS or chance < LEAST_UNWRITTEN:
        return
    hours = missing(due, written, share, chance)[hulls, -days:]
    open_h = hours.sum(axis=1) / chance
    spread = _spread(rule, open_h, days, chance)
    filled.add(hulls, hours, chance, spread, days)
    filled.until_h[hulls] = past.on_h - days * HOURS_A_DAY


def _usual_week(past: _Past, hulls: Codes, rule: Rule) -> float:
    """Return by what share a week of these hulls together strays from what was due."""
    tables = past.daily[hulls, :-SETTLED_DAYS], past.booked[hulls, :-SETTLED_DAYS]
    actual, book, habit = (part.reshape(-1, hulls.size).sum(axis=1) for part in windows(*tables, 7))
    due = rule.booked * book + rule.habit * habit
    used = due > 0
    if used.sum() < 4:
        return 0.5
    return float(np.sqrt(np.mean((actual[used] / due[used] - 1.0) ** 2)))


def _by_state(exposure: Exposure, filled: _Found) -> Hours:
    """Share what is filled in out over the cells: running totals, 0 first."""
    days = filled.engine_h.shape[1]
    shares = sharing(exposure, filled.until_h)
    middle = filled.past.on_h - (days - np.arange(days) - 0.5) * HOURS_A_DAY
    moorings = len(exposure.mooring_ids)
    degrees = np.stack(
        [exposure.temperature.at(np.full(days, m), middle) for m in range(moorings)]
        + [np.zeros(days)]
    )[shares.mooring]
    out = np.minimum(filled.engine_h * shares.out, HOURS_A_DAY)
    # the logs have the hull lying at its berth all the while
    total = spent(shares, filled.engine_h, -out, degrees).laid_out()
    parts = (total.plain, total.plain_warm, total.drying, total.drying_warm)
    return Hours(*(np.pad(p, [(0, 0), (1, 0), *[(0, 0)] * (p.ndim - 2)]) for p in parts))
