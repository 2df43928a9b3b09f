"""What the demo fleet wrote down of itself: hulls, moorings, places for anodes, berths."""

from __future__ import annotations

import numpy as np
import pandas as pd

from demo_fleet.clock import Floats
from demo_fleet.scenario import Scenario
from demo_fleet.truth import HullTruth, World

Table = pd.DataFrame


def stamps(world: World, hours: Floats) -> pd.Series[pd.Timestamp]:
    """Moments as a column."""
    return pd.Series(world.calendar.stamps(hours))


def hulls_table(truths: list[HullTruth], world: World) -> Table:
    """The register of hulls."""
    hulls = [truth.hull for truth in truths]
    calendar = world.calendar
    years = np.array([3 + (7 * hull.number) % 5 for hull in hulls])
    sold = np.array(
        [hull.last_day if hull.last_day < world.scenario.days else -1 for hull in hulls]
    )
    retired_h = np.where(sold >= 0, calendar.hours(np.maximum(sold, 0), 0.0), np.nan)
    first = pd.Timestamp(world.scenario.first_day)
    born = [(first - pd.DateOffset(years=int(y))).tz_localize(calendar.timezone) for y in years]
    return pd.DataFrame(
        {
            "hull_id": [hull.hull_id for hull in hulls],
            "name": [hull.name for hull in hulls],
            "layout": [hull.layout for hull in hulls],
            "in_service": pd.DatetimeIndex(born).tz_convert("UTC").as_unit("us"),
            "retired": stamps(world, retired_h),
        }
    )


def moorings_table(scenario: Scenario) -> Table:
    """The register of moorings."""
    return pd.DataFrame(
        {
            "mooring_id": [m.mooring_id for m in scenario.moorings],
            "name": [m.name for m in scenario.moorings],
            "water": [m.water for m in scenario.moorings],
            "salinity_g_per_kg": [m.salinity_g_per_kg for m in scenario.moorings],
            "flush_point": pd.array([m.flush_point for m in scenario.moorings], dtype="boolean"),
            "shore_power": pd.array([m.shore_power for m in scenario.moorings], dtype="boolean"),
        }
    )


def positions_table(scenario: Scenario) -> Table:
    """The register of anode positions; the true pace is nobody's to see."""
    return pd.DataFrame([vars(p) for p in scenario.positions]).drop(columns="pace")


def no_later(table: Table, time: str, world: World) -> Table:
    """Rows until the last logged moment."""
    last = world.calendar.stamps(np.array([world.end_h]))[0]
    return table[table[time] <= last].reset_index(drop=True)


def berths_table(truths: list[HullTruth], world: World) -> Table:
    """Where each hull lives, from when."""
    places = [m.mooring_id for m in world.scenario.moorings]
    parts = [
        pd.DataFrame(
            {
                "hull_id": truth.hull.hull_id,
                "mooring_id": [places[m] for m in truth.use.berths.mooring],
                "stays": np.where(truth.use.berths.afloat, "afloat", "lifted"),
                "since": world.calendar.stamps(truth.use.berths.since_h),
                "pontoon": truth.use.berths.pontoon,
            }
        )
        for truth in truths
    ]
    table = no_later(pd.concat(parts, ignore_index=True), "since", world)
    sold = world.calendar.stamps(24.0 * np.array([truth.hull.last_day for truth in truths]))
    sold_at = table["hull_id"].map(dict(zip([t.hull.hull_id for t in truths], sold, strict=True)))
    return table[table["since"] < sold_at].reset_index(drop=True)
