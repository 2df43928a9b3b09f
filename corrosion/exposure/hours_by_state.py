"""Hours that a hull spent in each operating state between any two moments.

Three clocks run: engine hours (`running`), salty hours after the engine stopped until the
cooling passages were flushed or dried (`unflushed`), and hours lying in the water (`afloat`).
Each is kept by the water and by the mooring, so that a hull that moves carries its past along.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from corrosion.common import HOURS_A_DAY, Codes, Floats, hours_since_epoch, rows_that_differ
from corrosion.exposure.drying import DRYING_GRID_H, effective_hours
from corrosion.exposure.exposure_totals import (
    SPAN,
    Hours,
    RunningTotal,
    Stretches,
    running_total,
)
from corrosion.exposure.filling import Filling
from corrosion.exposure.flush_matching import rinsed
from corrosion.exposure.outings import placed, placed_berths, placed_outings, waters_of
from corrosion.exposure.water import WaterTemperature, water_temperature
from corrosion.records import SALTY, Checked


@dataclass(frozen=True)
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
        plain = [c.total(hull, at_h) for c in self.clocks if c.state != "unflushed"]
        drying = [c.total(hull, at_h) for c in self.clocks if c.state == "unflushed"]
        grid = DRYING_GRID_H.size
        logged = Hours(
            _stacked([p[0] for p in plain], (hull.size, 0)),
            _stacked([p[1] for p in plain], (hull.size, 0)),
            _stacked([d[0] for d in drying], (hull.size, 0, grid)),
            _stacked([d[1] for d in drying], (hull.size, 0, grid)),
        )
        return logged if self.filling is None else logged + self.filling.until(hull, at_h)

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
    drying = _unflushed(outings, pairs, exposure.mooring_ids, exposure.temperature)
    return replace(exposure, clocks=(*dry, *drying), outings=outings)


def _stacked(parts: list[Floats], empty: tuple[int, ...]) -> Floats:
    return np.stack(parts, axis=1) if parts else np.zeros(empty)


def build_exposure(checked: Checked) -> Exposure:
    """Turn outings, flushes, berths and water samples into clocks.

    Parameters
    ----------
    checked : Checked
        The fleet's logs after checking; `checked.logbook.on` ends the last berth.

    Returns
    -------
    Exposure
    """
    hull_ids, mooring_ids = _ids(checked.hulls["hull_id"]), _ids(checked.moorings["mooring_id"])
    on_h = float(hours_since_epoch(pd.DatetimeIndex([checked.logbook.on]))[0])
    berths = placed_berths(checked.berths, hull_ids, mooring_ids, on_h)
    outings = placed_outings(checked.outings, hull_ids)
    starts = [table["start_h"].min() for table in (berths, outings) if len(table)]
    first_h = float(min([*starts, on_h]))
    warmth = water_temperature(checked.water_samples, mooring_ids, first_h, on_h)
    waters = waters_of(checked.moorings, mooring_ids)
    outings = rinsed(placed(outings, berths, waters), checked.flushes, hull_ids)
    pairs = _cells(outings, berths, waters)
    clocks = (
        *_running(outings, pairs, mooring_ids, warmth),
        *_afloat(outings, berths, waters, mooring_ids, warmth),
        *_unflushed(outings, pairs[pairs["water"].isin(SALTY)], mooring_ids, warmth),
    )
    cells = pd.DataFrame(
        [(c.state, c.water, c.mooring_id) for c in clocks],
        columns=["state", "water", "mooring_id"],
    )
    return Exposure(hull_ids, mooring_ids, waters, clocks, cells, outings, berths, warmth)


def _ids(column: pd.Series) -> pd.Index:
    ids: pd.Index = pd.Index(sorted(column.dropna().unique()), dtype=object)
    return ids


def _cells(outings: pd.DataFrame, berths: pd.DataFrame, waters: pd.Series) -> pd.DataFrame:
    """Return the waters and moorings seen in outings, and each berth's own, used yet or not."""
    lived = np.sort(berths["mooring"].unique()).astype(np.intp)
    home = pd.DataFrame({"water": waters.to_numpy(object)[lived], "mooring": lived})
    pairs = pd.concat([outings[["water", "mooring"]], home]).dropna().drop_duplicates()
    return pairs.sort_values(["water", "mooring"]).reset_index(drop=True)


def _running(
    outings: pd.DataFrame, pairs: pd.DataFrame, moorings: pd.Index, warmth: WaterTemperature
) -> list[RunningTotal]:
    return [
        _running_clock(part, water, str(moorings[m]), warmth)
        for water, m, part in _parts(outings, pairs, ["hull", "start_h", "stop_h", "engine_h"])
    ]


def _parts(
    outings: pd.DataFrame, pairs: pd.DataFrame, columns: list[str]
) -> list[tuple[str, int, pd.DataFrame]]:
    """Return water, mooring and the outings there, with some of their columns, pair by pair."""
    # a text compared a million times over costs more than all else here
    code, waters = pd.factorize(outings["water"])
    mooring, table = outings["mooring"].to_numpy(np.intp), outings[[*columns, "mooring"]]
    number = pd.Index(waters).get_indexer(pd.Index(pairs["water"], dtype=object))
    return [
        (str(water), int(m), table[(code == n) & (mooring == m) & (n >= 0)])
        for n, water, m in zip(number, pairs["water"], pairs["mooring"], strict=True)
    ]


def _running_clock(
    part: pd.DataFrame, water: str, mooring_id: str, warmth: WaterTemperature
) -> RunningTotal:
    start, stop = part["start_h"].to_numpy(float), part["stop_h"].to_numpy(float)
    rate = part["engine_h"].to_numpy(float) / (stop - start)
    degrees = warmth.at(part["mooring"].to_numpy(np.intp), (start + stop) / 2)

    def gained(index: Codes, at_h: Floats) -> tuple[Floats, Floats]:
        hours = rate[index] * (at_h - start[index])
        return hours, hours * degrees[index]

    return running_total(
        "running", water, mooring_id, Stretches(part["hull"].to_numpy(np.intp), start, stop), gained
    )


def _unflushed(
    outings: pd.DataFrame, pairs: pd.DataFrame, moorings: pd.Index, warmth: WaterTemperature
) -> list[RunningTotal]:
    ends = outings["flushed_h"].fillna(outings["next_h"]).fillna(np.inf)
    table = outings.assign(wet_until_h=np.minimum(ends, outings["stop_h"] + SPAN / 8))
    return [
        _drying_clock(part, water, str(moorings[m]), warmth)
        for water, m, part in _parts(table, pairs, ["hull", "stop_h", "wet_until_h", "wet_share"])
    ]


def _drying_clock(
    part: pd.DataFrame, water: str, mooring_id: str, warmth: WaterTemperature
) -> RunningTotal:
    start, stop = part["stop_h"].to_numpy(float), part["wet_until_h"].to_numpy(float)
    share = part["wet_share"].to_numpy(float)
    degrees = warmth.at(part["mooring"].to_numpy(np.intp), start + HOURS_A_DAY / 2)

    def gained(index: Codes, at_h: Floats) -> tuple[Floats, Floats]:
        wet = effective_hours(at_h - start[index], DRYING_GRID_H) * share[index, None]
        return wet, wet * degrees[index, None]

    stretches = Stretches(part["hull"].to_numpy(np.intp), start, np.maximum(stop, start))
    return running_total("unflushed", water, mooring_id, stretches, gained)


def _afloat(
    outings: pd.DataFrame,
    berths: pd.DataFrame,
    waters: pd.Series,
    mooring_ids: pd.Index,
    warmth: WaterTemperature,
) -> list[RunningTotal]:
    away = _away_clock(outings, warmth)
    water = waters.to_numpy(object)
    lying = berths[berths["afloat"] & pd.notna(water[berths["mooring"].to_numpy(np.intp)])]
    return [
        _lying_clock(lying[lying["mooring"] == m], str(water[m]), str(mooring_ids[m]), warmth, away)
        for m in sorted(lying["mooring"].unique())
    ]


def _away_clock(outings: pd.DataFrame, warmth: WaterTemperature) -> RunningTotal:
    """Return the hours that hulls were out, engine running or not."""
    out = outings.assign(engine_h=outings["stop_h"] - outings["start_h"])
    return _running_clock(out, "", "", warmth)


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
