"""A pull-out in words: why, what a week's slip costs, what would change it."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
from scipy.special import ndtr, ndtri

from corrosion.common import after_days, formatting
from corrosion.workshop.plan.jobs import WEEK_DAYS, Job

YEARS_DAYS = 730.0
SOON_AGAIN_DAYS = 28.0
"""What stays in a hull is named where it is due within so many days after."""
WORTH_SAYING = 1.0
"""Currency below which a better day is not worth a word."""


def why(job: Job) -> str:
    """Say why a hull comes out: the anode it is for, the chance, and what is done with it."""
    sunday = job.setting.horizon.week_of[job.at] + timedelta(days=6)
    until = formatting.day(sunday, job.setting.horizon.zone, year=False)
    reason = job.setting.ahead.cells["why"][job.case.rows[job.lead]]
    chance = formatting.chance(job.chance(job.week_ends))
    sentences = [f"{reason}; chance of a worn anode by {until}: {chance}"]
    with_it = [
        f"{job.names[k]} (due by itself {_due(job, float(job.case.due[k]))})"
        for k in np.flatnonzero(job.replace)
        if k != job.lead
    ]
    if with_it:
        sentences.append(f"with it {formatting.listed(with_it)}")
    sentences += _left_behind(job)
    if job.pinned:
        reason = job.setting.away.reasons.get(job.case.hull_id, "")
        sentences.insert(0, f"pinned by the manager{f': {reason}' if reason else ''}")
    if job.unseen:
        sentences.append(f"never looked at: {formatting.listed(job.unseen)}")
    return "; ".join(sentences)


def _left_behind(job: Job) -> list[str]:
    """Name anodes that stay though they are due, or soon will be, with what keeps them."""
    sentences = []
    for k in np.flatnonzero(~job.replace & (job.case.due <= job.ahead_days + SOON_AGAIN_DAYS)):
        if job.case.due[k] > job.ahead_days + WEEK_DAYS:
            sentences.append(f"{job.names[k]} stays, due by {_due(job, float(job.case.due[k]))}")
            continue
        why_left = part_that_is_short(job, int(k)) or "it costs more than it saves"
        sentences.append(f"{job.names[k]} stays though it is due: {why_left}")
    return sentences


def part_that_is_short(job: Job, k: int) -> str:
    """Say until when the part of an anode is short on the day of the job; empty where it is not."""
    part, stock = job.case.part_numbers[k], job.setting.stock
    if part is None or not stock.short(part, job.day):
        return ""
    there = formatting.day(stock.arrives[part], job.setting.horizon.zone, year=False)
    return f"part {part} is short until {there}"


def _due(job: Job, days: float) -> str:
    horizon = job.setting.horizon
    if days > YEARS_DAYS:
        return "not for years"
    when = after_days(horizon.on, days, horizon.zone).date()
    return formatting.deadline(when, horizon.on, horizon.zone)


def slip(job: Job) -> str:
    """Say what the same work a week later costs, and the chance of a worn anode until then.

    Parameters
    ----------
    job : Job

    Returns
    -------
    str
        A sentence; its chances are by one and the same day, without the work and with it.
    """
    currency = job.appraisal.logbook.settings.currency
    money = "costs no more"
    if job.slip_cost >= 0.5:
        money = f"costs {formatting.price(job.slip_cost, currency)} more"
    until = job.ahead_days + WEEK_DAYS
    then = formatting.day(job.day + timedelta(days=7), job.setting.horizon.zone, year=False)
    waits, done = (formatting.chance(c) for c in (job.chance(until), job.chance_with_work(until)))
    # one date for both: a chance by another day would compare the calendar, not the work
    chance = f"{waits} either way" if waits == done else f"{waits} instead of {done}"
    return f"A week later {money}; chance of a worn anode by {then}: {chance}."


def would_change(job: Job) -> str:
    """Say what would change a line of the plan: a release, a reading, another free day."""
    changes = ["releasing the pin"] if job.pinned else []
    changes += [_look(job, number) for number in range(min(len(job.looks), 2))]
    if not any(look.before for look in job.looks) and job.replace.any():
        changes.append(reading_that_waits(job))
    if not job.pinned:
        changes.append(_better_day(job))
    return "; ".join(each for each in changes if each)


def _look(job: Job, number: int) -> str:
    look, settings = job.looks[number], job.appraisal.logbook.settings
    size = formatting.size(job.size_mm(look.anode, look.worn), settings.length_unit)
    worth = formatting.price(look.worth, settings.currency)
    odds, name = formatting.chance(look.chance), job.names[look.anode]
    if look.before:
        return (
            f"reading {name} before the pull-out: above {size} ({odds}) another plan is cheaper; "
            f"the look is worth {worth}"
        )
    return f"measuring {name} first: above {size} ({odds}) it may stay; the look is worth {worth}"


def reading_that_waits(job: Job) -> str:
    """Say above which reading the anode that the pull-out is for could wait another week.

    Parameters
    ----------
    job : Job

    Returns
    -------
    str, empty where no reading to be expected would do
    """
    k, ahead = job.lead, job.setting.ahead
    row, error = int(job.case.rows[k]), float(job.reading_errors[k])
    threshold = worn_that_waits(job, k, job.ahead_days + WEEK_DAYS, error)
    worn, sd = float(ahead.worn[row, 0]), float(np.hypot(ahead.sd[row, 0], error))
    chance = float(ndtr((threshold - worn) / sd))
    if threshold <= 0 or not 0.01 <= chance <= 0.99:
        return ""
    size = formatting.size(job.size_mm(k, threshold), job.appraisal.logbook.settings.length_unit)
    return (
        f"a reading of {job.names[k]} above {size} ({formatting.chance(chance)}) lets it "
        "wait a week"
    )


def worn_that_waits(job: Job, k: int, until: float, error: float) -> float:
    """Return the worn share, read today, up to which an anode may stay until some days ahead."""
    ahead, row = job.setting.ahead, int(job.case.rows[k])
    worn = float(np.interp(until, ahead.grid, ahead.worn[row])) - float(ahead.worn[row, 0])
    sd = float(np.interp(until, ahead.grid, ahead.sd[row]))
    # a reading replaces what is not known of today's size by its own error
    then = np.sqrt(max(sd**2 - float(ahead.sd[row, 0]) ** 2, 0.0) + error**2)
    return float(1.0 + ndtri(job.case.level[k]) * then - worn)


def _better_day(job: Job) -> str:
    """Say on which day it would come out if only it were free, where that saves anything."""
    setting, option = job.setting, job.option
    days = len(setting.horizon.days)
    some = option.best.replace.any(axis=1)
    cost = option.penalty[:days] + option.weighed.cost_with_rules[:days][:, some].min(axis=1)
    best = int(cost.argmin())
    if best == job.at or cost[job.at] - cost[best] < WORTH_SAYING:
        return ""
    day = formatting.day(setting.horizon.days[best], setting.horizon.zone, year=False)
    return f"if {_obstacle(job, best)} on {day}, it would come out then"


def _obstacle(job: Job, at: int) -> str:
    """Say what is in the way of another day, as a wish."""
    away, place = job.setting.away, job.option.hull_row
    if away.booked[place, at]:
        return "it were not on hire"
    if not away.free[place, at]:
        return "it were not held back"
    bays = job.setting.yard.at(str(away.mooring[place, at]))
    if not any(bay.open[at] for bay in bays):
        return "a bay were open"
    return "a bay were free"
