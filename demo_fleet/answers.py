"""The answer sheet: what only the maker knows. Definitions are written into it."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

import numpy as np
import pandas as pd

from demo_fleet.clock import Floats
from demo_fleet.desk import Tables
from demo_fleet.policy import could_flush_shares, habit_rates, mooring_ratios, share_saved
from demo_fleet.registers import Table
from demo_fleet.scenario import WATERS
from demo_fleet.truth import HullTruth, Life, World
from demo_fleet.workshop import Record
from demo_fleet.writing import arrow_table, write_table

DEFINITIONS = {
    "worn": "(new size - size) / (new size - limit size): 0 new, 1 at the limit",
    "crossing_at": "first moment at which worn is 1 if nobody touches the anode, the hull being "
    "used as it truly was and, after the last logged moment, as outings_ahead says; unknown: not "
    "before the horizon",
    "share_saved": "of the expected engine-circuit wear in salt and brackish water (running and "
    "unflushed; share of allowance, mean over the layout's engine-circuit positions; every hull's "
    "own factor and water temperature in it) over the 365 days to the last logged moment, summed "
    "over hulls: the part that goes away when, besides the flushes truly done, every hull is "
    "flushed one hour after the last return of each local day, could it be flushed there or not",
    "share_saved_where_possible": "the same, but the added flushes only, and the wear only of "
    "the hulls, where a hose reached the hull on more than half of its last returns",
    "habit_rates": "expected wear of the logged span by state: worn_per_100h over hours by the "
    "clock (unflushed: hours from the stop to the next flush or outing), "
    "worn_per_100_effective_h over drying hours, and worn_per_100_effective_h_15c at 15 C for a "
    "hull of factor 1; share of allowance, mean over the positions of that circuit on that hull",
    "raw_ratio": "expected worn a hull-day at the mooring over the fleet's, both circuits added",
    "adjusted_ratio": "the hours of all hulls in each state and hour, as if all had lived "
    "in that mooring's water and warmth, hull factors and stray current left out; worn a hull-day "
    "over the mean of the moorings weighted by their true hull-days",
}


def lives_table(
    truths: list[HullTruth], records: list[Record], tables: Tables, world: World
) -> Table:
    """One row per anode life, with its true crossing; ``current`` ones are in a hull in service."""
    sold = {t.hull.hull_id for t in truths if t.hull.last_day < world.scenario.days}
    lives = [life for record in records for life in record.lives]
    stamps = world.calendar.stamps
    end = np.array([world.end_h])
    removed_h = np.array([life.removed_h for life in lives])
    out = pd.DataFrame(
        {
            "hull_id": [life.hull_id for life in lives],
            "position": [life.position.position for life in lives],
            "life": [life.number for life in lives],
            "fitted_at": stamps(np.array([life.fitted_h for life in lives])),
            "removed_at": stamps(removed_h),
            "crossing_at": stamps(np.array([life.crossing_h() for life in lives])),
            "start_worn": [life.start_worn for life in lives],
            "worn_at_removal": [_worn_at_removal(life) for life in lives],
            "worn_at_end": [
                float(life.worn(end)[0]) if np.isinf(life.removed_h) else np.nan for life in lives
            ],
            "alloy": [life.alloy for life in lives],
            "anode_factor": [life.factor for life in lives],
            "current": [np.isinf(life.removed_h) and life.hull_id not in sold for life in lives],
            "written": [life.written for life in lives],
        }
    )
    keys = ["hull_id", "position", "life"]
    rows = tables["fittings"][[*keys, "entry_id"]]
    return out.merge(rows, on=keys, how="left").rename(columns={"entry_id": "fitting_entry_id"})


def _worn_at_removal(life: Life) -> float:
    if np.isinf(life.removed_h):
        return np.nan
    return float(life.worn(np.array([life.removed_h]))[0])


def weekly_marks_h(world: World) -> Floats:
    """The last logged moment and every 168 hours before and after it, within the grid (h)."""
    count = int(world.end_h // 168)
    after = int((world.marks_h[-1] - world.end_h) // 168)
    return np.asarray(world.end_h + 168.0 * np.arange(-count, after + 1), dtype=np.float64)


def worn_weekly(records: list[Record], world: World) -> Table:
    """
    True worn at weekly marks.

    Returns
    -------
    DataFrame
        ``hull_id``, ``position``, ``life``, ``at``, ``worn``; ``untouched`` marks the rows after
        the last logged moment, which hold only if nobody touches the anode.
    """
    marks = weekly_marks_h(world)
    parts = [_weekly(life, marks, world) for record in records for life in record.lives]
    return pd.concat(parts, ignore_index=True)


def _weekly(life: Life, marks_h: Floats, world: World) -> Table:
    own_h = marks_h[(marks_h >= life.fitted_h) & (marks_h < life.removed_h)]
    return pd.DataFrame(
        {
            "hull_id": life.hull_id,
            "position": life.position.position,
            "life": life.number,
            "at": world.calendar.stamps(own_h),
            "worn": np.round(life.worn(own_h), 5),
            "untouched": own_h > world.end_h + 1e-6,
        }
    )


def readings_true(tables: Tables) -> Table:
    """True size at each reading that was taken (also at those later corrected)."""
    readings = tables["readings"]
    out = readings[["entry_id", "hull_id", "position", "true_size_mm"]].copy()
    out["true_size_mm"] = out["true_size_mm"].round(3)
    return out


def hulls_true(truths: list[HullTruth], world: World) -> Table:
    """True wear factor of each hull, how hard it is worked, and how often it could be flushed."""
    return pd.DataFrame(
        {
            "hull_id": [truth.hull.hull_id for truth in truths],
            "factor": [truth.factor for truth in truths],
            "busy": [truth.hull.busy for truth in truths],
            "could_flush_share": could_flush_shares(truths, world),
        }
    )


def outings_ahead(truths: list[HullTruth], world: World) -> Table:
    """What the hulls will truly do after the last logged moment."""
    parts = []
    for truth in truths:
        use = truth.use
        ahead = use.end_h > world.end_h
        parts.append(
            pd.DataFrame(
                {
                    "hull_id": truth.hull.hull_id,
                    "started": world.calendar.stamps(use.start_h[ahead]),
                    "ended": world.calendar.stamps(use.end_h[ahead]),
                    "engine_hours": np.round(use.engine_h[ahead], 3),
                    "water": [WATERS[w] for w in use.water[ahead]],
                }
            )
        )
    return pd.concat(parts, ignore_index=True)


def summary(seed: int, truths: list[HullTruth], world: World) -> dict[str, object]:
    """The numbers of the answer sheet, with their definitions."""
    physics = asdict(world.physics)
    physics["rates"] = {water: asdict(rates) for water, rates in world.physics.rates.items()}
    return {
        "simulated": True,
        "seed": seed,
        "last_logged_moment": str(world.calendar.stamps(np.array([world.end_h]))[0]),
        "physics": physics,
        "pace_by_position": {f"{p.layout} {p.position}": p.pace for p in world.scenario.positions},
        "share_saved": share_saved(truths, world, only_possible=False),
        "share_saved_where_possible": share_saved(truths, world, only_possible=True),
        "moorings": mooring_ratios(truths, world).to_dict("records"),
        "habits": habit_rates(truths, world).to_dict("records"),
        "definitions": DEFINITIONS,
    }


def answer_tables(
    truths: list[HullTruth], records: list[Record], tables: Tables, world: World
) -> Tables:
    """The tables of the answer sheet, but for the planted faults."""
    return {
        "hulls": hulls_true(truths, world),
        "lives": lives_table(truths, records, tables, world),
        "worn_weekly": worn_weekly(records, world),
        "readings": readings_true(tables),
        "outings_ahead": outings_ahead(truths, world),
    }


def write_answers(folder: Path, sheet: dict[str, object], tables: Tables) -> None:
    """``answers.json`` and one Parquet file a table."""
    folder.mkdir(parents=True, exist_ok=True)
    text = json.dumps(_rounded(sheet), indent=1, sort_keys=True)
    (folder / "answers.json").write_text(text + "\n", encoding="utf-8")
    for name, table in tables.items():
        write_table(arrow_table(table), folder / f"{name}.parquet")


def _rounded(value: object) -> object:
    """Numbers to six significant digits, so that another machine's last bit does not show."""
    if isinstance(value, dict):
        return {str(key): _rounded(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_rounded(each) for each in value]
    return float(f"{value:.6g}") if isinstance(value, float) else value
