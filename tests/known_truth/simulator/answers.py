"""What the fleet's maker knows about habits, flushing and moorings, from the true mean wear.

Means leave out the scatter of single anodes and keep each hull's own pace. Worn is a share of the
allowance, for the average position of the circuit on that hull.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from demo_fleet.clock import TRUTH_YEAR_H
from demo_fleet.sums_of_truth import against_the_fleet, share_avoided, wear_per_100_hours

from .craft import ENGINE, HULL, Hull
from .physics import Floats, warmth
from .plans import BRACKISH, FRESH, SALT, WATERS
from .timeline import Timeline, build_timeline
from .truth import TrueFleet
from .use import Use

CIRCUITS = ("engine", "hull")


def share_saved(fleet: TrueFleet, on: pd.Timestamp, delay_h: float = 1.0) -> float:
    """Share of the engine circuit's wear that rinsing after each day's last return would avoid.

    Over the 365 days to `on`, in salt and brackish water, hulls weighted by their wear. The rinse
    comes `delay_h` hours after the return, unless the hull goes out again before.
    """
    until_h = fleet.hours(on)
    as_was = as_rinsed = 0.0
    for hull, use, line in zip(fleet.hulls, fleet.uses, fleet.timelines, strict=True):
        worn_per_mm = _worn_per_mm(fleet, hull, ENGINE) * hull.pace[ENGINE]
        rinsed = build_timeline(
            hull,
            _rinsed_daily(use, delay_h),
            np.empty(0),
            float(line.bound_h[-1]),
            fleet.plan,
            fleet.physics,
            fleet.moorings,
        )
        as_was += worn_per_mm * _salty_engine_mm(line, until_h)
        as_rinsed += worn_per_mm * _salty_engine_mm(rinsed, until_h)
    return share_avoided(as_was, as_rinsed)


def habit_rates(fleet: TrueFleet, on: pd.Timestamp) -> pd.DataFrame:
    """True wear by operating state, up to `on`.

    Returns
    -------
    DataFrame
        `circuit`, `water`, `state`, `hours` (by the clock), `effective_hours` (the same, but
        drying for `unflushed`), `worn_per_100h` and `worn_per_100_effective_h` (as happened,
        summed over hulls), `worn_per_100_effective_h_15c` (at 15 °C, for a
        hull of average pace and a mooring of average rate).
    """
    states = (
        (ENGINE, "running", "running_h", "running_h", "running_water", "running_mm"),
        (ENGINE, "unflushed", "unflushed_h", "wet_h", "wet_water", "unflushed_mm"),
        (ENGINE, "afloat", "afloat_h", "afloat_h", "afloat_water", "flooded_mm"),
        (HULL, "afloat", "afloat_h", "afloat_h", "afloat_water", "afloat_mm"),
    )
    rows = [_habit(fleet, on, water, *state) for state in states for water in range(3)]
    return pd.DataFrame([row for row in rows if row is not None])


def mooring_ratios(fleet: TrueFleet, on: pd.Timestamp) -> pd.DataFrame:
    """True wear at each mooring against the fleet's mean, as `against_the_fleet` says it.

    Equal use: the fleet's average hours a day in each state, put to each mooring's water, warmth
    and rate; both circuits weigh alike.
    """
    numbers = range(len(fleet.moorings))
    hull_days, worn = zip(*(_at_mooring(fleet, on, number) for number in numbers), strict=True)
    until_h = fleet.hours(on)
    return against_the_fleet(
        [mooring.mooring_id for mooring in fleet.moorings],
        [WATERS[mooring.water] for mooring in fleet.moorings],
        hull_days,
        worn,
        [_equal_use(fleet, until_h, number) for number in numbers],
    )


def _worn_per_mm(fleet: TrueFleet, hull: Hull, circuit: int) -> float:
    """Worn for each mm of surface wear, mean over the layout's positions of a circuit."""
    places = [each for each in fleet.layouts[hull.layout] if each.circuit == circuit]
    return float(np.mean([each.loss_per_surface_mm / each.allowance_mm for each in places]))


def _rinsed_daily(use: Use, delay_h: float) -> Use:
    following = np.append(use.start_h[1:], np.inf)[: len(use.end_h)]
    rinse = use.end_h + delay_h
    added = rinse[use.last_of_day & (rinse < following)]
    return replace(use, flush_h=np.sort(np.concatenate([use.flush_h, added])))


def _salty_engine_mm(line: Timeline, until_h: float) -> float:
    """Engine-circuit wear of the last year that came from salt or brackish water."""
    middle = (line.bound_h[1:] + line.bound_h[:-1]) / 2
    counted = (middle < until_h) & (middle > until_h - TRUTH_YEAR_H)
    ran = counted & (line.running_water != FRESH)
    lay = counted & (line.afloat_water != FRESH)
    from_engine = line.running_mm[ran].sum() + line.unflushed_mm[ran].sum()
    return float(from_engine + line.flooded_mm[lay].sum())


def _habit(
    fleet: TrueFleet,
    on: pd.Timestamp,
    water: int,
    circuit: int,
    state: str,
    hours: str,
    effective: str,
    where: str,
    wear: str,
) -> dict[str, object] | None:
    """One row of `habit_rates`; none where no hour was spent so or the state does not wear."""
    until_h = fleet.hours(on)
    clock = drying = worn = 0.0
    for hull, line in zip(fleet.hulls, fleet.timelines, strict=True):
        there = (getattr(line, where) == water) & (line.bound_h[1:] <= until_h)
        clock += float(getattr(line, hours)[there].sum())
        drying += float(getattr(line, effective)[there].sum())
        per_mm = _worn_per_mm(fleet, hull, circuit) * hull.pace[circuit]
        worn += per_mm * float(getattr(line, wear)[there].sum())
    if not clock or (state == "afloat" and circuit == ENGINE and not fleet.plan.flooded_afloat):
        return None
    average = np.mean([_worn_per_mm(fleet, hull, circuit) for hull in fleet.hulls])
    return {
        "circuit": CIRCUITS[circuit],
        "water": WATERS[water],
        "state": state,
        **wear_per_100_hours(clock, drying, worn),
        "worn_per_100_effective_h_15c": 100 * average * _rate(fleet, circuit, state)[water],
    }


def _rate(fleet: TrueFleet, circuit: int, state: str) -> Floats:
    """Surface wear in mm an effective hour, by water."""
    physics = fleet.physics
    if state == "running":
        return physics.running_mm_per_h
    if state == "unflushed":
        return physics.unflushed_mm_per_h
    return physics.flooded_mm_per_h if circuit == ENGINE else physics.afloat_mm_per_h


def _at_mooring(fleet: TrueFleet, on: pd.Timestamp, number: int) -> tuple[float, float]:
    """Hull-days at a mooring, and worn there."""
    until_h = fleet.hours(on)
    worn = hours = 0.0
    for hull, line in zip(fleet.hulls, fleet.timelines, strict=True):
        middle = (line.bound_h[1:] + line.bound_h[:-1]) / 2
        there = (line.mooring == number) & (line.bound_h[1:] <= until_h)
        there &= (middle >= hull.joins_day * 24) & (middle < hull.leaves_day * 24)
        hours += float(np.diff(line.bound_h)[there].sum())
        for circuit in (ENGINE, HULL):
            per_mm = _worn_per_mm(fleet, hull, circuit) * hull.pace[circuit]
            worn += per_mm * float(line.circuit_mm(circuit)[there].sum())
    return hours / 24, worn


def _equal_use(fleet: TrueFleet, until_h: float, number: int) -> float:
    """Worn a day at a mooring under the use, rinsing and berthing of the average hull."""
    mooring, physics = fleet.moorings[number], fleet.physics
    running, wet, afloat, lying = _average_day(fleet, until_h)
    water = mooring.water
    engine_mm = running * physics.running_mm_per_h[water] + wet * physics.unflushed_mm_per_h[water]
    engine_mm += lying * physics.flooded_mm_per_h[water]
    hull_mm = afloat * physics.afloat_mm_per_h[water]
    engine, hull = (
        np.mean([_worn_per_mm(fleet, each, circuit) for each in fleet.hulls])
        for circuit in (ENGINE, HULL)
    )
    heat = float(np.mean(warmth(mooring.temperature_c(np.arange(0, until_h, 24.0)), physics)))
    return float(mooring.rate_factor * heat * (engine * engine_mm + hull * hull_mm))


def _average_day(fleet: TrueFleet, until_h: float) -> tuple[float, float, float, float]:
    """Hours a day running, wet (effective, where there is salt to dry), afloat, lying afloat."""
    totals = np.zeros(5)
    for line in fleet.timelines:
        past = line.bound_h[1:] <= until_h
        salty = past & np.isin(line.running_water, (SALT, BRACKISH))
        totals += [
            line.running_h[past].sum(),
            line.wet_h[past].sum(),
            line.afloat_h[past].sum(),
            line.running_h[salty].sum() / max(line.running_h[past].sum(), 1e-9),
            line.afloat_h[past & (line.running_h == 0)].sum(),
        ]
    days = len(fleet.timelines) * until_h / 24
    salty_share = max(totals[3] / len(fleet.timelines), 1e-9)
    return (
        totals[0] / days,
        totals[1] / days / salty_share,
        totals[2] / days,
        totals[4] / days,
    )
