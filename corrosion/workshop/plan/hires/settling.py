"""Settle a plan with the hire desk: half hours for its visits, and a hull for every hire."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import pandas as pd

from corrosion.common import Floats, moment_at
from corrosion.workshop.plan.hires.book import HireBook
from corrosion.workshop.plan.hires.desk import Desk
from corrosion.workshop.plan.hires.half_hours import start_times
from corrosion.workshop.plan.hires.looking_first import hires_that_wait, say_look_first
from corrosion.workshop.plan.hires.moving import CANCELLED, Closed, Moved, move_hires
from corrosion.workshop.plan.hires.releasing import stopped_until
from corrosion.workshop.plan.hires.visits import Visit
from corrosion.workshop.plan.jobs import Job

HIRES: Final = (
    *("starts", "ends", "hull_id", "to_hull_id", "change", "cost", "why", "mooring_id", "kind"),
)


@dataclass(frozen=True)
class Settled:
    """A plan's visits by the half hour, and what becomes of the hires.

    Attributes
    ----------
    starts_h, ends_h : ndarray, shape (jobs,), local hours since midnight of the first day; NaN
        beyond two weeks
    closed : when hulls are not free for hire
    moved : Moved
    """

    starts_h: Floats
    ends_h: Floats
    closed: tuple[Closed, ...]
    moved: Moved

    def cost(self, book: HireBook) -> float:
        """Return what moving and cancelling cost, currency."""
        changed = self.moved.to != book.hull
        gone = self.moved.to == CANCELLED
        return float(book.cancel[gone].sum() + book.terms.move_cost * (changed & ~gone).sum())


def settle(jobs: Sequence[Job], desk: Desk) -> Settled:
    """Give every visit within two weeks its half hours, and every hire then its hull.

    Parameters
    ----------
    jobs : pull-outs of the plan
    desk : Desk

    Returns
    -------
    Settled
    """
    starts = _starts(jobs, desk)
    work = np.array([_work_h(job) for job in jobs])
    ends = starts + work
    out = [
        Closed(int(desk.hull[job.option.hull_row]), float(start), float(end), True)
        for job, start, end in zip(jobs, starts, ends, strict=True)
        if np.isfinite(start)
    ]
    closed = (*out, *_stopped(jobs, ends, desk))
    return Settled(starts, ends, closed, move_hires(desk.book, closed))


def dearer_than_thought(
    jobs: Sequence[Job], settled: Settled, desk: Desk
) -> dict[tuple[int, int], float]:
    """Return the visits whose hires cost more than the programme thought: (row, day) to currency.

    Every hire of its kind that was moved or cancelled while it lay in the bay is charged to it.
    """
    book, more = desk.book, {}
    changed = np.flatnonzero(settled.moved.to != book.hull)
    price = np.where(settled.moved.to == CANCELLED, book.cancel, book.terms.move_cost)
    for job, start, end in zip(jobs, settled.starts_h, settled.ends_h, strict=True):
        if not np.isfinite(start):
            continue
        kind = book.sister_group[int(desk.hull[job.option.hull_row])]
        own = book.sister_group[book.hull[changed]] == kind
        cost = float(price[changed[own & book.in_way(changed, start, end)]].sum())
        thought = _thought(job, desk)
        if cost > thought + 1.0:
            more[job.option.hull_row, job.at] = cost - thought
    return more


def hires_thought(jobs: Sequence[Job], desk: Desk) -> float:
    """Return what the programme of the days took for the hires of its plan, currency."""
    book, lifted = desk.book, {job.case.hull_id: job for job in jobs if job.lifts}
    thought = sum(_thought(job, desk) for job in jobs if 24.0 * job.at < book.until_h)
    for hull_id, (place, _) in _held(jobs, desk).items():
        job = lifted.get(hull_id)
        until = np.inf if job is None else book.now_h + 24.0 * job.ahead_days
        thought += stopped_until(desk.releases, place, until)
    return float(thought)


def _thought(job: Job, desk: Desk) -> float:
    return desk.cost(job.option.hull_row, job.at, job.bay, _work_h(job))


def _work_h(job: Job) -> float:
    return float(job.case.hours(job.replace[None, :])[0])


def _starts(jobs: Sequence[Job], desk: Desk) -> Floats:
    starts, held = np.full(len(jobs), np.nan), _held(jobs, desk)
    days: dict[tuple[str, int], list[int]] = defaultdict(list)
    for number, job in enumerate(jobs):
        if 24.0 * job.at < desk.book.until_h:
            days[job.setting.yard.bays[job.bay].mooring_id, job.at].append(number)
    for (mooring, at), own in days.items():
        visits = [
            Visit(
                int(desk.hull[jobs[n].option.hull_row]), jobs[n].bay, _work_h(jobs[n]),
                *desk.hours(at, jobs[n].bay), jobs[n].lifts and jobs[n].case.hull_id in held,
            )
            for n in own
        ]  # fmt: skip
        standing = [
            Closed(hull, desk.book.now_h, np.inf, False) for hull, day in held.values() if day > at
        ]
        starts[own] = start_times(visits, desk.releases, _hands(desk, mooring, at), standing)
    return starts


def _held(jobs: Sequence[Job], desk: Desk) -> dict[str, tuple[int, float]]:
    """Return the hulls that must not sail: place in the book, and the day that lifts it, or inf."""
    lifted = {job.case.hull_id: float(job.at) for job in jobs if job.lifts}
    names = [hull for hull, stop in desk.stops.items() if not stop.look_first]
    places = desk.book.hull_ids.get_indexer(pd.Index(names, dtype=object))
    return {
        hull: (int(at), lifted.get(hull, np.inf))
        for hull, at in zip(names, places, strict=True)
        if at >= 0
    }


def _hands(desk: Desk, mooring: str, at: int) -> float:
    crews = desk.yard.crews
    if not crews:
        return np.inf
    return float(
        sum(
            each.hours[at] > 0 and (not each.moorings or mooring in each.moorings) for each in crews
        )
    )


def _lifted(jobs: Sequence[Job], ends: Floats) -> dict[str, float]:
    """Return when the visit ends that deals with all that stops a hull, by hull."""
    return {
        job.case.hull_id: float(end)
        for job, end in zip(jobs, ends, strict=True)
        if np.isfinite(end) and job.lifts
    }


def _stopped(jobs: Sequence[Job], ends: Floats, desk: Desk) -> list[Closed]:
    """Return until when each stopped hull must not sail: the end of the visit that lifts it."""
    lifts = _lifted(jobs, ends)
    return [
        Closed(place, desk.book.now_h, lifts.get(hull_id, np.inf), hull_id in lifts)
        for hull_id, (place, _) in _held(jobs, desk).items()
    ]


def hires_table(
    settled: Settled, jobs: Sequence[Job], desk: Desk, bookings: pd.DataFrame, currency: str
) -> pd.DataFrame:
    """List the hires that change: moved, cancelled, or waiting for a look.

    Parameters
    ----------
    settled : Settled
    jobs : pull-outs, row-aligned with `settled.starts_h`
    desk : Desk
    bookings : DataFrame, the log that the book was read from
    currency : str

    Returns
    -------
    DataFrame, one row a hire that changes, in order of its start: the columns `HIRES`; starts and
        ends in UTC, cost in currency
    """
    book, rows = desk.book, []
    first, lifted = hires_that_wait(desk), _lifted(jobs, settled.ends_h)
    starts, ends = (list(bookings[name].iloc[book.row]) for name in ("starts", "ends"))
    for number in range(book.hull.size):
        own, to = int(book.hull[number]), int(settled.moved.to[number])
        hull_id = str(book.hull_ids[own])
        base = {
            "starts": starts[number],
            "ends": ends[number],
            "hull_id": hull_id,
            "mooring_id": book.mooring[own],
            "kind": book.kind[own],
        }
        if to == CANCELLED:
            cost = float(book.cancel[number])
            why = f"{_in_the_way(number, settled, desk)}; {_no_sister(number, desk)}"
            rows.append(base | {"to_hull_id": "", "change": "cancel", "cost": cost, "why": why})
        elif to != own:
            why = _in_the_way(number, settled, desk)
            rows.append(
                base
                | {"to_hull_id": str(book.hull_ids[to]), "change": "move",
                   "cost": book.terms.move_cost, "why": why}
            )  # fmt: skip
        elif first.get(hull_id) == number:
            why = say_look_first(desk, hull_id, lifted.get(hull_id, np.inf), currency)
            rows.append(base | {"to_hull_id": "", "change": "look-first", "cost": 0.0, "why": why})
    table = pd.DataFrame(rows, columns=list(HIRES))
    table["cost"] = table["cost"].astype(float).round(2)
    return table.sort_values(["starts", "hull_id"], kind="stable", ignore_index=True)


def _in_the_way(number: int, settled: Settled, desk: Desk) -> str:
    book = desk.book
    own, alone = int(book.hull[number]), np.array([number])
    hull_id = str(book.hull_ids[own])
    for each in sorted(settled.closed, key=lambda one: not one.visit):
        clashes = each.hull == own and book.in_way(alone, each.start_h, each.end_h)[0]
        if clashes and hull_id in desk.stops and not desk.stops[hull_id].look_first:
            return f"{hull_id} must not sail: {desk.stops[hull_id].why}"
        if clashes:
            return f"{hull_id} is in the bay from {_clock(each.start_h)} to {_clock(each.end_h)}"
    return "makes room for another hire that moves"


def _no_sister(number: int, desk: Desk) -> str:
    book = desk.book
    if book.fixed[number]:
        return "the customer was promised this very hull"
    if not book.terms.may_move:
        return "hires may not move here"
    return f"no {book.kind[book.hull[number]]} of {book.mooring[book.hull[number]]} is free for it"


def _clock(hours: float) -> str:
    minutes = round(60 * (hours % 24))
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def moment_of(hours: float, desk: Desk) -> Any:
    """Return a local hour since midnight of the first day as a UTC moment, NaT for unknown."""
    if not np.isfinite(hours):
        return pd.NaT
    midnight = pd.Timestamp(desk.horizon.days[0])
    return moment_at(midnight + pd.Timedelta(minutes=round(60 * hours)), desk.horizon.zone)
