"""Draw a whole fleet: water, hulls, use, wear, the yard, and the logs of it all."""

from __future__ import annotations

import zlib
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pandas as pd

from . import books
from .anodes import FIT_AFTER_LOOK_H, OtherAlloys, Yard, draw_visits
from .craft import Hull, Position, draw_hulls, draw_positions
from .flush_books import kept_badly
from .mistakes import NOTHING_PLANTED, spoil
from .physics import Floats, Physics, draw_physics
from .plans import KINDS, Plan
from .strays import draw_strays
from .timeline import Timeline, build_timeline
from .truth import TrueFleet
from .use import Use, draw_use, rested, season, stormy, with_minutes
from .waters import Mooring, draw_moorings


@dataclass(frozen=True)
class _World:
    """What everybody in the fleet shares."""

    plan: Plan
    physics: Physics
    start: pd.Timestamp
    moorings: list[Mooring]
    layouts: dict[str, list[Position]]
    activity: Floats

    @property
    def end_h(self) -> float:
        return 24.0 * len(self.activity)


def simulate(kind: str, seed: int, plan: Plan | None = None) -> TrueFleet:
    """Draw one fleet of a kind.

    Parameters
    ----------
    kind
        A name in `KINDS`, or any name when a plan of your own is given.
    seed
        Same kind and seed, same fleet.
    plan
        In place of the kind's own.

    Returns
    -------
    TrueFleet
        Logs and truth; `write` puts the logs into a folder.
    """
    plan = KINDS[kind] if plan is None else plan
    rng = np.random.default_rng([seed, zlib.crc32(kind.encode())])
    world = _draw_world(plan, rng)
    if plan.storms:
        storm_dice = np.random.default_rng([seed, zlib.crc32(b"storms")])
        world = replace(world, activity=stormy(world.activity, plan.storms, storm_dice))
    hulls = draw_hulls(plan, world.physics, world.moorings, list(world.layouts), rng)
    uses = [draw_use(each, plan, world.moorings, world.activity, rng) for each in hulls]
    uses = rested(uses, plan)
    if plan.dose_minutes:
        dose_dice = np.random.default_rng([seed, zlib.crc32(b"minutes")])
        uses = [with_minutes(use, dose_dice) for use in uses]
    # strays have dice of their own: a kind without any is drawn as it was
    dice = np.random.default_rng([seed, zlib.crc32(b"strays")])
    strays = draw_strays(plan, hulls, world.layouts, world.moorings, dice)
    alloy_dice = np.random.default_rng([seed, zlib.crc32(b"alloys")])
    alloys = OtherAlloys(plan.other_alloys, alloy_dice) if plan.other_alloys else None
    habit_dice = np.random.default_rng([seed, zlib.crc32(b"habits of the yard")])
    yard = Yard(plan, world.physics, rng, strays, alloys, habit_dice)
    timelines = [_carry(world, hull, use, yard) for hull, use in zip(hulls, uses, strict=True)]
    tables = _tables(world, hulls, uses, yard, rng)
    tables = kept_badly(tables, uses, plan, world.start, rng)
    tables, planted = spoil(tables, rng) if plan.messy else (tables, NOTHING_PLANTED)
    return TrueFleet(
        kind=kind,
        seed=seed,
        plan=plan,
        physics=world.physics,
        start=world.start,
        moorings=world.moorings,
        layouts=world.layouts,
        hulls=hulls,
        uses=uses,
        timelines=timelines,
        lives=yard.lives,
        all_looks=yard.looks,
        strays=strays,
        tables=tables,
        planted=planted,
        alloy_paces=alloys.pace if alloys else {},
    )


def write(fleet: TrueFleet, folder: Path | str, on: pd.Timestamp | None = None) -> Path:
    """Write the fleet's logs into a folder; the folder.

    With a moment `on`, hires booked after it are left out: the book as it stood then.
    """
    tables = fleet.tables
    if on is not None and "bookings" in tables:
        book = tables["bookings"]
        tables = tables | {"bookings": book[book[books.TAKEN] <= fleet.hours(on)]}
    return books.write_logs(tables, fleet.kind, fleet.seed, Path(folder))


def _draw_world(plan: Plan, rng: np.random.Generator) -> _World:
    day_of_year = int(rng.integers(plan.start_day_of_year[0], plan.start_day_of_year[1] + 1))
    start = pd.Timestamp("2031-01-01", tz="UTC") + pd.Timedelta(days=day_of_year - 1)
    total = plan.days + plan.tail_days
    winter = float(rng.uniform(*plan.winter_activity))
    return _World(
        plan=plan,
        physics=draw_physics(plan, rng),
        start=start,
        moorings=draw_moorings(plan, day_of_year, total, rng),
        layouts=draw_positions(plan, rng),
        activity=season(day_of_year, start.weekday(), total, winter),
    )


def _carry(world: _World, hull: Hull, use: Use, yard: Yard) -> Timeline:
    """One hull through its whole time, every position of its layout."""
    visits = draw_visits(hull, world.plan, yard.rng)
    extra = np.concatenate([visits, visits + FIT_AFTER_LOOK_H, [hull.joins_day * 24.0 + 6.0]])
    line = build_timeline(hull, use, extra, world.end_h, world.plan, world.physics, world.moorings)
    for position in world.layouts[hull.layout]:
        yard.keep(hull, position, line, visits)
    return line


def _tables(
    world: _World, hulls: list[Hull], uses: list[Use], yard: Yard, rng: np.random.Generator
) -> dict[str, pd.DataFrame]:
    """Every log of the contract, cut at the end of the logs."""
    clock, plan = books.Clock(world.start), world.plan
    end = world.start + pd.Timedelta(days=plan.days)
    pairs = list(zip(hulls, uses, strict=True))
    outings = pd.concat([books.outing_log(clock, *pair, world.moorings, rng) for pair in pairs])
    flushes = pd.concat([books.flush_log(clock, *pair, rng) for pair in pairs])
    bookings = pd.concat([books.booking_log(clock, *pair, plan, rng) for pair in pairs])
    tables = books.register_logs(clock, plan, hulls, world.moorings, world.layouts)
    tables["water_samples"] = books.water_log(clock, world.moorings, plan.days, rng)
    tables["outings"] = _in_order(outings[outings["ended"] <= end], "ended")
    tables["flushes"] = _in_order(flushes[flushes["flushed_at"] <= end], "flushed_at")
    tables["fittings"] = _in_order(books.fitting_log(clock, yard.lives), "fitted_at")
    tables["readings"] = _in_order(books.reading_log(clock, yard.looks), "read_at")
    if plan.bookings:
        tables["bookings"] = _in_order(bookings, "starts")
    return tables


def _in_order(table: pd.DataFrame, time: str) -> pd.DataFrame:
    return table.sort_values(time, kind="stable", ignore_index=True)
