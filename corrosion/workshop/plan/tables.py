"""A plan as tables: pull-outs, neighbours, hulls left where they are, costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np
import pandas as pd

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.workshop.plan.churn import churn_said
from corrosion.workshop.plan.hires.settling import HIRES, Settled, hires_table, moment_of
from corrosion.workshop.plan.jobs import Job
from corrosion.workshop.plan.leaving import reasons_to_leave
from corrosion.workshop.plan.lines import row_of
from corrosion.workshop.plan.money import neighbours_of, total_costs
from corrosion.workshop.plan.obstacles import OBSTACLES, obstacles
from corrosion.workshop.plan.options import NONE, Option, Setting
from corrosion.workshop.plan.prices import Prices
from corrosion.workshop.plan.programme import Programme
from corrosion.workshop.plan.risen import say_risen
from corrosion.workshop.plan.solving import Solved

PULLS = (
    *("day", "mooring_id", "bay", "hull_id", "replace", "measure", "hours", "parts", "seals"),
    *("part_cost", "work_cost", "lost_hire", "risk_now", "risk_after", "slip_cost", "slip_risk"),
    *("slip_risk_after", "why", "slip", "would_change", "pinned", "kind", "pull_by", "risk_week"),
    *("starts", "ends", "stop", "lifts_stop"),
)
NEIGHBOURS = (
    *("hull_id", "position", "choice", "part_cost", "life_thrown_away", "visit_saved", "net"),
    *("due", "because"),
)
WORTH_A_WORD = 0.01
"""Chance of a new anode at its limit within the plan above which the plan says so."""
LEFT_OUT = ("hull_id", "mooring_id", "risk_now", "pull_by", "reason")


@dataclass(frozen=True)
class Plan:
    """A plan of pull-outs.

    Attributes
    ----------
    on : Timestamp, UTC, the moment it rests on
    week : date, Monday of the week asked for
    weeks : int, from that week on
    proven : bool, no cheaper plan exists under its rules and prices
    gap : float, how much cheaper another could be at most, 0 to 1, share of the avoidable cost
    seconds : float, time to make it
    conflict : str, empty when every rule and pin is kept; else the rule in the way of a pin and
        the nearest plan, which is then in the tables
    pulls : DataFrame, one row a pull-out over the whole horizon, by day: day (date), mooring_id,
        bay (from 1), hull_id, replace and measure (tuples of positions in access order), hours
        (h), parts and seals (mappings of part number to pieces), part_cost, work_cost, lost_hire
        (currency), risk_now and risk_after (chance of a worn anode by the end of that week, if
        nobody acts and after the work), slip_cost (currency, of one week later), slip_risk and
        slip_risk_after (the same two chances by a week after the day), why, slip, would_change
        (words), pinned (bool), kind ('swap',
        'measure-first', 'look'), pull_by (date), risk_week (chance by the end
        of the week asked for, if nobody acts)
    neighbours : DataFrame, one row an anode of a hull that comes out: hull_id, position, choice
        ('replace', 'leave'), part_cost, life_thrown_away, visit_saved, net (currency: what
        replacing it now saves over leaving it), due (date by itself), because (why it is chosen
        against the net; empty where net and choice agree)
    left_out : DataFrame, one row a hull that stays: hull_id, mooring_id, risk_now, pull_by, reason
    costs : DataFrame: item, amount (currency)
    assumed : tuple of str, what was taken for granted
    hires : DataFrame, one row a hire that is moved, cancelled or waits for a look, within two
        weeks: columns `HIRES` of `corrosion.workshop.plan.hires.settling`
    obstacles : DataFrame, one row a stopped hull, or one over the tolerated risk, that stays in
        the week asked for: columns `OBSTACLES` of `corrosion.workshop.plan.obstacles`

    `pulls` has besides `starts` and `ends` (UTC, unknown beyond two weeks), `stop` (what stops the
    hull now) and `lifts_stop` (whether this visit deals with all of it).
    """

    on: pd.Timestamp
    week: date
    weeks: int
    proven: bool
    gap: float
    seconds: float
    conflict: str
    pulls: pd.DataFrame
    neighbours: pd.DataFrame
    left_out: pd.DataFrame
    costs: pd.DataFrame
    assumed: tuple[str, ...] = ()
    hires: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=list(HIRES)))
    obstacles: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=list(OBSTACLES)))


@dataclass(frozen=True)
class Told:
    """Everything that the tables are told from."""

    appraisal: Appraisal
    setting: Setting
    prices: Prices
    options: Sequence[Option]
    programme: Programme
    solved: Solved
    settled: Settled | None = None


def tell(told: Told, conflict: str, seconds: float) -> Plan:
    """Turn what was chosen into the tables of a plan.

    Parameters
    ----------
    told : Told
    conflict : str
    seconds : float

    Returns
    -------
    Plan
    """
    horizon, setting = told.setting.horizon, told.setting
    jobs = jobs_of(told)
    pulls = pd.DataFrame([row_of(job) for job in jobs], columns=list(PULLS))
    pulls = _with_times(pulls, told)
    hires, moved = _hires(told, jobs)
    order = pulls.sort_values(["day", "mooring_id", "bay", "hull_id"], kind="stable").index
    near = [row for job in jobs for row in neighbours_of(job)]
    out = {job.case.hull_id for job in jobs}
    left = reasons_to_leave(told.appraisal, setting, told.options, out, _later(told))
    return Plan(
        horizon.on, horizon.week, horizon.weeks, *_how_sure(told), seconds,
        conflict, pulls.loc[order].reset_index(drop=True),
        pd.DataFrame(near, columns=list(NEIGHBOURS)), pd.DataFrame(left, columns=list(LEFT_OUT)),
        total_costs(jobs, told.options, setting, moved, _express_cost(told)),
        (*setting.yard.assumed, *told.prices.assumed, *setting.hire.assumed,
         *say_risen(setting.risen),
         *churn_said(told.appraisal.logbook.settings, setting.issued),
         *_of_hires(hires, setting), *_express(told), *_short_lives(jobs)),
        hires, obstacles(
            told.appraisal, setting, told.prices, told.options, jobs, _sent_for(told)
        ),
    )  # fmt: skip


def best_so_far(told: Told) -> tuple[float, float]:
    """Return what a plan comes to in all, and by how much another could be cheaper.

    The cost is the total of its table of costs, as whoever waits will read it in the end.
    """
    moved = (
        0.0
        if told.settled is None or told.setting.desk is None
        else told.settled.cost(told.setting.desk.book)
    )
    costs = total_costs(jobs_of(told), told.options, told.setting, moved, _express_cost(told))
    total = float(costs.set_index("item")["amount"]["total"])
    return total, _how_sure(told)[1]


def _how_sure(told: Told) -> tuple[bool, float]:
    """Return whether days and hires are both proven cheapest, and the wider of the two gaps."""
    moved = None if told.settled is None else told.settled.moved
    if moved is None:
        return told.solved.proven, told.solved.gap
    return told.solved.proven and moved.proven, max(told.solved.gap, moved.gap)


def _of_hires(hires: pd.DataFrame, setting: Setting) -> tuple[str, ...]:
    """Say what was assumed of hires, where any changes."""
    return setting.desk.book.terms.assumed if setting.desk is not None and len(hires) else ()


def _with_times(pulls: pd.DataFrame, told: Told) -> pd.DataFrame:
    """Add when each visit begins and ends, UTC; unknown where it is given by the day alone."""
    desk, settled = told.setting.desk, told.settled
    if desk is None or settled is None:
        nothing = pd.to_datetime(pd.Series([None] * len(pulls), dtype=object), utc=True)
        return pulls.assign(starts=nothing, ends=nothing)
    starts = [moment_of(hour, desk) for hour in settled.starts_h]
    ends = [moment_of(hour, desk) for hour in settled.ends_h]
    return pulls.assign(
        starts=pd.to_datetime(pd.Series(starts, dtype=object), utc=True),
        ends=pd.to_datetime(pd.Series(ends, dtype=object), utc=True),
    )


def _hires(told: Told, jobs: Sequence[Job]) -> tuple[pd.DataFrame, float]:
    """Return the hires that change, and what that costs, currency."""
    desk, settled = told.setting.desk, told.settled
    if desk is None or settled is None:
        return pd.DataFrame(columns=list(HIRES)), 0.0
    currency = told.appraisal.logbook.settings.currency
    bookings = told.appraisal.checked.bookings
    return hires_table(settled, jobs, desk, bookings, currency), settled.cost(desk.book)


def _sent_for(told: Told) -> list[str]:
    """Return the parts that the plan sends for by courier."""
    programme = told.programme
    numbers = {programme.of_courier(n): part for n, part in enumerate(programme.couriers)}
    return [numbers[int(c)] for c in told.solved.chosen_extra if int(c) in numbers]


def _express_cost(told: Told) -> float:
    return sum(told.setting.stock.couriers[part].cost for part in _sent_for(told))


def _express(told: Told) -> list[str]:
    """Say which parts have to be sent for by courier."""
    zone, currency = told.setting.horizon.zone, told.appraisal.logbook.settings.currency
    return [
        f"Send for {part} by courier today: there on "
        f"{formatting.day(told.setting.stock.couriers[part].day, zone)}, "
        f"{formatting.price(told.setting.stock.couriers[part].cost, currency)}."
        for part in _sent_for(told)
    ]


def jobs_of(told: Told) -> list[Job]:
    """Return the pull-outs that were chosen, hull by hull."""
    columns = told.programme.columns
    chosen = [column for column in told.solved.chosen if columns.day[column] != NONE]
    return [
        Job(
            told.appraisal, told.setting, told.programme.options[columns.option[column]],
            int(columns.day[column]), int(columns.bay[column]), int(columns.choice[column]),
            bool(columns.pinned[column]),
        )
        for column in chosen
    ]  # fmt: skip


def _short_lives(jobs: Sequence[Job]) -> list[str]:
    """Say which new anodes may be worn again before the plan ends; it pulls no hull twice."""
    sentences = []
    for job in jobs:
        horizon = job.setting.horizon
        for k in np.flatnonzero(job.replace):
            chance = job.setting.ahead.new_chance(
                int(job.case.rows[k]), job.ahead_days, horizon.end
            )
            if chance > WORTH_A_WORD:
                sentences.append(
                    f"A new {job.names[k]} on {job.case.hull_id} may be at its limit again before "
                    f"{formatting.day(horizon.days[-1], horizon.zone)} (chance "
                    f"{formatting.chance(chance)}): "
                    "a second pull-out is not in this plan."
                )
    return sentences


def _later(told: Told) -> dict[str, int]:
    """Return the week beyond the horizon that each hull was given, by hull."""
    columns = told.programme.columns
    chosen = [int(c) for c in told.solved.chosen if columns.later[c] != NONE]
    return {
        told.programme.options[columns.option[c]].case.hull_id: int(columns.later[c])
        for c in chosen
    }
