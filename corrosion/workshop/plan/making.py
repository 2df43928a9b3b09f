"""Make the plan: gather what is known, weigh every hull, solve, and say why."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd

from corrosion.common import Floats
from corrosion.forecast import Appraisal
from corrosion.workshop.overrides import standing_changes
from corrosion.workshop.plan.away import (
    Away,
    booked_days,
    held_back,
    hulls_out,
    mooring_by_day,
    not_in_fleet,
    said_by_manager,
)
from corrosion.workshop.plan.cases import build_case
from corrosion.workshop.plan.churn import churn_of, issued_days
from corrosion.workshop.plan.columns import lay_out_columns
from corrosion.workshop.plan.conflict import say_conflict
from corrosion.workshop.plan.hire import lost_hire
from corrosion.workshop.plan.hires.desk import open_desk
from corrosion.workshop.plan.hires.settling import dearer_than_thought, hires_thought, settle
from corrosion.workshop.plan.horizon import LATER_WEEKS, Horizon, lay_out_days
from corrosion.workshop.plan.options import Option, Setting, weigh_hull
from corrosion.workshop.plan.prices import MEASURE_MINUTES, Prices, read_prices
from corrosion.workshop.plan.programme import lay_out_programme
from corrosion.workshop.plan.progress import PlanProgress, Watch, unwatched
from corrosion.workshop.plan.prospects import prospects
from corrosion.workshop.plan.risen import follow_risen_wear
from corrosion.workshop.plan.solving import TIME_LIMIT_S, solve
from corrosion.workshop.plan.stock import count_stock
from corrosion.workshop.plan.tables import Plan, Told, best_so_far, jobs_of, tell
from corrosion.workshop.plan.yard import WHOLE_DAY_H, Yard, bays_of, lay_out_yard, open_weekdays

ROUNDS = 3
"""The programme is solved so often at most, where hires turn out dearer than it thought."""
MOST_PATIENCE = 4.0
"""On a machine so many times too busy, the solver still gets the time to do the same work."""
WELL_CHOSEN = 0.0
"""Share of the bay days that lose less hire than one that is well chosen: none, the best one."""


@dataclass(frozen=True)
class Ground:
    """What a plan stands on: the shared setting, prices, and every judged hull as an option."""

    setting: Setting
    prices: Prices
    options: tuple[Option, ...]


def make_plan(
    appraisal: Appraisal, week: date | None = None, weeks: int | None = None,
    watch: Watch = unwatched,
) -> Plan:  # fmt: skip
    """Plan the pull-outs of a week and of those after it.

    Parameters
    ----------
    appraisal : Appraisal
    week : date, a day of the week asked for; None: the week of the next working day
    weeks : int, how many weeks from that one on; None: `horizon_weeks` of the settings
    watch : is told how far the plan has come

    Returns
    -------
    Plan

    Raises
    ------
    Refusal
        The week is over, or further ahead than anything is known.
    """
    watch(PlanProgress("weighing"))
    begun, worked = time.perf_counter(), time.process_time()
    ground = lay_out_ground(appraisal, week, weeks)
    wanted = [option for option in ground.options if _wanted(option, ground.setting)]
    busy = (time.perf_counter() - begun) / max(time.process_time() - worked, 1e-3)
    limit_s = TIME_LIMIT_S * float(np.clip(busy, 1.0, MOST_PATIENCE))
    settled = solve_and_settle(appraisal, ground, wanted, limit_s, watch)
    watch(PlanProgress("reasons"))
    conflict = say_conflict(settled.programme, settled.solved)
    return tell(settled, conflict, time.perf_counter() - begun)


def solve_and_settle(
    appraisal: Appraisal, ground: Ground, wanted: Sequence[Option], limit_s: float,
    watch: Watch = unwatched,
) -> Told:  # fmt: skip
    """Solve the programme, settle it with the hire desk, and again where that cost more.

    The programme counts hires a hull and day at a time; where settling them together costs more
    than it thought, the visits that cost more are charged what they did, and it decides anew. The
    cheapest of all rounds is kept.

    Parameters
    ----------
    appraisal : Appraisal
    ground : Ground
    wanted : the hulls that matter
    limit_s : float, time for the solver in each round, s
    watch : is told of every round

    Returns
    -------
    Told
    """
    setting, best, least = ground.setting, None, np.inf
    for number in range(1, ROUNDS + 1):
        far = PlanProgress("days", number, ROUNDS, *(best_so_far(best) if best else ()))
        watch(far)
        columns = lay_out_columns(wanted, setting)
        programme = lay_out_programme(columns, wanted, setting)
        solved = solve(programme, time_limit_s=limit_s)
        solution = Told(appraisal, setting, ground.prices, ground.options, programme, solved)
        jobs, desk = jobs_of(solution), setting.desk
        if desk is None:
            return solution
        watch(replace(far, stage="hires"))
        settled = settle(jobs, desk)
        more = dearer_than_thought(jobs, settled, desk)
        work = float(programme.costs[solved.chosen].sum()) - hires_thought(jobs, desk)
        total = work + settled.cost(desk.book)
        if total < least - 1e-6:
            least, best = total, replace(solution, settled=settled)
        if not more:
            break
        setting = replace(setting, desk=desk.but_dearer(more))
    assert best is not None  # the first round always costs less than nothing known
    return best


def _wanted(option: Option, setting: Setting) -> bool:
    """Return whether it matters when the hull comes out: waiting beyond all weeks is not best."""
    if option.case.hull_id in setting.away.pins or option.case.hull_id in setting.issued:
        return True
    far = option.cost[len(setting.horizon.days) + LATER_WEEKS :]
    return bool(far.min() > option.least + 1e-9)


def lay_out_ground(appraisal: Appraisal, week: date | None, weeks: int | None) -> Ground:
    """Gather what a plan stands on.

    Parameters
    ----------
    appraisal : Appraisal
    week : date or None
    weeks : int or None

    Returns
    -------
    Ground
    """
    settings, logbook = appraisal.logbook.settings, appraisal.logbook
    judged = appraisal.forecast.hulls.sort_values("hull_id", kind="stable")
    hull_ids = pd.Index(judged["hull_id"])
    bays = bays_of(settings, set(judged["mooring_id"]))
    horizon = lay_out_days(
        logbook.on, settings.timezone, open_weekdays(bays), week, weeks or settings.horizon_weeks
    )
    yard = lay_out_yard(settings, bays, logbook.slip_windows, horizon)
    away = _away(appraisal, hull_ids, horizon, yard)
    prices = read_prices(settings, appraisal.checked.anode_positions)
    spread = float(appraisal.fit.evaluation.rates.anode_sd)
    checked = appraisal.checked
    future = prospects(appraisal.forecast, prices.positions, spread, settings.tolerated_risk)
    future, risen = follow_risen_wear(appraisal, future)
    late = future.anodes["late_cost"] / prices.late_days
    setting = Setting(
        horizon, yard, away, count_stock(settings, appraisal.checked.stock_moves, horizon), future,
        lost_hire(
            checked.bookings, checked.outings, hull_ids, judged["mooring_id"].to_numpy(object),
            horizon,
        ),
        open_desk(appraisal, horizon, yard, hull_ids, future, late),
        issued_days(logbook.plans, horizon.week, horizon.zone), churn_of(settings), risen,
    )  # fmt: skip
    return Ground(setting, prices, _options(appraisal, judged, setting, prices))


def _away(appraisal: Appraisal, hull_ids: pd.Index, horizon: Horizon, yard: Yard) -> Away:
    checked, logbook = appraisal.checked, appraisal.logbook
    mooring = mooring_by_day(checked.berths, hull_ids, horizon)
    standing = standing_changes(logbook.plan_changes, horizon.zone, horizon.days[0])
    windows = [_window(yard, place) for place in mooring[:, 0]]
    pins, reasons = said_by_manager(standing, horizon)
    return Away(
        hull_ids,
        booked_days(checked.bookings, hull_ids, horizon, windows),
        hulls_out(checked.outings, hull_ids, horizon),
        held_back(standing, hull_ids, horizon),
        not_in_fleet(checked.hulls, hull_ids, horizon),
        mooring,
        pins,
        reasons,
    )


def _window(yard: Yard, mooring: object) -> tuple[float, float]:
    """Return the hours between which a hull must be free: from the first bay to the last."""
    spans = [place.window_h for place in yard.bays if place.mooring_id == mooring]
    if not spans:
        return WHOLE_DAY_H
    return min(opens for opens, _ in spans), max(closes for _, closes in spans)


def _options(
    appraisal: Appraisal, judged: pd.DataFrame, setting: Setting, prices: Prices
) -> tuple[Option, ...]:
    rows = setting.ahead.anodes.groupby("hull_id", sort=True).indices
    unseen = unseen_positions(appraisal, prices)
    extra = unseen.groupby("hull_id")["look_h"].sum()
    tolerated = appraisal.logbook.settings.tolerated_risk
    ready, options = when_parts_are_there(setting), []
    for place, (hull, at) in enumerate(zip(judged["hull_id"], judged.index, strict=True)):
        if hull not in rows:
            continue
        chance = appraisal.forecast.hull_chance[at]
        if hull in setting.risen:
            chance = np.maximum(chance, setting.ahead.chance[rows[hull]].max(axis=0))
        hire = _bay_day(setting, place)
        case = build_case(
            hull, np.asarray(rows[hull]), setting.ahead, prices, hire, tolerated,
            ready[rows[hull]], float(extra.get(hull, 0.0)),
        )  # fmt: skip
        overdue = _overdue(chance, setting.ahead.grid, tolerated, prices.overdue)
        pinned = hull in setting.away.pins
        options.append(
            weigh_hull(
                case,
                place,
                setting,
                (setting.ahead.grid, overdue),
                pinned=pinned,
                tolerated_risk=tolerated,
            )
        )
    return tuple(options)


def when_parts_are_there(setting: Setting) -> Floats:
    """Return from how many days ahead each anode's part is sure to be there, shape (k,).

    Now, unless the part is scarce: more anodes at the mooring are expected at their limit before
    a delivery than pieces lie within reach.
    """
    ahead, stock, away = setting.ahead, setting.stock, setting.away
    part, hull = ahead.cells["part_number"], ahead.cells["hull_id"]
    mooring = away.mooring[away.hull_ids.get_indexer(pd.Index(hull)), 0]
    ready = np.zeros(len(part))
    for name, day in stock.arrives.items():
        arrives = setting.horizon.days_until(day)
        own = np.flatnonzero(part == name)
        worn = {int(row): float(ahead.chance_at(int(row), arrives)) for row in own}
        for place in {str(each) for each in mooring[own]}:
            rows = [int(row) for row in own if mooring[row] == place]
            if sum(worn[row] for row in rows) > stock.within_reach(name, place):
                ready[rows] = arrives
    return ready


def _bay_day(setting: Setting, place: int) -> float:
    """Return the hire lost on a bay day that is well chosen, for days not laid out: currency."""
    mooring = setting.away.mooring[place]
    works = np.array(
        [any(bay.open[at] for bay in setting.yard.at(m)) for at, m in enumerate(mooring)]
    )
    days = works & setting.free_days(place)
    if not days.any():
        return float(setting.hire.usual[place].min())
    return float(np.quantile(setting.hire.by_day[place, days], WELL_CHOSEN))


def _overdue(chance: Floats, grid: Floats, tolerated: float, price: float) -> Floats:
    """Return the price of standing past the pull-by until each day ahead, currency, shape (d,)."""
    rate = price * np.where(chance > tolerated, chance, 0.0)
    steps = np.diff(grid) * (rate[1:] + rate[:-1]) / 2
    return np.concatenate([[0.0], np.cumsum(steps)])


def unseen_positions(appraisal: Appraisal, prices: Prices) -> pd.DataFrame:
    """Return positions of judged hulls that nobody ever saw: hull_id, position, look_h (h)."""
    anodes = appraisal.forecast.anodes
    unseen = anodes[~np.isfinite(appraisal.forecast.chance[:, 0])]
    table = unseen[["hull_id", "layout", "position"]].merge(
        prices.positions, on=["layout", "position"], how="inner"
    )
    minutes = table["access_minutes"] + MEASURE_MINUTES
    return table.assign(look_h=minutes / 60.0)[["hull_id", "position", "look_h"]]
