"""One line of the plan: what is done to a hull, why, what a slip costs, what would change it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd
from scipy.special import ndtri

from corrosion import words
from corrosion.appraisal import Appraisal
from corrosion.outlook import LEAST_CHANCE
from corrosion.plan.cases import Case, Flags
from corrosion.plan.columns import Option, Setting
from corrosion.plan.packages import Weighed, weigh
from corrosion.plan.prospects import FARTHEST_DAYS
from corrosion.water import Floats

WEEK_DAYS = 7.0


@dataclass(frozen=True)
class Line:
    """One pull-out.

    Attributes
    ----------
    option : Option
    at : int, day of the horizon
    replace : bool ndarray, shape (k,)
    row : mapping of the columns of the table of pull-outs to their values
    """

    option: Option
    at: int
    replace: Flags
    row: dict[str, Any]


def line_of(
    appraisal: Appraisal, setting: Setting, option: Option, at: int, bay: int, *, pinned: bool
) -> Line:
    """Write one line of the plan.

    Parameters
    ----------
    appraisal : Appraisal
    setting : Setting
    option : Option, the hull
    at : int, day of the horizon
    bay : int, bay of the yard
    pinned : bool

    Returns
    -------
    Line
    """
    case, horizon = option.case, setting.horizon
    replace = option.best.replace[option.best.choice[at]]
    measure = case.measured(replace[None, :])[0]
    names = setting.ahead.cells["position"][case.rows]
    unseen = _unseen(appraisal, case.hull_id)
    day, place = horizon.days[at], setting.yard.places[bay]
    seals = [p for p, s, c in zip(case.part_numbers, replace | measure, case.seal, strict=True)
             if s and c > 0 and p is not None]  # fmt: skip
    risks = _Risks(appraisal, setting, option, at, replace)
    slip_cost = _slip_cost(setting, option, at, replace)
    row = {
        "day": day,
        "mooring_id": place.mooring_id,
        "bay": place.bay,
        "hull_id": case.hull_id,
        "replace": tuple(names[replace]),
        "measure": (*names[measure], *unseen),
        "hours": round(float(case.hours(replace[None, :])[0]), 2),
        "parts": _pieces(case, replace),
        "seals": dict(sorted(Counter(seals).items())),
        "part_cost": round(float(case.materials(replace[None, :])[0]), 2),
        "work_cost": round(float(case.wage * case.hours(replace[None, :])[0]), 2),
        "lost_hire": round(float(setting.hire.by_day[option.place, at]), 2),
        "risk_now": risks.now,
        "risk_after": risks.after,
        "slip_cost": round(slip_cost, 2),
        "slip_risk": risks.slipped,
        "why": _why(appraisal, setting, option, at, replace, risks.now, pinned=pinned),
        "slip": _slip(slip_cost, risks, appraisal.logbook.settings.currency),
        "would_change": _would_change(appraisal, setting, option, at, replace, pinned=pinned),
        "pinned": pinned,
        "kind": "swap" if replace.any() else "look",
        "pull_by": risks.pull_by,
        "risk_week": risks.this_week,
    }
    return Line(option, at, replace, row)


def _unseen(appraisal: Appraisal, hull_id: str) -> tuple[str, ...]:
    anodes = appraisal.forecast.anodes
    blank = ~np.isfinite(appraisal.forecast.chance[:, 0]) & (anodes["hull_id"] == hull_id)
    return tuple(sorted(anodes.loc[blank, "position"]))


def _pieces(case: Case, replace: Flags) -> dict[str, int]:
    named = [p for p, new in zip(case.part_numbers, replace, strict=True) if new and p is not None]
    return dict(sorted(Counter(named).items()))


class _Risks:
    """Chances of one hull: by the end of the week of its pull-out, after it, and if it slips."""

    def __init__(
        self, appraisal: Appraisal, setting: Setting, option: Option, at: int, replace: Flags
    ) -> None:
        horizon, case, ahead = setting.horizon, option.case, setting.ahead
        hulls = appraisal.forecast.hulls
        place = int(np.flatnonzero(hulls["hull_id"] == case.hull_id)[0])
        until = horizon.until_week_ends(horizon.week_of[at])
        chance, grid = appraisal.forecast.hull_chance[place], appraisal.forecast.day_grid
        self.pull_by: date | None = hulls["pull_by"].iloc[place]
        self.now = float(np.interp(until, grid, chance))
        asked = horizon.until_week_ends(horizon.week)
        self.this_week = float(np.interp(asked, grid, chance))
        self.pulled = float(np.interp(option.times[at], grid, chance))
        self.slipped = float(np.interp(option.times[at] + WEEK_DAYS, grid, chance))
        sound = 1.0
        for k, row in enumerate(case.rows):
            stays = float(ahead.chance_at(int(row), until))
            new = ahead.new_chance(int(row), float(option.times[at]), until)
            sound *= 1.0 - (new if replace[k] else stays)
        self.after = min(LEAST_CHANCE + (1 - 2 * LEAST_CHANCE) * (1.0 - sound), self.now)


def _slip_cost(setting: Setting, option: Option, at: int, replace: Flags) -> float:
    """Return what the same work a week later costs more, the day's hire left out, currency."""
    times = option.times[at] + np.array([0.0, WEEK_DAYS])
    cost = weigh(option.case, setting.ahead, times, np.zeros(2), replace[None, :]).cost[:, 0]
    return float(cost[1] - cost[0])


def _slip(cost: float, risks: _Risks, currency: str) -> str:
    if cost >= 0.5:
        money = f"costs {words.number(cost)}{f' {currency}' if currency else ''} more"
    else:
        money = "costs no more"
    return (
        f"A week later {money}; the chance of a worn anode by then is "
        f"{words.chance(risks.slipped)} instead of {words.chance(risks.pulled)}."
    )


def lead_of(case: Case, replace: Flags) -> int:
    """Return the anode that a pull-out is for: the replaced one that is due first."""
    due = np.where(replace, case.due, np.inf) if replace.any() else case.due
    return int(np.lexsort((case.mid, due))[0])


def _why(
    appraisal: Appraisal, setting: Setting, option: Option, at: int, replace: Flags, risk: float,
    *, pinned: bool,
) -> str:  # fmt: skip
    case, zone = option.case, setting.horizon.zone
    names = setting.ahead.cells["position"][case.rows]
    lead = lead_of(case, replace)
    sunday = setting.horizon.week_of[at] + timedelta(days=6)
    said = [
        f"{setting.ahead.cells['why'][case.rows[lead]]}; chance of a worn anode by "
        f"{words.day(sunday, zone, year=False)}: {words.chance(risk)}"
    ]
    with_it = [
        f"{names[k]} (due by itself {_due(setting, case.due[k])})"
        for k in np.flatnonzero(replace)
        if k != lead
    ]
    if with_it:
        said.append(f"with it {words.listed(with_it)}")
    if pinned:
        reason = setting.away.reasons.get(case.hull_id, "")
        said.insert(0, f"pinned by the manager{f': {reason}' if reason else ''}")
    unseen = _unseen(appraisal, case.hull_id)
    if unseen:
        said.append(f"never looked at: {words.listed(list(unseen))}")
    return "; ".join(said)


def _due(setting: Setting, days: float) -> str:
    horizon = setting.horizon
    if days >= FARTHEST_DAYS - 1:
        return "not for years"
    when = horizon.on + pd.Timedelta(days=days)
    return words.deadline(when.tz_convert(horizon.zone).date(), horizon.on, horizon.zone)


def _would_change(
    appraisal: Appraisal, setting: Setting, option: Option, at: int, replace: Flags, *, pinned: bool
) -> str:
    said = []
    if pinned:
        said.append("releasing the pin")
    reading = reading_that_waits(appraisal, setting, option, at, replace)
    if reading:
        said.append(reading)
    better = _better_day(setting, option, at)
    if better and not pinned:
        said.append(better)
    return "; ".join(said)


def reading_that_waits(
    appraisal: Appraisal, setting: Setting, option: Option, at: int, replace: Flags
) -> str:
    """Say above which reading the anode that the pull-out is for could wait another week.

    Parameters
    ----------
    appraisal : Appraisal
    setting : Setting
    option : Option
    at : int, day of the horizon
    replace : bool ndarray, shape (k,)

    Returns
    -------
    str, empty where no reading to be expected would do
    """
    case, ahead = option.case, setting.ahead
    k = lead_of(case, replace)
    row = int(case.rows[k])
    new, limit = (float(ahead.cells[name][row]) for name in ("new_size_mm", "limit_size_mm"))
    allowance = new - limit
    error = float(appraisal.fit.evaluation.rates.reading_mm) / allowance
    threshold = worn_that_waits(setting, case, k, float(option.times[at]) + WEEK_DAYS, error)
    worn, sd = ahead.worn[row, 0], float(np.hypot(ahead.sd[row, 0], error))
    if threshold < max(worn - 2.5 * sd, 0.0) or threshold > worn + 2.5 * sd:
        return ""
    unit = appraisal.logbook.settings.length_unit
    size = new - threshold * allowance
    name = ahead.cells["position"][row]
    return f"a reading of {name} above {words.size(size, unit)} lets it wait a week"


def worn_that_waits(setting: Setting, case: Case, k: int, until: float, error: float) -> float:
    """Return the worn share, read today, up to which an anode may stay until some days ahead."""
    ahead, row = setting.ahead, int(case.rows[k])
    worn, sd = (_at(ahead.grid, each[row], until) for each in (ahead.worn, ahead.sd))
    # a reading replaces what is not known of today's size by its own error
    then = np.sqrt(max(sd**2 - ahead.sd[row, 0] ** 2, 0.0) + error**2)
    return float(1.0 + ndtri(case.level[k]) * then - (worn - ahead.worn[row, 0]))


def _at(grid: Floats, values: Floats, days: float) -> float:
    return float(np.interp(days, grid, values))


def _better_day(setting: Setting, option: Option, at: int) -> str:
    """Say on which day it would come out if only it were free, where that saves a day or more."""
    horizon = setting.horizon
    cost = option.penalty[: len(horizon.days)] + _any_day(option, len(horizon.days))
    best = int(cost.argmin())
    if abs(best - at) < 1 or cost[at] - cost[best] < 1.0:
        return ""
    free = setting.away.free[option.place, best]
    mooring = setting.away.mooring[option.place, best]
    is_open = any(place.open[best] for place in setting.yard.at(mooring))
    day = words.day(horizon.days[best], horizon.zone, year=False)
    if not free:
        return f"if it were not away on {day}, it would come out then"
    if not is_open:
        return f"if a bay were open on {day}, it would come out then"
    return f"if the bay were free on {day}, it would come out then"


def _any_day(option: Option, days: int) -> Floats:
    return np.asarray(_cheapest(option.weighed, option.best.replace)[:days])


def _cheapest(weighed: Weighed, replace: Flags) -> Floats:
    return np.asarray(weighed.cost[:, replace.any(axis=1)].min(axis=1))
