"""The desk: how the truth is written down, before anything goes wrong with the writing.

Every event table carries ``entry_id``, ``entered_at``, ``entered_by`` (a role) and, until it is
written to disk, ``_file`` (the file it goes to). Nothing after the last logged moment is in it,
bookings excepted.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd

from demo_fleet.clock import Floats, Ints
from demo_fleet.registers import (
    Table,
    berths_table,
    hulls_table,
    moorings_table,
    no_later,
    positions_table,
    stamps,
)
from demo_fleet.salt import conductivity_ms_per_cm
from demo_fleet.scenario import WATERS, Scenario
from demo_fleet.season import book, could_flush, last_of_day
from demo_fleet.truth import HullTruth, Life, World
from demo_fleet.workshop import Look, Record
from demo_fleet.yard import berth_at

Tables = dict[str, pd.DataFrame]


def _entered(world: World, event_h: Floats, rng: np.random.Generator) -> Floats:
    """When a row was keyed in: mostly within the hour, a tenth next morning, none in future."""
    soon = event_h + np.exp(rng.normal(np.log(0.3), 0.7, len(event_h)))
    morning = world.calendar.hours(world.calendar.day_of(event_h) + 1, 7.4)
    late = np.where(rng.random(len(event_h)) < 0.1, morning, soon)
    return np.minimum(np.maximum(late, event_h), np.maximum(world.end_h, event_h))


def _file_names(table: Table, time: str, by: str, timezone: str) -> list[str]:
    """One file per month or quarter of local time."""
    local = pd.DatetimeIndex(table[time]).tz_convert(timezone)
    if by == "month":
        return [f"{at.year}-{at.month:02d}" for at in local]
    return [f"{at.year}-q{at.quarter}" for at in local]


def _number(table: Table, letter: str) -> Table:
    ids = [f"{letter}{count:05d}" for count in range(1, len(table) + 1)]
    return table.assign(entry_id=ids)


def _outings_of(truth: HullTruth, world: World, rng: np.random.Generator) -> Table:
    use = truth.use
    home = world.mooring_water[use.berths.mooring[berth_at(use.berths, use.start_h)]]
    water_noted = (use.water != home) | (rng.random(len(use.water)) < 0.3)
    water = [WATERS[w] if t else None for w, t in zip(use.water, water_noted, strict=True)]
    first_meter = float(round(rng.uniform(150.0, 1900.0), 1))
    return pd.DataFrame(
        {
            "hull_id": truth.hull.hull_id,
            "started": stamps(world, use.start_h),
            "ended": stamps(world, use.end_h),
            "engine_hours": np.round(use.engine_h, 1),
            "water": water,
            "meter_hours": np.round(first_meter + np.cumsum(use.engine_h), 1),
            "entered_at": stamps(world, _entered(world, use.end_h, rng)),
        }
    )


def outings_table(truths: list[HullTruth], world: World, rng: np.random.Generator) -> Table:
    """Every outing that has ended, in the order of return."""
    table = pd.concat([_outings_of(truth, world, rng) for truth in truths], ignore_index=True)
    table = no_later(table, "ended", world).sort_values(["ended", "hull_id"], ignore_index=True)
    table["entered_by"] = np.where(
        table["ended"].dt.tz_convert(world.scenario.timezone).dt.hour < 15,
        "dock, early shift", "dock, late shift",
    )  # fmt: skip
    table["_file"] = _file_names(table, "ended", "month", world.scenario.timezone)
    return _number(table, "o")


def _not_flushed(
    truth: HullTruth, world: World, rng: np.random.Generator
) -> tuple[Floats, list[str]]:
    """Some of the day's ends without a flush are written down as such (h, word)."""
    use = truth.use
    last = last_of_day(world.calendar.day_of(use.start_h))
    after = np.append(use.flush_h, np.inf)[np.searchsorted(use.flush_h, use.end_h)]
    bare = last & (after > use.end_h + 14.0)
    possible = could_flush(use.berths, world.scenario, use.end_h)
    water = world.mooring_water[use.berths.mooring[berth_at(use.berths, use.end_h)]]
    written = bare & (water < 2) & (rng.random(len(bare)) < np.where(possible, 0.35, 0.45))
    words = np.where(possible, "no", "could-not")
    return np.round((use.end_h[written] + 0.25) * 60) / 60, [str(word) for word in words[written]]


def _flushes_of(truth: HullTruth, world: World, rng: np.random.Generator) -> Table:
    none_h, words = _not_flushed(truth, world, rng)
    done_h = truth.use.flush_h
    at_h = np.concatenate([done_h, none_h])
    minutes = np.concatenate([rng.integers(4, 12, len(done_h)).astype(float),
                              np.full(len(none_h), np.nan)])  # fmt: skip
    yes = [None if chance < 0.4 else "yes" for chance in rng.random(len(done_h))]
    method = np.where(truth.hull.stays == "lifted", "wash pad", "pontoon hose")
    return pd.DataFrame(
        {
            "hull_id": truth.hull.hull_id,
            "flushed_at": stamps(world, at_h),
            "minutes": minutes,
            "done": [*yes, *words],
            "method": [str(method)] * len(done_h) + [None] * len(none_h),
            "entered_at": stamps(world, _entered(world, at_h, rng)),
        }
    )  # fmt: skip


def flushes_table(truths: list[HullTruth], world: World, rng: np.random.Generator) -> Table:
    """Flushes done, and some of those that were not."""
    table = pd.concat([_flushes_of(truth, world, rng) for truth in truths], ignore_index=True)
    table = no_later(table, "flushed_at", world)
    table = table.sort_values(["flushed_at", "hull_id"], ignore_index=True)
    table["entered_by"] = "dock, late shift"
    table["_file"] = _file_names(table, "flushed_at", "month", world.scenario.timezone)
    return _number(table, "f")


def _fitting(life: Life) -> dict[str, object]:
    usual = life.position.alloy
    size = life.position.new_size_mm - life.start_worn * life.position.allowance_mm
    return {
        "hull_id": life.hull_id,
        "position": life.position.position,
        "at_h": life.fitted_h,
        "size_mm": round(size, 1) if life.start_worn > 0 else np.nan,
        "alloy": life.alloy if life.alloy != usual or life.number % 2 == 0 else None,
        "batch": life.batch,
        "life": life.number,
    }


def fittings_table(records: list[Record], world: World, rng: np.random.Generator) -> Table:
    """Anodes put in; the column ``life`` stays off the disk and joins rows to the truth."""
    rows = [_fitting(life) for record in records for life in record.lives]
    table = pd.DataFrame(rows).sort_values(["at_h", "hull_id", "position"], ignore_index=True)
    at_h = table.pop("at_h").to_numpy(dtype=np.float64)
    table.insert(2, "fitted_at", stamps(world, at_h))
    table["entered_at"] = stamps(world, _entered(world, at_h, rng))
    table["entered_by"] = "workshop"
    table["_file"] = "all"
    return _number(table, "a")


def _reading(look: Look) -> dict[str, object]:
    return {
        "hull_id": look.hull_id,
        "position": look.position,
        "at_h": look.at_h,
        "size_mm": look.size_mm,
        "size_low_mm": look.low_mm,
        "size_high_mm": look.high_mm,
        "verdict": look.verdict,
        "removed": look.removed,
        "cleaned": look.cleaned,
        "potential_mv": look.potential_mv,
        "bond_ohm": look.bond_ohm,
        "note": look.note,
        "true_size_mm": look.true_size_mm,
        "crust_mm": look.crust_mm,
    }


def readings_table(records: list[Record], world: World, rng: np.random.Generator) -> Table:
    """Looks at anodes; ``true_size_mm`` and ``crust_mm`` stay off the disk."""
    rows = [_reading(look) for record in records for look in record.looks]
    table = pd.DataFrame(rows).sort_values(["at_h", "hull_id"], kind="stable", ignore_index=True)
    at_h = table.pop("at_h").to_numpy(dtype=np.float64)
    table.insert(2, "read_at", stamps(world, at_h))
    for flag in ("removed", "cleaned"):
        table[flag] = table[flag].astype("boolean")
    table["removed"] = table["removed"].where(table["removed"])  # nobody ticks a "no"
    table["entered_at"] = stamps(world, _entered(world, at_h, rng))
    table["entered_by"] = "workshop"
    table["_file"] = _file_names(table, "read_at", "quarter", world.scenario.timezone)
    return _number(table, "r")


def _sample_days(scenario: Scenario, rng: np.random.Generator) -> Ints:
    gaps = rng.choice([6, 7, 8, 13, 14], size=scenario.days // 5)
    days = np.cumsum(gaps) - 4
    return np.append(days[days < scenario.days - 2], scenario.days)


def _samples_at(mooring_id: str, world: World, rng: np.random.Generator) -> Table:
    """Water samples at one mooring; salinity swings with the tide, a tenth is conductivity only."""
    days = _sample_days(world.scenario, rng)
    local = np.where(days == world.scenario.days, 7.0, rng.uniform(7.5, 11.0, len(days)))
    tide = np.sin(2 * np.pi * (days * 24 + local) / 12.42)
    mean = world.weather.salinity_g_per_kg[mooring_id][days]
    salinity = np.maximum(mean * (1 + 0.07 * tide + rng.normal(0, 0.03, len(days))), 0.02)
    temperature = world.weather.temperature_c[mooring_id][days] + rng.normal(0, 0.3, len(days))
    with_meter = (rng.random(len(days)) < 0.4) & (salinity > 1.0)
    conductivity = conductivity_ms_per_cm(salinity, temperature)
    only_meter = with_meter & (rng.random(len(days)) < 0.25)
    return pd.DataFrame(
        {
            "mooring_id": mooring_id,
            "sampled_at": stamps(world, world.calendar.hours(days, local)),
            "salinity_g_per_kg": np.where(only_meter, np.nan, np.round(salinity, 2)),
            "conductivity_ms_per_cm": np.where(with_meter, np.round(conductivity, 2), np.nan),
            "temperature_c": np.round(temperature, 1),
        }
    )


def samples_table(world: World, rng: np.random.Generator) -> Table:
    """Looks at the water; the last one is the last logged moment."""
    parts = [_samples_at(m.mooring_id, world, rng) for m in world.scenario.moorings]
    table = pd.concat(parts, ignore_index=True).sort_values(
        ["sampled_at", "mooring_id"], ignore_index=True
    )
    first_place = table["mooring_id"] == world.scenario.moorings[0].mooring_id
    last = world.calendar.stamps(np.array([world.end_h]))[0]
    same_day = table["sampled_at"] > last - pd.Timedelta(hours=2)
    table["sampled_at"] = table["sampled_at"].where(~(first_place & same_day), last)
    table["entered_by"] = "dock, early shift"
    table["_file"] = "all"
    return _number(table, "w")


def bookings_table(truths: list[HullTruth], world: World, rng: np.random.Generator) -> Table:
    """Bookings past and six weeks ahead."""
    parts = [book(t.use, t.hull, world.scenario, world.calendar, rng) for t in truths]
    table = pd.concat(parts, ignore_index=True).sort_values(
        ["starts", "hull_id"], ignore_index=True
    )
    table["_file"] = _file_names(table, "starts", "quarter", world.scenario.timezone)
    return _number(table, "b")


def write_down(
    truths: list[HullTruth], records: list[Record], world: World,
    stream: Callable[[str], np.random.Generator],
) -> Tables:  # fmt: skip
    """Every log, faultless as yet."""
    tables = {
        "hulls": hulls_table(truths, world),
        "moorings": moorings_table(world.scenario),
        "berths": berths_table(truths, world),
        "water_samples": samples_table(world, stream("samples")),
        "anode_positions": positions_table(world.scenario),
        "outings": outings_table(truths, world, stream("outings")),
        "flushes": flushes_table(truths, world, stream("flushes")),
        "fittings": fittings_table(records, world, stream("fittings")),
        "readings": readings_table(records, world, stream("readings")),
        "bookings": bookings_table(truths, world, stream("bookings")),
    }
    return {log: t if "_file" in t else t.assign(_file="all") for log, t in tables.items()}
