"""The clocks that run by outings: engine hours, hours away, salty hours after the stop."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import HOURS_A_DAY, Codes, Floats, Remembered, are_same
from corrosion.exposure.drying import DRYING_GRID_H, effective_hours
from corrosion.exposure.exposure_totals import SPAN, RunningTotal, Stretches, running_total
from corrosion.exposure.water import WaterTemperature
from corrosion.records import SALTY


@dataclass(frozen=True)
class UseClocks:
    """The clocks that run by outings: engine hours, hours away, salty hours after the stop."""

    running: list[RunningTotal]
    away: RunningTotal
    unflushed: list[RunningTotal]


def use_clocks(
    outings: pd.DataFrame,
    pairs: pd.DataFrame,
    moorings: pd.Index,
    warmth: WaterTemperature,
    last: Remembered,
) -> UseClocks:
    """Sum the clocks up, unless the same outings in the same water were summed last time.

    Parameters
    ----------
    outings : DataFrame sorted by hull and start, as `Exposure.outings`
    pairs : DataFrame: water, mooring (code), of each clock
    moorings : Index of mooring ids
    warmth : WaterTemperature; degrees that come after the last outing change nothing
    last : Remembered, what the last run worked out

    Returns
    -------
    UseClocks
    """
    inputs = (outings, tuple(map(tuple, pairs.to_numpy(object))), tuple(moorings))
    warm_until_h = float(outings["stop_h"].max() if len(outings) else 0.0) + HOURS_A_DAY / 2

    def holds(known: object) -> bool:
        assert isinstance(known, tuple)
        water: WaterTemperature = known[1]
        return are_same(known[0], inputs) and warmth.agrees_until(water, warm_until_h)

    def summed() -> tuple[object, UseClocks]:
        salty = pairs[pairs["water"].isin(SALTY)]
        return (inputs, warmth), UseClocks(
            _running(outings, pairs, moorings, warmth),
            _away_clock(outings, warmth),
            unflushed_clocks(outings, salty, moorings, warmth),
        )

    return last.where("clocks", holds, summed)


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


def unflushed_clocks(
    outings: pd.DataFrame, pairs: pd.DataFrame, moorings: pd.Index, warmth: WaterTemperature
) -> list[RunningTotal]:
    """Sum the salty hours after each stop, a clock for each of the waters and moorings asked of.

    Parameters
    ----------
    outings : DataFrame sorted by hull and start, as `Exposure.outings`
    pairs : DataFrame: water, mooring (code)
    moorings : Index of mooring ids
    warmth : WaterTemperature

    Returns
    -------
    list of RunningTotal, effective hours on the grid of drying constants
    """
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


def _away_clock(outings: pd.DataFrame, warmth: WaterTemperature) -> RunningTotal:
    """Return the hours that hulls were out, engine running or not."""
    out = outings.assign(engine_h=outings["stop_h"] - outings["start_h"])
    return _running_clock(out, "", "", warmth)
