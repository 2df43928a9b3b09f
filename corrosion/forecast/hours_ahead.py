"""Hours that wear each anode in service: those behind it, and those ahead of its hull."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from corrosion.common import Codes, Floats, hours_since_epoch
from corrosion.exposure import DRYING_GRID_H
from corrosion.forecast.unwritten_wear import unwritten_hours
from corrosion.forecast.usage_forecast import Ahead
from corrosion.forecast.use_by_state import SharedOut, Sharing
from corrosion.life_model import (
    Columns,
    Fit,
    PackedHours,
    Rates,
    Terms,
    acting_cells,
    pack,
    wear_of_cells,
    wearing_columns,
)
from corrosion.records import Checked


@dataclass(frozen=True)
class HoursOfAnodes:
    """Hours of anodes in service: until now, and ahead, with the spread of each.

    Attributes
    ----------
    lives : ndarray of int, shape (k,), place of each life in the filter
    since_start : PackedHours of k anodes
    alike : ndarray of int, shape (k,), which of the `kinds` each anode is
    kinds : ndarray of int, shape (u, 3): hull code, 1 on an engine circuit, code of its alloy
    ahead : Ahead
    use_sd : ndarray, shape (k, d), spread of the use ahead, as a share
    unwritten : Columns of shape (k, ...), hours since the last look that no entry tells; None where
        all are in place
    unwritten_sd : ndarray, shape (k,), their spread, as a share
    """

    lives: Codes
    since_start: PackedHours
    alike: Codes
    kinds: Codes
    ahead: Ahead
    use_sd: Floats
    unwritten: Columns | None = None
    unwritten_sd: Floats | float = 0.0

    @cached_property
    def alike_in_wear(self) -> list[tuple[bool, int, Codes]]:
        """Return on an engine circuit or not, code of the alloy, and the kinds that are so."""
        pairs, pair = np.unique(self.kinds[:, 1:], axis=0, return_inverse=True)
        return [
            (bool(engine), int(alloy), np.flatnonzero(pair.reshape(-1) == number))
            for number, (engine, alloy) in enumerate(pairs)
        ]


def hours_of_anodes(fit: Fit, checked: Checked, ahead: Ahead, serving: pd.Series) -> HoursOfAnodes:
    """Gather the hours of the anodes in hulls that are in service and have a berth.

    Parameters
    ----------
    fit : Fit
    checked : Checked
    ahead : Ahead
    serving : Series of hull ids in service

    Returns
    -------
    HoursOfAnodes
    """
    design, exposure, table = fit.model.design, fit.exposure, fit.lives.lives
    on_h = float(hours_since_epoch(pd.DatetimeIndex([checked.logbook.on]))[0])
    numbered = np.sort(design.steps.lives)  # all of them, or those of some hulls
    place = np.empty(len(table), dtype=np.intp)
    place[design.steps.lives] = np.arange(design.hull.size)
    place, table_of = place[numbered], table.iloc[numbered]
    running = table_of["hull_id"].isin(serving) & (table_of["ended"] == "in service")
    berthed = np.isin(design.hull[place], exposure.berths["hull"].to_numpy(np.intp))
    lives = place[running.to_numpy(bool) & berthed]
    rows = table.iloc[design.steps.lives[lives]]
    hull, engine = design.hull[lives], (rows["circuit"] == "engine").to_numpy(bool)
    past = exposure.between(hull, rows["start_h"].to_numpy(float), np.full(hull.size, on_h))
    alloy = design.alloy[lives]
    kinds, alike = np.unique(
        np.column_stack([hull, engine.astype(np.intp), alloy]), axis=0, return_inverse=True
    )
    return HoursOfAnodes(
        lives,
        pack(wearing_columns(design.terms, past, engine, alloy)),
        alike.reshape(-1),
        kinds,
        ahead,
        ahead.spread[hull],
        *unwritten_hours(fit, lives, engine, on_h),
    )


def surface_ahead(
    now: HoursOfAnodes, hours: SharedOut, terms: Terms, rates: Rates
) -> tuple[Floats, Floats]:
    """Return the surface that each anode loses ahead, and what of it lying afloat takes, mm.

    Anodes of one hull on one circuit, of one alloy, have the same hours ahead of them and lose the
    same. What an hour run or lain takes is added up over the cells that share it, once a hull.

    Parameters
    ----------
    now : HoursOfAnodes of k anodes
    hours : SharedOut of shape (hulls, d), of all hulls of the fleet
    terms : Terms
    rates : Rates

    Returns
    -------
    tuple of two ndarray, each of shape (k, d)
    """
    wear = wear_of_cells(terms, rates).mm
    lost, lying = (np.zeros((len(now.kinds), hours.engine.shape[1])) for _ in range(2))
    for engine, alloy, theirs in now.alike_in_wear:
        acting = acting_cells(terms, engine, alloy)
        hull = now.kinds[theirs, 0]
        run, run_warm, lain, lain_warm = _of_an_hour(hours.shares, hull, terms, wear * acting)
        lying[theirs] = lain * hours.lying[hull] + lain_warm * hours.lying_warm[hull]
        lost[theirs] = run * hours.engine[hull] + run_warm * hours.engine_warm[hull]
    lost += lying
    return lost[now.alike], lying[now.alike]


def _of_an_hour(
    shares: Sharing, hull: Codes, terms: Terms, weights: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Return what an engine hour, a degree more of it, an hour lying in, and a degree more take.

    `weights` are those of packed cells; each of the four is of shape (hulls asked for, 1).
    """
    run, wet, lie = (part[hull] for part in (shares.running, shares.wet, shares.lying))
    plain, plain_warm, drying, drying_warm = _by_cell(run.shape[1], wet.shape[1:], terms, weights)
    flat = wet.reshape(hull.size, -1)  # a fleet in fresh water has no unflushed cells
    return (
        (run @ plain + flat @ drying.ravel())[:, None],
        (run @ plain_warm + flat @ drying_warm.ravel())[:, None],
        (lie @ plain[shares.afloat])[:, None],
        (lie @ plain_warm[shares.afloat])[:, None],
    )


def _by_cell(
    plain: int, unflushed: tuple[int, ...], terms: Terms, weights: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Add the weights of packed cells up by the cells of the exposure, a table for each part."""
    c, d = len(terms.plain), terms.drying.shape[0] * DRYING_GRID_H.size
    tables = np.zeros(plain), np.zeros(plain), np.zeros(unflushed), np.zeros(unflushed)
    for table, term, weight in zip(
        tables,
        (terms.plain, terms.plain, terms.drying, terms.drying),
        np.split(weights, np.cumsum([c, c, d])),
        strict=True,
    ):
        np.add.at(table, term[:, 0], weight.reshape(len(term), *table.shape[1:]))
    return tables
