"""What looking costs a year against how often one looks, lateness counted, position by position.

Lives of new anodes are drawn and worked through: looked at every so many days or as the schedule
would, replaced as the plan would with what the looks told. Drawn lives are the same for every
interval, so that intervals differ by the looks alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import ndtri

from corrosion.common import Codes, Floats
from corrosion.forecast import Appraisal
from corrosion.life_model import UNEVEN
from corrosion.workshop.berth_groups import berth_groups
from corrosion.workshop.looks.at_stake import ACT_DAYS, Ground, lay_out_ground
from corrosion.workshop.looks.latest import LIMIT_LEAD_DAYS, stray_days

INTERVALS = (7.0, 10.0, 14.0, 21.0, 28.0, 42.0, 56.0, 84.0, 126.0)
DRAWS, STEPS, SEED = 200, 150, 20310616
LONGEST = 1.5
"""Lives are drawn up to so many times the usual one; by then each was replaced."""
LEAST_LEVEL = 1e-3
HABIT_DAYS = 180.0
DAYS_A_YEAR = 365.25


@dataclass(frozen=True)
class PriceOfLooking:
    """The price of looking.

    Attributes
    ----------
    curve : DataFrame, one row a position, mooring and interval: position, mooring_id, anodes,
        interval_days, cost, low, high (currency a year and anode; low to high holds 8 of 10 lives),
        looks, looking, late (looks a year; what they cost and what lateness costs a year)
    places : DataFrame, one row a position and mooring: position, mooring_id, anodes, life_days,
        habit_days (days between two looks over half a year, the middle anode; unknown where nobody
        looked), habit_cost, schedule_cost, schedule_low, schedule_high, schedule_looks, saves (of
        the habit, all its anodes, currency a year), missed (what a look of the schedule that is
        left out costs, currency)
    """

    curve: pd.DataFrame
    places: pd.DataFrame


@dataclass(frozen=True)
class _Class:
    """Anodes of one position at one mooring, as one."""

    rate: float
    spread: float
    walk: float
    error: float
    price: float
    late: float
    renewal: float
    level: float
    tolerated: float
    stray: float

    @property
    def life(self) -> float:
        return 1.0 / self.rate


@dataclass(frozen=True)
class _Lived:
    """What lives cost under one way of looking, shape (draws,): cost, days, looks, late cost."""

    cost: Floats
    days: Floats
    looks: Floats
    late: Floats


def price_of_looking(appraisal: Appraisal) -> PriceOfLooking:
    """Work out what looking costs a year, by how often one looks.

    Parameters
    ----------
    appraisal : Appraisal

    Returns
    -------
    PriceOfLooking
    """
    ground = lay_out_ground(appraisal)
    habit = _habit(appraisal, ground)
    groups = berth_groups(appraisal)
    water = groups["water"].reindex(ground.anodes["hull_id"]).reset_index(drop=True)
    stray = stray_days(appraisal, water)
    walk = UNEVEN * float(appraisal.fit.evaluation.rates.process_sd) ** 2
    curve, places = [], []
    for (position, mooring), rows in _alike(ground):
        each = _class(ground, rows, walk, float(stray[rows].min()))
        drawn = _draw(each)
        name = {"position": position, "mooring_id": mooring, "anodes": len(rows)}
        lived = {days: _live(each, drawn, days) for days in INTERVALS}
        curve += [name | {"interval_days": days} | _sums(one, each) for days, one in lived.items()]
        known = habit[rows][np.isfinite(habit[rows])]
        usual = float(np.median(known)) if known.size else np.nan
        places.append(name | _place(each, drawn, usual, len(rows)))
    return PriceOfLooking(pd.DataFrame(curve), pd.DataFrame(places))


def _alike(ground: Ground) -> list[tuple[tuple[str, str], Codes]]:
    names = ground.anodes["position"].astype(str), ground.anodes["mooring_id"].astype(str)
    both = (names[0] + "\n" + names[1]).to_numpy(object)
    members = pd.Series(np.arange(both.size)).groupby(both).indices
    return [
        ((str(key).split("\n")[0], str(key).split("\n")[1]), np.asarray(rows))
        for key, rows in members.items()
    ]


def _class(ground: Ground, rows: Codes, walk: float, stray: float) -> _Class:
    courses, ahead = ground.courses, ground.prospects
    month = int(np.searchsorted(courses.grid, 60.0))
    rate = (courses.worn[rows, month] - courses.worn[rows, 0]).mean() / courses.grid[month]
    rate = float(np.clip(rate, 1e-4, 0.1))
    late, waits = float(ground.stakes.late[rows].mean()), float(ground.stakes.waits[rows].mean())
    under = np.bincount(ground.group)[ground.group[rows]]
    price = float((ground.opens[rows] / under + ground.measures[rows]).mean())
    level = float(np.clip(waits / max(late, 1e-9), LEAST_LEVEL, ground.stakes.tolerated))
    return _Class(
        rate, float(ahead.spread[rows].mean()), walk, float(courses.error[rows].mean()), price,
        late, waits / rate, level, ground.stakes.tolerated, stray,
    )  # fmt: skip


@dataclass(frozen=True)
class _Drawn:
    """Lives drawn: worn share and errors of a reading at each step, shape (draws, steps)."""

    step: float
    worn: Floats
    error: Floats


def _draw(each: _Class) -> _Drawn:
    """Draw lives: a gamma pace about 1, gamma lumps about it."""
    rng = np.random.default_rng(SEED)
    step = LONGEST * each.life / STEPS
    shape = 1.0 / each.spread**2
    pace = rng.gamma(shape, 1.0 / shape, (DRAWS, 1))
    grown = np.maximum(pace * step * each.rate, 1e-12)
    lumps = max(each.walk, 1e-8)
    steps = lumps * rng.standard_gamma(np.repeat(grown / lumps, STEPS, axis=1))
    return _Drawn(step, np.cumsum(steps, axis=1), rng.normal(0, each.error, (DRAWS, STEPS)))


def _live(each: _Class, drawn: _Drawn, interval: float | None) -> _Lived:
    """Work the lives through; `interval` None: as the schedule looks; infinite: never.

    Wear and pace are followed by a filter of two states a life; the anode is replaced once the
    chance that it is at its limit reaches the level at which waiting costs more than it saves.
    """
    step, mean_step = drawn.step, drawn.step * each.rate
    far = float(-ndtri(each.level))
    worn, pace = np.zeros(DRAWS), np.ones(DRAWS)
    var, both, var_pace = np.zeros(DRAWS), np.zeros(DRAWS), np.full(DRAWS, each.spread**2)
    looks, since = np.zeros(DRAWS), np.zeros(DRAWS)
    lives, past, done = np.zeros(DRAWS), np.zeros(DRAWS), np.zeros(DRAWS, bool)
    for at in range(STEPS):
        worn = worn + pace * mean_step
        var = var + 2 * both * mean_step + var_pace * mean_step**2 + each.walk * mean_step
        both = both + var_pace * mean_step
        since = since + step
        past += np.where(done, 0.0, step * (drawn.worn[:, at] >= 1.0))
        filtered = _Filter(worn, pace, var, both, var_pace)
        asks = since >= (each.stray if interval is None else interval)
        if interval is None:
            asks = asks | ((since >= ACT_DAYS) & _scheduled(filtered, each))
        asks = asks & ~done
        gain, gain_pace = var / (var + each.error**2), both / (var + each.error**2)
        news = np.where(asks, drawn.worn[:, at] + drawn.error[:, at] - worn, 0.0)
        worn, pace = worn + gain * news, np.maximum(pace + gain_pace * news, 0.05)
        var_pace = np.where(asks, var_pace - gain_pace * both, var_pace)
        both = np.where(asks, both * (1 - gain), both)
        var = np.where(asks, var * (1 - gain), var)
        looks, since = looks + asks, np.where(asks, 0.0, since)
        out = ~done & ((worn + far * np.sqrt(var) >= 1.0) | (at == STEPS - 1))
        lives, done = np.where(out, (at + 1) * step, lives), done | out
    late = past * each.late
    return _Lived(each.renewal + looks * each.price + late, lives, looks, late)


@dataclass(frozen=True)
class _Filter:
    """What is believed of each life: wear, pace, their variances and covariance, (draws,) each."""

    worn: Floats
    pace: Floats
    var: Floats
    both: Floats
    var_pace: Floats

    def spread_in(self, wear: float, walk: float) -> Floats:
        """Return the standard deviation of wear after so much more of it."""
        ahead = 2 * self.both * wear + self.var_pace * wear**2 + walk * wear
        return np.asarray(np.sqrt(np.maximum(self.var + ahead, 1e-12)))


def _scheduled(now: _Filter, each: _Class) -> np.ndarray:
    """Tell which lives the schedule looks at: before the tolerated risk, or where it pays.

    A pull-out that is due within a week takes the first along. A look pays where the replacement
    is a week off and the margin that it keeps for what is not known
    would shrink, by what a reading tells, by more than the look costs.
    """
    wall = LIMIT_LEAD_DAYS * each.rate
    far = float(-ndtri(each.tolerated))
    limit = now.worn + now.pace * wall + far * now.spread_in(wall, each.walk) >= 1.0
    soon, margin = ACT_DAYS * each.rate, float(-ndtri(each.level))
    before = now.spread_in(soon, each.walk)
    gain = 1 / (now.var + each.error**2)
    left = _Filter(
        now.worn, now.pace, now.var * (1 - gain * now.var), now.both * (1 - gain * now.var),
        now.var_pace - gain * now.both**2,
    )  # fmt: skip
    saves = each.renewal * margin * (before - left.spread_in(soon, each.walk))
    due = now.worn + now.pace * soon + margin * before >= 1.0
    recent = now.var < each.error**2
    return np.asarray((limit & ~due & ~recent) | (due & (saves > each.price)))


def _sums(lived: _Lived, each: _Class) -> dict[str, float]:
    """Sum lives up a year; the mean of costs over the mean of days, as renewals add up."""
    years = lived.days.mean() / DAYS_A_YEAR
    single = lived.cost / (lived.days / DAYS_A_YEAR)
    low, high = np.quantile(single, [0.1, 0.9])
    return {
        "cost": float(lived.cost.mean() / years),
        "low": float(low),
        "high": float(high),
        "looks": float(lived.looks.mean() / years),
        "looking": float(lived.looks.mean() * each.price / years),
        "late": float(lived.late.mean() / years),
    }


def _place(each: _Class, drawn: _Drawn, habit: float, anodes: int) -> dict[str, float]:
    planned, never = _live(each, drawn, None), _live(each, drawn, np.inf)
    sums = _sums(planned, each)
    now = _sums(_live(each, drawn, habit), each)["cost"] if np.isfinite(habit) else np.nan
    # what a look leaves out in money, looks themselves counted, over all looks of a life
    blind = _sums(never, each)
    looks = max(sums["looks"], 1e-9)
    missed = max((blind["cost"] - (sums["cost"] - sums["looking"])) / looks, 0.0)
    return {
        "life_days": each.life, "habit_days": habit, "habit_cost": now,
        "schedule_cost": sums["cost"], "schedule_low": sums["low"], "schedule_high": sums["high"],
        "schedule_looks": sums["looks"], "saves": anodes * (now - sums["cost"]), "missed": missed,
    }  # fmt: skip


def _habit(appraisal: Appraisal, ground: Ground) -> Floats:
    """Return the days between two looks at each place over half a year, NaN unknown, shape (k,)."""
    readings, on = appraisal.checked.readings, appraisal.forecast.on
    first = max(on - pd.Timedelta(days=HABIT_DAYS), readings["read_at"].min())
    recent = readings[readings["read_at"] > first]
    day = recent["read_at"].dt.floor("D")
    looks = day.groupby([recent["hull_id"], recent["position"]]).nunique()
    key = pd.MultiIndex.from_frame(ground.anodes[["hull_id", "position"]])
    counts = np.asarray(looks.reindex(key).to_numpy(), float)
    return np.asarray((on - first) / pd.Timedelta(days=1) / counts)
