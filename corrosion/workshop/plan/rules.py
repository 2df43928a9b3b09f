"""The rules of a plan, one function each: rows of the programme with their limits."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from corrosion.common import Codes, Floats
from corrosion.workshop.plan.columns import usual_week
from corrosion.workshop.plan.horizon import LATER_WEEKS
from corrosion.workshop.plan.options import NONE
from corrosion.workshop.plan.programme import Programme
from corrosion.workshop.plan.rows import Rows

MOST_JOBS = 6
USUAL_JOB_H = 3.0
"""Hours kept free for a pull-out that nobody planned, where bays are limited by hours alone."""


def one_time_a_hull(programme: Programme) -> Rows:
    """Every hull has one time: a day, a later week, or far ahead; a pinned one, its pin."""
    rows, columns = Rows(), programme.columns
    for number in range(len(programme.options)):
        own = columns.option == number
        free = own & ~columns.pinned & ~columns.dropped
        dropped = np.flatnonzero(own & columns.dropped)
        if not dropped.size:
            rows.add(_where(free), np.ones(free.sum()), 1.0, 1.0)
            continue
        pinned = np.flatnonzero(own & columns.pinned)
        rows.add([*pinned, *dropped], np.ones(pinned.size + 1), 1.0, 1.0)
        rows.add([*_where(free), *dropped], [*np.ones(free.sum()), -1.0], 0.0, 0.0)
    return rows


def hulls_a_day(programme: Programme) -> Rows:
    """No bay takes more hulls in a day than it can."""
    limits = [place.hulls for place in programme.setting.yard.bays]
    return _daily(programme, limits, np.ones(programme.columns.count))


def hours_a_day(programme: Programme) -> Rows:
    """No bay works longer in a day than it can."""
    places, columns = programme.setting.yard.bays, programme.columns
    rows = _daily(programme, [place.hours for place in places], columns.hours)
    for number, place in enumerate(places):
        in_bay = columns.bay == number
        for day in np.flatnonzero(np.isfinite(place.hours) & place.open):
            jobs = np.flatnonzero(in_bay & (columns.day == day))
            _few_long_jobs(rows, jobs, columns.hours[jobs], float(place.hours[day]))
    return rows


def _few_long_jobs(rows: Rows, jobs: Codes, hours: Floats, limit: float) -> None:
    """Say again, rounded, how many long jobs fit: it follows from the hours and shortens proofs.

    Hours are counted in parts of the limit and rounded down, by a dual feasible function of
    Fekete and Schepers (Mathematical Programming 91, 2001, 11-31; cited from memory).
    """
    if limit <= 0 or hours.sum() <= limit:
        return
    for fit in range(1, MOST_JOBS + 1):
        share = (fit + 1) * hours / limit
        even = np.abs(share - np.round(share)) < 1e-9
        weight = np.where(even, fit * hours / limit, np.floor(share))
        if weight.sum() > fit:
            heavy = weight > 0
            rows.add(jobs[heavy], weight[heavy], 0.0, float(fit))


def _daily(programme: Programme, limits: Sequence[Floats], weight: Floats) -> Rows:
    rows, columns = Rows(), programme.columns
    for place, limit in enumerate(limits):
        in_bay = columns.bay == place
        for day in np.flatnonzero(np.isfinite(limit)):
            chosen = np.flatnonzero(in_bay & (columns.day == day))
            if weight[chosen].sum() > limit[day]:
                rows.add(chosen, weight[chosen], 0.0, float(limit[day]))
    return rows


def a_slot_for_the_unplanned(programme: Programme) -> Rows:
    """Every week each mooring keeps pull-outs free; pins may use them."""
    rows, setting, columns = Rows(), programme.setting, programme.columns
    weeks = np.array(setting.horizon.week_of, dtype=object)
    for mooring in sorted({place.mooring_id for place in setting.yard.bays}):
        for week in sorted(set(weeks)):
            days = np.flatnonzero(weeks == week)
            chosen = np.flatnonzero((programme.mooring == mooring) & np.isin(columns.day, days))
            places = setting.yard.at(mooring)
            hulls = sum(float(place.hulls[days].sum()) for place in places)
            hours = sum(float(place.hours[days].sum()) for place in places)
            _keep_free(rows, programme, chosen, hulls, hours)
    return rows


def _keep_free(rows: Rows, programme: Programme, chosen: Codes, hulls: float, hours: float) -> None:
    columns, unplanned = programme.columns, programme.setting.yard.unplanned
    if not unplanned or not chosen.size:
        return
    pinned = columns.pinned[chosen]
    if np.isfinite(hulls):
        pins = len({int(number) for number in columns.option[chosen][pinned]})
        most = max(hulls - unplanned, min(hulls, 1.0), float(pins))
        rows.add(chosen, np.ones(chosen.size), 0.0, most)
    elif np.isfinite(hours):
        most = max(hours - unplanned * USUAL_JOB_H, hours / 2, 0.0)
        rows.add(chosen[~pinned], columns.hours[chosen[~pinned]], 0.0, most)
        _few_long_jobs(rows, chosen[~pinned], columns.hours[chosen[~pinned]], most)


def room_in_later_weeks(programme: Programme) -> Rows:
    """Weeks beyond the horizon take no more hulls and hours than a full week does."""
    rows, setting, columns = Rows(), programme.setting, programme.columns
    for mooring in sorted({place.mooring_id for place in setting.yard.bays}):
        hulls, hours = usual_week(setting.yard, mooring)
        most = max(hulls - setting.yard.unplanned, min(hulls, 1.0))
        for week in range(LATER_WEEKS):
            that_week = (programme.mooring == mooring) & (columns.later == week)
            chosen = np.flatnonzero(that_week)
            if np.isfinite(most) and chosen.size > most:
                rows.add(chosen, np.ones(chosen.size), 0.0, most)
            if np.isfinite(hours) and columns.hours[chosen].sum() > hours:
                rows.add(chosen, columns.hours[chosen], 0.0, hours)
    return rows


def mechanics_hours(programme: Programme) -> Rows:
    """Work at a mooring needs hours of mechanics who go there; theirs are shared by moorings."""
    rows, columns, yard = Rows(), programme.columns, programme.setting.yard
    if not yard.crews:
        return rows
    of_crew: dict[tuple[int, int], list[int]] = {}
    of_mooring_day: dict[tuple[str, int], list[int]] = {}
    for number, (crew, mooring, day) in enumerate(programme.shifts):
        of_crew.setdefault((crew, day), []).append(programme.of_shift(number))
        of_mooring_day.setdefault((mooring, day), []).append(programme.of_shift(number))
    for (crew, day), shifts in of_crew.items():
        rows.add(shifts, np.ones(len(shifts)), 0.0, float(yard.crews[crew].hours[day]))
    near = columns.day != NONE
    for mooring, day in sorted(
        {(m, int(d)) for m, d in zip(programme.mooring[near], columns.day[near], strict=True)}
    ):
        jobs = np.flatnonzero((programme.mooring == mooring) & (columns.day == day))
        given = of_mooring_day.get((mooring, day), [])
        values = [*columns.hours[jobs], *(-np.ones(len(given)))]
        rows.add([*jobs, *given], values, -np.inf, 0.0)
    for day in np.unique(columns.day[near]):
        jobs = np.flatnonzero(columns.day == day)
        _few_long_jobs(
            rows, jobs, columns.hours[jobs], sum(float(c.hours[day]) for c in yard.crews)
        )
    return rows


def parts_in_stock(programme: Programme) -> Rows:
    """Until a delivery can be there, no more pieces are used than lie within reach."""
    rows, columns, stock = Rows(), programme.columns, programme.setting.stock
    of_part: dict[str, list[int]] = {}
    for number, (part, mooring) in enumerate(programme.drawn):
        variable = programme.of_drawn(number)
        of_part.setdefault(part, []).append(variable)
        pieces = columns.parts[part]
        used = np.flatnonzero((pieces > 0) & (programme.mooring == mooring))
        own = float(stock.at.get(part, {}).get(mooring, 0))
        rows.add([*used, variable], [*pieces[used], -1.0], -np.inf, own)
    for part, variables in of_part.items():
        common = float(stock.common.get(part, 0))
        if part not in programme.couriers:
            rows.add(variables, np.ones(len(variables)), 0.0, common)
            continue
        sent = programme.of_courier(list(programme.couriers).index(part))
        most = float(columns.parts[part].sum())
        rows.add([*variables, sent], [*np.ones(len(variables)), -most], -np.inf, common)
    return _before_the_courier(programme, rows)


def _before_the_courier(programme: Programme, rows: Rows) -> Rows:
    """Say that a courier helps only from the day on which he is there."""
    columns, stock, horizon = programme.columns, programme.setting.stock, programme.setting.horizon
    of_part: dict[str, list[int]] = {}
    for number, (part, mooring) in enumerate(programme.drawn_early):
        variable = programme.of_drawn_early(number)
        of_part.setdefault(part, []).append(variable)
        there = stock.couriers[part].day
        before = np.array([day < there for day in horizon.days])
        near = (columns.day != NONE) & before[np.maximum(columns.day, 0)]
        pieces = columns.parts[part]
        used = np.flatnonzero((pieces > 0) & (programme.mooring == mooring) & near)
        own = float(stock.at.get(part, {}).get(mooring, 0))
        rows.add([*used, variable], [*pieces[used], -1.0], -np.inf, own)
    for part, variables in of_part.items():
        rows.add(variables, np.ones(len(variables)), 0.0, float(stock.common.get(part, 0)))
    return rows


def hires_that_sisters_take(programme: Programme) -> Rows:
    """No more hulls of a kind lose a hire on a day than sisters are free; else hires are lost."""
    rows, columns, desk = Rows(), programme.columns, programme.setting.desk
    if desk is None or not programme.sisters:
        return rows
    of_pair: dict[tuple[str, int], list[int]] = {}
    for column in np.flatnonzero(columns.displaces):
        place = programme.options[columns.option[column]].hull_row
        of_pair.setdefault((desk.kind(place), int(columns.day[column])), []).append(int(column))
    for number, pair in enumerate(programme.sisters):
        own = of_pair[pair]
        lost = programme.of_sisters(number)
        spare = desk.spare.get(pair, 0.0)
        rows.add([*own, lost], [*np.ones(len(own)), -1.0], -np.inf, spare)
    return rows


def _where(flags: np.ndarray) -> Codes:
    return np.flatnonzero(flags)


RULES: dict[str, Callable[[Programme], Rows]] = {
    "one time a hull": one_time_a_hull,
    "hulls a bay takes in a day": hulls_a_day,
    "hours of the bay": hours_a_day,
    "the slot kept for the unplanned": a_slot_for_the_unplanned,
    "room in later weeks": room_in_later_weeks,
    "hours of the mechanics": mechanics_hours,
    "parts in stock": parts_in_stock,
    "hires that sisters take": hires_that_sisters_take,
}
