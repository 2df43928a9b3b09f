"""The schedule of looks: for every anode the next date, what sets it, what it is worth."""

from __future__ import annotations

import time
from dataclasses import dataclass
from datetime import date, timedelta, tzinfo

import numpy as np
import pandas as pd
from scipy.special import ndtr, ndtri

from corrosion.common import Floats, dates_after_days
from corrosion.forecast import Appraisal
from corrosion.workshop.berth_groups import Surprise, berth_groups, doubtful_berths, surprises
from corrosion.workshop.looks.assumed import what_is_assumed
from corrosion.workshop.looks.at_stake import Ground, lay_out_ground
from corrosion.workshop.looks.latest import REASONS, latest_looks
from corrosion.workshop.looks.worth import Worth, best_looks, weigh_looks
from corrosion.workshop.overrides import monday_of
from corrosion.workshop.plan import Plan
from corrosion.workshop.plan.prices import MEASURE_MINUTES

WEIGHED_DAYS = np.concatenate([np.arange(0.0, 30.0, 2.0), np.arange(35.0, 120.0, 7.0)])
SOON_DAYS = 7.0
SHARED_DAYS = 21.0
"""Under covers that come off, what is due within so many days after that is measured as well."""
ACTED_DAYS = 14.0
"""What a reading asks for is done within so many days: one week to the next plan, one to a day."""
WAITS_DAYS = 7.0
"""A look waits so long for a pull-out of its hull, where no manual forbids it."""
SETTLED = 0.9
"""A reading is no news where so many of those that may come would bring the anode out."""
LOOKS = (
    *("hull_id", "position", "mooring_id", "look_by", "why", "worth", "cost", "minutes"),
    *("with_pull_out", "asks", "changes", "act_size_mm", "act_chance", "group", "layout"),
    *("access_group", "order", "last_read_at", "last_size_mm", "worn", "new_size_mm"),
    *("limit_size_mm", "days"),
)


@dataclass(frozen=True)
class Looks:
    """A schedule of looks.

    Attributes
    ----------
    on : Timestamp, UTC
    week : date, Monday of the week of the round
    table : DataFrame, one row an anode in service, by date: hull_id, position, mooring_id, look_by
        (date), why (``limit``, ``sentinel``, ``manual``, ``odd``, ``unread``, ``pays``), worth and
        cost (currency; worth unknown where nothing was ever seen), minutes, with_pull_out (date of
        the planned pull-out that takes the look along, or None), asks (bool; False: at its limit
        whatever a reading would show, the work is a pull-out), changes (chance that it changes what
        is done), act_size_mm (read at or below: pull out) and act_chance (how likely), group (of
        berths), layout, access_group, order (of access), last_read_at, last_size_mm, worn,
        new_size_mm, limit_size_mm, days (ahead, less than 0 where overdue)
    round : DataFrame, rows of `table` to be looked at in the week, in the order of a walk
    surprises : tuple of Surprise, hulls whose wear rose at their last look
    assumed : tuple of str, what was taken for granted
    seconds : float, time to work it out
    """

    on: pd.Timestamp
    week: date
    table: pd.DataFrame
    round: pd.DataFrame
    surprises: tuple[Surprise, ...]
    assumed: tuple[str, ...]
    seconds: float


def schedule_looks(
    appraisal: Appraisal, plan: Plan | None = None, week: date | None = None
) -> Looks:
    """Work out when to look at each anode next.

    Parameters
    ----------
    appraisal : Appraisal
    plan : Plan, whose pull-outs take looks along; None: no pull-out is planned
    week : date, a day of the week of the round; None: the plan's week, else that of the report

    Returns
    -------
    Looks
    """
    begun = time.perf_counter()
    settings, on = appraisal.logbook.settings, appraisal.forecast.on
    today = on.tz_convert(settings.timezone).date()
    monday = monday_of(week or (plan.week if plan else today))
    ground, groups = lay_out_ground(appraisal), berth_groups(appraisal)
    surprised = surprises(appraisal, groups)
    doubtful = doubtful_berths(appraisal, groups)
    table = _dated(ground, latest_looks(appraisal, ground, groups, surprised, doubtful))
    table = _told(table, ground, groups)
    table["asks"] &= ~_settled(table, on)
    if plan is not None:
        table = _along(table, plan, on, settings.timezone)
    table = _shared(table, ground)
    whole = pd.concat([table, _never_seen(appraisal, ground, groups)], ignore_index=True)
    ahead = whole["days"].to_numpy(float).clip(min=0.0)
    whole["look_by"] = dates_after_days(on, ahead, settings.timezone)
    whole = whole.sort_values(["look_by", "hull_id", "order", "position"], kind="stable")
    whole = whole[list(LOOKS)].reset_index(drop=True)
    return Looks(
        on, monday, whole, _round(whole, monday, overdue=week is None or monday <= today),
        tuple(surprised),
        what_is_assumed(appraisal, ground.prices), time.perf_counter() - begun,
    )  # fmt: skip


def _dated(ground: Ground, latest: pd.DataFrame) -> pd.DataFrame:
    """Give every anode its date, its reason, and the worth of a look then."""
    worth = weigh_looks(ground.courses, ground.stakes, WEIGHED_DAYS)
    best, gain = best_looks(worth, ground.alone)
    pays = np.where(gain > 0, worth.days[best], np.inf)
    columns = latest[list(REASONS)].to_numpy(float)
    first = columns.argmin(axis=1)
    latest_days = columns[np.arange(len(columns)), first]
    early = pays < latest_days
    why = np.where(early, "pays", np.array(REASONS, dtype=object)[first])
    days = np.where(early, pays, latest_days)
    return pd.DataFrame(
        {
            "days": days,
            "why": why,
            "worth": _at(worth.worth, worth, days),
            "changes": _at(worth.changes, worth, days),
            "worth_now": worth.worth[:, 0],
            "asks": ~latest["known_past"].to_numpy(bool),
            "cost": ground.alone,
        }
    )


def _at(values: Floats, worth: Worth, days: Floats) -> Floats:
    return np.array(
        [float(np.interp(day, worth.days, row)) for day, row in zip(days, values, strict=True)]
    )


def _told(table: pd.DataFrame, ground: Ground, groups: pd.DataFrame) -> pd.DataFrame:
    """Add what the anode is, and what a reading would bring about."""
    anodes = ground.anodes
    names = ("hull_id", "position", "mooring_id", "layout", "access_group", "order")
    more = ("last_read_at", "last_size_mm", "worn", "new_size_mm", "limit_size_mm")
    table = table.assign(**{name: anodes[name].array for name in (*names, *more)})
    size, chance = _acts(ground, table["days"].to_numpy(float))
    minutes = anodes["access_minutes"].to_numpy(float) + MEASURE_MINUTES
    return table.assign(
        act_size_mm=size, act_chance=chance, with_pull_out=None, minutes=minutes,
        group=anodes["hull_id"].map(groups["group"]).array, covers=ground.group,
    )  # fmt: skip


def _acts(ground: Ground, days: Floats) -> tuple[Floats, Floats]:
    """Return the size read at which the anode is to come out at once, and how likely that is.

    At once: left alone, its chance of being past its limit would go over the tolerated risk before
    a pull-out of the week after could come.
    """
    courses, grid = ground.courses, ground.courses.grid
    far = float(ndtri(1.0 - ground.stakes.tolerated))
    at = np.searchsorted(grid, np.clip(days, 0.0, grid[-1] - ACTED_DAYS))
    beyond = np.empty(len(days))
    for place in np.unique(at):
        rows = at == place
        moves, left = courses.taught(int(place))
        then = int(np.searchsorted(grid, grid[place] + ACTED_DAYS))
        short = 1.0 - far * left[rows, then] - courses.worn[rows, then]
        beyond[rows] = short / np.maximum(moves[rows, then], 1e-6)
    rows = np.arange(len(days))
    spread = np.hypot(courses.sd[rows, at], courses.error)
    share = np.clip(courses.worn[rows, at] + beyond * spread, 0.0, 1.0)
    anodes = ground.anodes
    new, limit = (anodes[n].to_numpy(float) for n in ("new_size_mm", "limit_size_mm"))
    return new - share * (new - limit), ndtr(-beyond)


def _settled(table: pd.DataFrame, on: pd.Timestamp) -> np.ndarray:
    """Tell where hardly any reading would change that a pull-out is due, and one was just taken."""
    lately = (table["last_read_at"] > on - pd.Timedelta(days=ACTED_DAYS)).to_numpy(bool)
    near = (table["days"] <= SOON_DAYS).to_numpy(bool) & table["why"].eq("limit").to_numpy(bool)
    return np.asarray(lately & near & (table["act_chance"] > SETTLED).to_numpy(bool))


def _along(table: pd.DataFrame, plan: Plan, on: pd.Timestamp, zone: tzinfo) -> pd.DataFrame:
    """Let planned pull-outs take along the looks that they serve."""
    at = {(h, p): row for row, (h, p) in enumerate(zip(table["hull_id"], table["position"],
                                                       strict=True))}  # fmt: skip
    days, along = table["days"].to_numpy(float).copy(), table["with_pull_out"].to_numpy(object)
    along = along.copy()
    local = pd.Timestamp(on.tz_convert(zone).date())
    for pull in plan.pulls.to_dict("records"):
        ahead = float((pd.Timestamp(pull["day"]) - local).days)
        for position in (*pull["replace"], *pull["measure"]):
            row = at.get((pull["hull_id"], position))
            if row is None or along[row] is not None:
                continue
            waits = 0.0 if table["why"].iat[row] == "manual" else WAITS_DAYS
            if ahead <= max(days[row], 0.0) + waits:
                days[row], along[row] = ahead, pull["day"]
    free = np.array([each is not None for each in along])
    return table.assign(
        days=days, with_pull_out=along, cost=np.where(free, 0.0, table["cost"]),
        minutes=np.where(free, MEASURE_MINUTES, table["minutes"]),
    )  # fmt: skip


def _shared(table: pd.DataFrame, ground: Ground) -> pd.DataFrame:
    """Measure what is nearly due, or worth its own minutes, under covers that come off anyway."""
    free = np.array([each is None for each in table["with_pull_out"]]) & table["asks"]
    days, why = table["days"].to_numpy(float).copy(), table["why"].to_numpy(object).copy()
    cost, minutes = table["cost"].to_numpy(float).copy(), table["minutes"].to_numpy(float).copy()
    worth = table["worth"].to_numpy(float).copy()
    for rows in table.groupby("covers").indices.values():
        own = rows[free.to_numpy(bool)[rows]]
        if not own.size:
            continue
        first = max(float(days[own].min()), 0.0)
        now = table["worth_now"].to_numpy(float)[own]
        pays = (now > ground.measures[own]) & (first <= SOON_DAYS)
        near = days[own] <= first + SHARED_DAYS
        joins = own[pays | near]
        why[own[pays & ~near]] = "pays"
        worth[own[pays & ~near]] = now[pays & ~near]
        days[joins] = np.minimum(days[joins], first)
        cost[joins] = ground.opens[joins] / joins.size + ground.measures[joins]
        minutes[joins] = (minutes[joins] - MEASURE_MINUTES) / joins.size + MEASURE_MINUTES
    return table.assign(days=days, why=why, worth=worth, cost=cost, minutes=minutes)


def _never_seen(appraisal: Appraisal, ground: Ground, groups: pd.DataFrame) -> pd.DataFrame:
    """Return a row for each position that nobody ever saw: unread, today."""
    anodes = appraisal.forecast.anodes
    unseen = anodes.loc[
        ~np.isfinite(appraisal.forecast.chance[:, 0]),
        ["hull_id", "position", "layout", "new_size_mm", "limit_size_mm"],
    ]
    table = unseen.merge(ground.prices.positions, on=["layout", "position"], how="left")
    berths = appraisal.checked.berths.sort_values("since", kind="stable")
    mooring = berths.drop_duplicates("hull_id", keep="last").set_index("hull_id")["mooring_id"]
    minutes = table["access_minutes"] + MEASURE_MINUTES
    return table.assign(
        mooring_id=table["hull_id"].map(mooring), days=0.0, why="unread", worth=np.nan,
        changes=np.nan, asks=True, minutes=minutes,
        cost=ground.prices.wage * minutes / 60.0 + table["seal_cost"], with_pull_out=None,
        act_size_mm=np.nan, act_chance=np.nan, group=table["hull_id"].map(groups["group"]),
        last_read_at=pd.Series(pd.NaT, index=table.index, dtype="datetime64[us, UTC]"),
        last_size_mm=np.nan, worn=np.nan,
    ).reindex(columns=list({*LOOKS, "days"} - {"look_by"}))  # fmt: skip


def _round(table: pd.DataFrame, monday: date, *, overdue: bool) -> pd.DataFrame:
    """Return what is to be measured in a week, by mooring and berth, hull after hull, by access.

    What is due before it belongs to the first round that can still be walked.
    """
    ends = monday + timedelta(days=7)
    begins = date.min if overdue else monday
    due = np.array([begins <= each < ends for each in table["look_by"]], bool)
    own = np.array([each is None for each in table["with_pull_out"]], bool)
    rows: pd.DataFrame = table[due & own & table["asks"].to_numpy(bool)]
    order = ["mooring_id", "group", "hull_id", "order", "position"]
    return rows.sort_values(order, kind="stable").reset_index(drop=True)
