"""Hours that a hull spent in each operating state between any two moments.

Three clocks run: engine hours (`running`), salty hours after the engine stopped until the
cooling passages were flushed or dried (`unflushed`), and hours lying in the water (`afloat`).
Each is kept by the water and by the mooring, so that a hull that moves carries its past along.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
import pandas as pd

from corrosion.common import (
    Codes,
    Floats,
    Remembered,
    hours_since_epoch,
    rows_that_differ,
)
from corrosion.exposure.drying import DRYING_GRID_H
from corrosion.exposure.exposure_totals import (
    Hours,
    RunningTotal,
    Stretches,
    running_total,
)
from corrosion.exposure.filling import Filling
from corrosion.exposure.flush_matching import rinsed
from corrosion.exposure.outings import placed, placed_berths, placed_outings, waters_of
from corrosion.exposure.use_clocks import unflushed_clocks, use_clocks
from corrosion.exposure.water import WaterTemperature, water_temperature
from corrosion.records import Checked


@dataclass(frozen=True, eq=False)
class Exposure:
    """The fleet's hours, ready to be asked between any two moments.

    Attributes
    ----------
    hull_ids, mooring_ids : Index
    waters : Series, water of each mooring, index mooring_ids, None where unknown
    clocks : tuple of RunningTotal; running and afloat first, unflushed last
    cells : DataFrame with state, water, mooring_id; one row a clock, in order
    outings : DataFrame sorted by hull and start: hull (code), start_h, stop_h, engine_h, mooring
        (code), water, next_h (next start), and what `flush_matching` says of the flush log:
        flushed_h (first flush after it, NaN without), written, wet_share
    berths : DataFrame sorted by hull and start: hull, mooring, start_h, stop_h, afloat
    temperature : WaterTemperature
    filling : Filling or None, what was probably done and not yet written down; no outing of it
        stands in `outings`
    """

    hull_ids: pd.Index
    mooring_ids: pd.Index
    waters: pd.Series
    clocks: tuple[RunningTotal, ...]
    cells: pd.DataFrame
    outings: pd.DataFrame
    berths: pd.DataFrame
    temperature: WaterTemperature
    filling: Filling | None = None

    def until(self, hull: Codes, at_h: Floats) -> Hours:
        """Return running totals, shape (n, ...), for hull codes and hours since 1970."""
        logged = self.logged(hull, at_h)
        return logged if self.filling is None else logged + self.filling.until(hull, at_h)

    def logged(self, hull: Codes, at_h: Floats) -> Hours:
        """Return `until` as the logs have it, nothing filled in."""
        plain = [c.total(hull, at_h) for c in self.clocks if c.state != "unflushed"]
        drying = [c.total(hull, at_h) for c in self.clocks if c.state == "unflushed"]
        grid = DRYING_GRID_H.size
        return Hours(
            _stacked([p[0] for p in plain], (hull.size, 0)),
            _stacked([p[1] for p in plain], (hull.size, 0)),
            _stacked([d[0] for d in drying], (hull.size, 0, grid)),
            _stacked([d[1] for d in drying], (hull.size, 0, grid)),
        )

    def between(self, hull: Codes, from_h: Floats, to_h: Floats) -> Hours:
        """Return the hours in each cell between two moments, shapes (n,)."""
        # anodes of a hull share their starts and looks: every moment is looked up once
        hulls, moments = np.concatenate([hull, hull]), np.concatenate([from_h, to_h])
        first, row = rows_that_differ(moments, hulls)
        totals = self.until(hulls[first], moments[first])
        return totals.rows(row[hull.size :]) - totals.rows(row[: hull.size])


def rewetted(exposure: Exposure, outings: pd.DataFrame) -> Exposure:
    """Return the same hours with the passages rinsed otherwise.

    Parameters
    ----------
    exposure : Exposure
    outings : DataFrame
        `exposure.outings` row for row, with other `flushed_h` or `wet_share`.

    Returns
    -------
    Exposure
        Its cells stand in the same order as before.
    """
    wet = exposure.cells[exposure.cells["state"] == "unflushed"]
    pairs = pd.DataFrame(
        {
            "water": wet["water"].to_numpy(object),
            "mooring": exposure.mooring_ids.get_indexer(pd.Index(wet["mooring_id"])),
        }
    )
    dry = tuple(c for c in exposure.clocks if c.state != "unflushed")
    drying = unflushed_clocks(outings, pairs, exposure.mooring_ids, exposure.temperature)
    return replace(exposure, clocks=(*dry, *drying), outings=outings)


def _stacked(parts: list[Floats], empty: tuple[int, ...]) -> Floats:
    return np.stack(parts, axis=1) if parts else np.zeros(empty)


def build_exposure(checked: Checked, remembered: Remembered | None = None) -> Exposure:
    """Turn outings, flushes, berths and water samples into clocks.

    Parameters
    ----------
    checked : Checked
        The fleet's logs after checking; `checked.logbook.on` ends the last berth.
    remembered : Remembered, optional
        What the last run worked out: outings are matched with flushes, and their clocks summed,
        only where an outing, a flush, a berth or the water then is another one.

    Returns
    -------
    Exposure
    """
    last = Remembered() if remembered is None else remembered
    where = places(checked)
    outings = last.of(
        "outings",
        (
            *(checked.outings, checked.flushes, checked.berths),
            *(tuple(where.hull_ids), tuple(where.mooring_ids), tuple(where.waters)),
        ),
        lambda: rinsed(outings_at_berths(checked, where), checked.flushes, where.hull_ids),
    )
    return summed_up(checked, where, outings, record_begins(checked, where, outings), last)


def record_begins(checked: Checked, where: Places, outings: pd.DataFrame) -> float:
    """Return when the first berth or outing began, hours since 1970; the report where none did."""
    starts = [table["start_h"].min() for table in (where.berths, outings) if len(table)]
    return float(min([*starts, on_h(checked)]))


def summed_up(
    checked: Checked, where: Places, outings: pd.DataFrame, first_h: float, last: Remembered
) -> Exposure:
    """Sum outings and berths up into clocks.

    Parameters
    ----------
    checked : Checked
    where : Places
    outings : DataFrame, as `Exposure.outings`
    first_h : float, hours since 1970
        When the first berth or outing of the fleet began; the water's temperature counts from it.
    last : Remembered

    Returns
    -------
    Exposure
    """
    hull_ids, mooring_ids, waters, berths = where
    warmth = water_temperature(checked.water_samples, mooring_ids, first_h, on_h(checked))
    pairs = _cells(outings, berths, waters)
    use = use_clocks(outings, pairs, mooring_ids, warmth, last)
    lying = _afloat(berths, waters, mooring_ids, warmth, use.away)
    clocks = (*use.running, *lying, *use.unflushed)
    cells = pd.DataFrame(
        [(c.state, c.water, c.mooring_id) for c in clocks],
        columns=["state", "water", "mooring_id"],
    )
    return Exposure(hull_ids, mooring_ids, waters, clocks, cells, outings, berths, warmth)


class Places(NamedTuple):
    """Hulls and moorings in the order of their codes, each mooring's water, and the berths."""

    hull_ids: pd.Index
    mooring_ids: pd.Index
    waters: pd.Series
    berths: pd.DataFrame


def places(checked: Checked) -> Places:
    """Give hulls and moorings their codes, and lay the berths out by them."""
    hull_ids, mooring_ids = _ids(checked.hulls["hull_id"]), _ids(checked.moorings["mooring_id"])
    berths = placed_berths(checked.berths, hull_ids, mooring_ids, on_h(checked))
    return Places(hull_ids, mooring_ids, waters_of(checked.moorings, mooring_ids), berths)


def on_h(checked: Checked) -> float:
    """Return the moment of the report, hours since 1970."""
    return float(hours_since_epoch(pd.DatetimeIndex([checked.logbook.on]))[0])


def outings_at_berths(
    checked: Checked, where: Places, usual_share: float | None = None
) -> pd.DataFrame:
    """Return the outings at their moorings; `usual_share` as `placed_outings` takes it."""
    outings = placed_outings(checked.outings, where.hull_ids, usual_share)
    return placed(outings, where.berths, where.waters)


def _ids(column: pd.Series) -> pd.Index:
    ids: pd.Index = pd.Index(sorted(column.dropna().unique()), dtype=object)
    return ids


def _cells(outings: pd.DataFrame, berths: pd.DataFrame, waters: pd.Series) -> pd.DataFrame:
    """Return the waters and moorings seen in outings, and each berth's own, used yet or not."""
    lived = np.sort(berths["mooring"].unique()).astype(np.intp)
    home = pd.DataFrame({"water": waters.to_numpy(object)[lived], "mooring": lived})
    pairs = pd.concat([outings[["water", "mooring"]], home]).dropna().drop_duplicates()
    return pairs.sort_values(["water", "mooring"]).reset_index(drop=True)


def _afloat(
    berths: pd.DataFrame,
    waters: pd.Series,
    mooring_ids: pd.Index,
    warmth: WaterTemperature,
    away: RunningTotal,
) -> list[RunningTotal]:
    water = waters.to_numpy(object)
    lying = berths[berths["afloat"] & pd.notna(water[berths["mooring"].to_numpy(np.intp)])]
    return [
        _lying_clock(lying[lying["mooring"] == m], str(water[m]), str(mooring_ids[m]), warmth, away)
        for m in sorted(lying["mooring"].unique())
    ]


def _lying_clock(
    part: pd.DataFrame, water: str, mooring_id: str, warmth: WaterTemperature, away: RunningTotal
) -> RunningTotal:
    hull, mooring = part["hull"].to_numpy(np.intp), part["mooring"].to_numpy(np.intp)
    start, stop = part["start_h"].to_numpy(float), part["stop_h"].to_numpy(float)
    away_then, away_warm_then = away.total(hull, start)
    warm_then = warmth.until(mooring, start)

    def gained(index: Codes, at_h: Floats) -> tuple[Floats, Floats]:
        out, out_warm = away.total(hull[index], at_h)
        hours = at_h - start[index] - (out - away_then[index])
        warm = warmth.until(mooring[index], at_h) - warm_then[index]
        return hours, warm - (out_warm - away_warm_then[index])

    return running_total("afloat", water, mooring_id, Stretches(hull, start, stop), gained)
