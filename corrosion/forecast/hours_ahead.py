"""Hours that wear each anode in service: those behind it, and those ahead, block by block.

Anodes of one hull on one circuit, of one alloy, have the same hours ahead of them, so they are laid
out once for all of these; and in blocks, since every day ahead of every hull in every cell at once
is more than all else that is known of a fleet.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import Codes, Floats, hours_since_epoch
from corrosion.exposure import Hours
from corrosion.forecast.unwritten_wear import by_state, unwritten_hours
from corrosion.forecast.usage_forecast import Ahead
from corrosion.life_model import Columns, Fit, Rates, Terms, surface_lost, wearing_columns
from corrosion.records import Checked

BLOCK = 400
"""Hulls' circuits laid out at once; some 100 MB for ten years of days ahead."""


@dataclass(frozen=True)
class HoursOfAnodes:
    """Hours of anodes in service: until now, and ahead, with the spread of each.

    Attributes
    ----------
    lives : ndarray of int, shape (k,), place of each life in the filter
    since_start : Columns of shape (k, ...)
    alike : ndarray of int, shape (k,), which of the `kinds` each anode is
    kinds : ndarray of int, shape (u, 3): hull code, 1 on an engine circuit, code of its alloy
    ahead : Ahead
    use_sd : ndarray, shape (k, d), spread of the use ahead, as a share
    unwritten : Columns of shape (k, ...), hours since the last look that no entry tells; None where
        all are in place
    unwritten_sd : ndarray, shape (k,), their spread, as a share
    """

    lives: Codes
    since_start: Columns
    alike: Codes
    kinds: Codes
    ahead: Ahead
    use_sd: Floats
    unwritten: Columns | None = None
    unwritten_sd: Floats | float = 0.0

    def columns_ahead(self, terms: Terms, days: Codes | None = None) -> Iterator[Columns]:
        """Lay the hours ahead out, kind by kind and day by day, a block of kinds at a time.

        Parameters
        ----------
        terms : Terms
        days : ndarray of int, places in the grid of days; all of them when None
        """
        chosen = np.arange(self.ahead.days.size) if days is None else days
        for start in range(0, max(len(self.kinds), 1), BLOCK):
            hull, engine, alloy = self.kinds[start : start + BLOCK].T
            rows = np.ix_(hull, chosen)
            hours = Hours(*(_flat(part[rows]) for part in _parts(self.ahead.hours)))
            each = np.repeat(engine == 1, chosen.size), np.repeat(alloy, chosen.size)
            yield wearing_columns(terms, hours, *each)


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
    place = np.empty(len(table), dtype=np.intp)
    place[design.steps.lives] = np.arange(len(table))
    running = table["hull_id"].isin(serving) & (table["ended"] == "in service")
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
        wearing_columns(design.terms, past, engine, alloy),
        alike.reshape(-1),
        kinds,
        ahead,
        ahead.spread[hull],
        *unwritten_hours(fit, lives, engine, on_h),
    )


def surface_ahead(
    columns: Iterable[Columns], alike: Codes, days: int, terms: Terms, rates: Rates
) -> tuple[Floats, Floats]:
    """Return the surface that each anode loses ahead, and what of it lying afloat takes, mm.

    Parameters
    ----------
    columns : of Columns, as `HoursOfAnodes.columns_ahead` gives them
    alike : ndarray of int, shape (k,)
    days : int
    terms : Terms
    rates : Rates

    Returns
    -------
    tuple of two ndarray, each of shape (k, days)
    """
    parts = []
    for block in columns:
        surface = surface_lost(block, terms, rates)
        lying = by_state(surface, terms, "afloat")
        parts.append((surface.mm.reshape(-1, days), lying.reshape(-1, days)))
    mm, lying = (np.concatenate(each)[alike] for each in zip(*parts, strict=True))
    return mm, lying


def _parts(hours: Hours) -> tuple[Floats, Floats, Floats, Floats]:
    return hours.plain, hours.plain_warm, hours.drying, hours.drying_warm


def _flat(part: Floats) -> Floats:
    # a fleet in fresh water has no unflushed cells, so the length can't be left to numpy
    return part.reshape(part.shape[0] * part.shape[1], *part.shape[2:])
