"""Share engine hours out over waters, salty wet hours and hours afloat, as each hull is used."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import HOURS_A_DAY, Codes, Floats
from corrosion.exposure import Exposure, Hours

MEMORY_DAYS = 56
USUAL_H = 10.0
"""Engine hours at which a hull's own flushing habit counts as much as its mooring's."""


@dataclass(frozen=True)
class Sharing:
    """How each hull's engine hours are spent, by its last eight weeks at its present mooring.

    Attributes
    ----------
    mooring : ndarray of int, shape (hulls,), -1 without a berth
    running : ndarray, shape (hulls, plain cells), rows summing to 1
    wet : ndarray, shape (hulls, unflushed cells, drying grid), unflushed hours an engine hour
    lying : ndarray of bool, shape (hulls, afloat cells), where the hull lies when it is in
    out : float, hours out an engine hour
    """

    mooring: Codes
    running: Floats
    wet: Floats
    lying: np.ndarray
    out: float

    @property
    def afloat(self) -> slice:
        """Return which plain cells are hours afloat: they stand last, and none runs there."""
        return slice(self.running.shape[1] - self.lying.shape[1], None)


def sharing(exposure: Exposure, until_h: Floats) -> Sharing:
    """Say how each hull's hours were spent in the weeks before a moment of its own.

    Parameters
    ----------
    exposure : Exposure
    until_h : ndarray, shape (hulls,), hours since 1970

    Returns
    -------
    Sharing
    """
    hulls = np.arange(len(exposure.hull_ids))
    berth = _present_berths(exposure, until_h)
    since = np.maximum(until_h - MEMORY_DAYS * HOURS_A_DAY, berth["start_h"].to_numpy(float))
    past = exposure.between(hulls, since, until_h)
    mooring = berth["mooring"].to_numpy(np.intp)
    code, _ = _codes(exposure, "afloat")
    return Sharing(
        mooring,
        _running_shares(exposure, past, mooring),
        _wet_per_hour(exposure, past, mooring),
        np.equal.outer(mooring, code) & berth["afloat"].to_numpy(bool)[:, None],
        _out_per_engine_hour(exposure),
    )


@dataclass(frozen=True)
class SharedOut:
    """Running totals of hours by state, as what each hull runs and lies and who has a share in it.

    Every cell of a hull is a share of the same few totals, so that thousands of hulls need not be
    laid out cell by cell to be weighted.

    Attributes
    ----------
    shares : Sharing
    engine, lying : ndarray, shape (hulls, d), engine hours and hours lying in
    engine_warm, lying_warm : ndarray, shape (hulls, d), the same times the degrees above 15 C
    """

    shares: Sharing
    engine: Floats
    engine_warm: Floats
    lying: Floats
    lying_warm: Floats

    def laid_out(self) -> Hours:
        """Return the hours in each cell, shape (hulls, d, ...)."""
        run, wet, lie = self.shares.running, self.shares.wet, self.shares.lying
        plain = run[:, None, :] * self.engine[:, :, None]
        warm = run[:, None, :] * self.engine_warm[:, :, None]
        plain[:, :, self.shares.afloat] = self.lying[:, :, None] * lie[:, None, :]
        warm[:, :, self.shares.afloat] = self.lying_warm[:, :, None] * lie[:, None, :]
        return Hours(
            plain, warm, wet[:, None] * self.engine[:, :, None, None],
            wet[:, None] * self.engine_warm[:, :, None, None],
        )  # fmt: skip

    def on_days(self, days: Codes) -> SharedOut:
        """Return the hours until chosen days, by their places."""
        return SharedOut(self.shares, *(total[:, days] for total in self._totals()))

    def times(self, factor: float) -> SharedOut:
        """Return so many times the hours."""
        return SharedOut(self.shares, *(total * factor for total in self._totals()))

    def _totals(self) -> tuple[Floats, Floats, Floats, Floats]:
        return self.engine, self.engine_warm, self.lying, self.lying_warm


def spent(shares: Sharing, engine: Floats, lying: Floats, degrees: Floats) -> SharedOut:
    """Return running totals of hours by state.

    Parameters
    ----------
    shares : Sharing
    engine, lying : ndarray, shape (hulls, steps), engine hours and hours lying in, of each step
    degrees : ndarray, shape (hulls, steps), degrees above 15 C

    Returns
    -------
    SharedOut
    """
    steps = (engine, engine * degrees, lying, lying * degrees)
    return SharedOut(shares, *(np.cumsum(step, axis=1) for step in steps))


def _present_berths(exposure: Exposure, until_h: Floats) -> pd.DataFrame:
    """Return each hull's present berth, one row a hull code; mooring -1 and ashore without one."""
    last = exposure.berths.drop_duplicates("hull", keep="last").set_index("hull")
    table = last.reindex(np.arange(len(exposure.hull_ids)))
    return table.assign(
        mooring=table["mooring"].fillna(-1).astype(int),
        start_h=table["start_h"].fillna(pd.Series(until_h, table.index)),
        afloat=table["afloat"].eq(True),
    )


def _out_per_engine_hour(exposure: Exposure) -> float:
    outings = exposure.outings
    length = float((outings["stop_h"] - outings["start_h"]).sum())
    return length / max(float(outings["engine_h"].sum()), 1e-9) if length else 1.0


def _codes(exposure: Exposure, state: str) -> tuple[Codes, np.ndarray]:
    cells = exposure.cells[exposure.cells["state"] == state]
    return exposure.mooring_ids.get_indexer(pd.Index(cells["mooring_id"])), cells["water"].to_numpy(
        object
    )


def _running_shares(exposure: Exposure, past: Hours, mooring: Codes) -> Floats:
    """Return where engine hours are run, shape (hulls, plain cells), rows summing to 1."""
    code, water = _codes(exposure, "running")
    own = exposure.waters.to_numpy(object)
    home = np.equal.outer(mooring, code) & np.equal.outer(own[mooring], water)
    at_mooring = np.equal.outer(mooring, code)
    seen = past.plain[:, : code.size] * at_mooring + 1e-3 * home
    shares = np.zeros((mooring.size, past.plain.shape[1]))
    shares[:, : code.size] = seen / np.maximum(seen.sum(axis=1, keepdims=True), 1e-9)
    return shares


def _wet_per_hour(exposure: Exposure, past: Hours, mooring: Codes) -> Floats:
    """Return unflushed hours an engine hour, shape (hulls, unflushed cells, drying grid)."""
    code, water = _codes(exposure, "unflushed")
    run_code, run_water = _codes(exposure, "running")
    match = np.equal.outer(run_code, code) & np.equal.outer(run_water, water)
    run = past.plain[:, : run_code.size]
    at_mooring = np.equal.outer(mooring, code)
    salty_run = run @ match
    fleet = (past.drying * at_mooring[:, :, None]).sum(axis=0) / np.maximum(
        (salty_run * at_mooring).sum(axis=0), 1e-9
    )[:, None]
    own = (past.drying + USUAL_H * fleet) / (salty_run + USUAL_H)[:, :, None]
    share = _running_shares(exposure, past, mooring)[:, : run_code.size] @ match
    return np.asarray(own * (share * at_mooring)[:, :, None])
