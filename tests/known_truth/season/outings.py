"""Every outing that was drawn for a fleet, with the rows of the logs that tell of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tests.known_truth.season.worlds import World
from tests.known_truth.simulator.physics import Floats
from tests.known_truth.simulator.use import Use

LOST = -1


@dataclass
class Outings:
    """Every outing of the fleet, and which hull makes it under this policy.

    Attributes
    ----------
    hull : ndarray of int, shape (m,), number of the hull that makes it, LOST for none
    start_h, end_h, engine_h : ndarray, shape (m,)
    water, mooring : ndarray of int, shape (m,)
    row : ndarray of int, shape (m,), row of the log `outings`, -1 after the log ends
    booking : ndarray of int, shape (m,), row of the log `bookings`, -1 for who walked up
    rinse : ndarray, shape (m,), hour of the rinse that followed, NaN for none
    rinse_row : ndarray of int, shape (m,), its row of the log `flushes`, -1 for none
    """

    hull: np.ndarray
    start_h: Floats
    end_h: Floats
    engine_h: Floats
    water: np.ndarray
    mooring: np.ndarray
    row: np.ndarray
    booking: np.ndarray
    rinse: Floats
    rinse_row: np.ndarray

    def of_day(self, day: int) -> np.ndarray:
        """Return the outings that begin on a day and are made."""
        start = self.start_h
        return np.flatnonzero((start >= 24.0 * day) & (start < 24.0 * (day + 1)) & (self.hull >= 0))


def read_outings(world: World) -> Outings:
    """Lay out every outing of the fleet as it was drawn, with the rows that tell of it."""
    fleet, uses = world.fleet, world.fleet.uses
    number = np.concatenate([np.full(len(use.start_h), i) for i, use in enumerate(uses)])
    joined = {
        name: np.concatenate([getattr(use, name) for use in uses])
        for name in ("start_h", "end_h", "engine_h", "water", "mooring")
    }
    rinse = np.concatenate([_rinses(use) for use in uses])
    ids = np.array([hull.hull_id for hull in fleet.hulls], dtype=object)[number]
    tables = fleet.tables
    return Outings(
        number, joined["start_h"], joined["end_h"], joined["engine_h"], joined["water"],
        joined["mooring"], _rows(world, tables["outings"], "started", ids, joined["start_h"]),
        _rows(world, tables["bookings"], "starts", ids, np.floor(joined["start_h"] * 2) / 2),
        rinse, _rows(world, tables["flushes"], "flushed_at", ids, rinse),
    )  # fmt: skip


def _rinses(use: Use) -> Floats:
    """Return the hour of the rinse that followed each outing before the next; NaN for none."""
    following = np.append(use.start_h[1:], np.inf)[: len(use.end_h)]
    at = np.searchsorted(use.flush_h, use.end_h)
    hour = np.append(use.flush_h, np.inf)[at]
    return np.where(hour < following, hour, np.nan)


def _rows(world: World, log: pd.DataFrame, time: str, ids: np.ndarray, hours: Floats) -> np.ndarray:
    """Return the row of a log that tells of each hull's hour, -1 where none does."""
    second = ((log[time] - world.fleet.start) / pd.Timedelta(seconds=1)).round().to_numpy(float)
    of = {key: at for at, key in enumerate(zip(log["hull_id"], second, strict=True))}
    seconds = np.round(hours * 3600.0)
    return np.array([of.get(key, -1) for key in zip(ids, seconds, strict=True)], dtype=int)
