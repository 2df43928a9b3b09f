"""Flush logs that are kept badly: rinses not written down, ticked in bulk, or no log at all."""

from __future__ import annotations

import numpy as np
import pandas as pd

from .plans import Plan
from .use import Use

SIX = pd.Timedelta(hours=18)

Tables = dict[str, pd.DataFrame]


def kept_badly(
    tables: Tables, uses: list[Use], plan: Plan, start: pd.Timestamp, rng: np.random.Generator
) -> Tables:
    """The logs with the flush log as that fleet's staff keep it; the truth is left alone."""
    flushes = tables["flushes"]
    if plan.lost_flushes:
        lost = (flushes["done"] == "yes") & (rng.random(len(flushes)) < plan.lost_flushes)
        flushes = flushes[~lost]
    if plan.all_at_six:
        at_six = flushes["flushed_at"].dt.floor("D") + SIX
        flushes = flushes.assign(
            flushed_at=flushes["flushed_at"].where(flushes["done"] != "yes", at_six)
        )
    if plan.ticked_days:
        flushes = _ticked(flushes, tables["outings"], plan, rng)
    if plan.silent_moorings:
        flushes = flushes[~_silent(flushes, tables, uses, plan, start)]
    ordered = flushes.sort_values("flushed_at", kind="stable", ignore_index=True)
    return tables | {"flushes": ordered}


def _ticked(
    flushes: pd.DataFrame, outings: pd.DataFrame, plan: Plan, rng: np.random.Generator
) -> pd.DataFrame:
    """On some days, one tick at 18:00 for every hull that was out, in place of what was done."""
    days = outings["ended"].dt.floor("D").drop_duplicates()
    chosen = days[rng.random(len(days)) < plan.ticked_days]
    out = outings.assign(day=outings["ended"].dt.floor("D"))
    out = out[out["day"].isin(chosen)].drop_duplicates(["hull_id", "day"])
    ticks = pd.DataFrame(
        {"hull_id": out["hull_id"], "flushed_at": out["day"] + SIX, "minutes": 10.0, "done": "yes"}
    )
    other_days = flushes[~flushes["flushed_at"].dt.floor("D").isin(chosen)]
    every = pd.concat([other_days, ticks], ignore_index=True)
    return every.astype({"flushed_at": flushes["flushed_at"].dtype})


def _silent(
    flushes: pd.DataFrame, tables: Tables, uses: list[Use], plan: Plan, start: pd.Timestamp
) -> pd.Series:
    """Which rows belong to a mooring that keeps no log."""
    number = {hull: at for at, hull in enumerate(tables["hulls"]["hull_id"])}
    hour = (flushes["flushed_at"] - start) / pd.Timedelta(hours=1)
    silent = []
    for hull_id, at_h in zip(flushes["hull_id"], hour, strict=True):
        use = uses[number[hull_id]]
        last = max(int(np.searchsorted(use.start_h, at_h)) - 1, 0)
        silent.append(int(use.mooring[last]) in plan.silent_moorings)
    return pd.Series(silent, index=flushes.index)
