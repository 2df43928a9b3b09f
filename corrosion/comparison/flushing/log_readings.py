"""Ways in which the flush log may be read where it does not say what happened."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import tzinfo

import numpy as np
import pandas as pd

from corrosion.comparison.flushing.policy import last_of_day, local_day
from corrosion.exposure import SHORT_STOP_H, Exposure, hull_key
from corrosion.records import SALTY

UNWRITTEN = (0.1, 0.2)
"""Shares of the flushes done that nobody may have written down."""
BULK_MATTERS = 0.05
"""Share of flushed returns ticked in bulk, from which on ticks are read in other ways too."""
SILENT_MATTERS = 0.02
"""Share of last returns at a mooring without a log, from which on they are read otherwise too."""


@dataclass(frozen=True)
class Reading:
    """One way to read the flush log.

    Attributes
    ----------
    name : str, in words
    outings : DataFrame, the outings as rinsed under this reading
    as_written : bool, nothing was changed
    ask_always : bool
        The looks may not rule it out: it stands for what the log itself leaves open.
    guessed : bool, what happened after single returns is a guess
    """

    name: str
    outings: pd.DataFrame
    as_written: bool = False
    ask_always: bool = False
    guessed: bool = True


def readings_of(
    exposure: Exposure, returns: pd.DataFrame, zone: tzinfo, flooded: bool = False
) -> list[Reading]:
    """List the ways in which this log may be read, as it is written first.

    Parameters
    ----------
    exposure : Exposure
    returns : DataFrame, the last returns of a day that are asked about
    zone : tzinfo, the fleet's time zone
    flooded : bool, the looks ask for wear of engine passages that lie afloat

    Returns
    -------
    list of Reading
    """
    out = exposure.outings
    readings = [Reading("as written", out, as_written=True, guessed=False)]
    readings += [
        Reading(f"{share * 100:.0f} % of flushes never written down", unwritten(out, share))
        for share in UNWRITTEN
    ]
    if (returns["written"] == "").any() and not returns["kept"].all():
        silent = ~returns["kept"] & (returns["written"] == "")
        if silent.mean() > SILENT_MATTERS:
            readings += [
                Reading(f"where no log was kept, {words}", silent_read(out, wet), ask_always=True)
                for words, wet in (("a quarter more was flushed", -0.25), ("a quarter less", 0.25))
            ]
    done = (returns["written"] == "yes") | returns["in_bulk"]
    if done.any() and returns["in_bulk"][done].mean() > BULK_MATTERS:
        readings += [
            Reading("bulk ticks not counted", bulk_unknown(out, zone)),
            Reading("bulk ticks stand for the last return", bulk_late(out, zone)),
        ]
    if flooded:
        wet = still_flooded(exposure)
        readings.append(Reading("passages of hulls afloat stay flooded", wet, guessed=False))
    return readings


def still_flooded(exposure: Exposure) -> pd.DataFrame:
    """Take it that engines of hulls afloat never dry out, so that a flush there saves nothing."""
    out, berths = exposure.outings, exposure.berths
    key = hull_key(berths["hull"].to_numpy(int), berths["start_h"].to_numpy(float))
    at = hull_key(out["hull"].to_numpy(int), out["stop_h"].to_numpy(float))
    berth = (np.searchsorted(key, at, side="right") - 1).clip(0)
    afloat = berths["afloat"].to_numpy(bool)[berth]
    return out.assign(wet_share=np.where(afloat, 0.0, out["wet_share"]))


def unwritten(outings: pd.DataFrame, share: float) -> pd.DataFrame:
    """Take it that a share of the flushes done was never written down.

    Such flushes hide among the returns without any row: a hull that is flushed often then has few
    blanks, and most of them were flushed.

    Parameters
    ----------
    outings : DataFrame of `corrosion.exposure.hours_by_state.Exposure`
    share : float, 0 to below 1, of the flushes done

    Returns
    -------
    DataFrame
        The outings with a smaller `wet_share` on their blanks.
    """
    long = _long(outings)
    blank = (outings["written"] == "") & outings["kept"] & outings["water"].isin(SALTY)
    kind = [outings["hull"], long]
    done = (outings["written"] == "yes").groupby(kind).transform("sum")
    blanks = blank.groupby(kind).transform("sum")
    hidden = (done * share / (1.0 - share) / blanks.clip(lower=1)).clip(upper=1.0)
    wet = outings["wet_share"].where(~blank, outings["wet_share"] * (1.0 - hidden))
    return outings.assign(wet_share=wet.to_numpy(float))


def silent_read(outings: pd.DataFrame, more_wet: float) -> pd.DataFrame:
    """Take it that hulls without a log were left wet more, or less, than the fleet usually is."""
    silent = ~outings["kept"] & (outings["written"] == "")
    wet = (outings["wet_share"] + more_wet).clip(0.0, 1.0)
    return outings.assign(wet_share=outings["wet_share"].where(~silent, wet))


def bulk_unknown(outings: pd.DataFrame, zone: tzinfo) -> pd.DataFrame:
    """Forget days ticked in bulk: each hull is taken as flushed as on its other days."""
    bulk = _on_a_bulk_day(outings, zone)
    flushed, long = outings["flushed_h"].notna(), _long(outings)
    left = (~flushed).astype(float).where(~bulk & outings["kept"])
    own = left.groupby([outings["hull"], long]).transform("mean")
    fleet = left.groupby(long).transform("mean").fillna(1.0)
    return outings.assign(
        flushed_h=outings["flushed_h"].where(~bulk),
        wet_share=outings["wet_share"].where(~bulk, own.fillna(fleet)),
    )


def bulk_late(outings: pd.DataFrame, zone: tzinfo) -> pd.DataFrame:
    """Take a bulk tick for a flush half an hour after that day's last return."""
    day = _on_a_bulk_day(outings, zone)
    last = day & last_of_day(outings, zone)
    then = (outings["stop_h"] + 0.5).where(last, outings["flushed_h"])
    then = then.where(~(last & (then >= outings["next_h"])), outings["flushed_h"])
    return outings.assign(flushed_h=then)


def _long(outings: pd.DataFrame) -> pd.Series:
    return ~(outings["next_h"] - outings["stop_h"] < SHORT_STOP_H)


def _on_a_bulk_day(outings: pd.DataFrame, zone: tzinfo) -> pd.Series:
    """Tell which returns fell on a local day on which the hull was ticked in bulk."""
    day = pd.Series(local_day(outings["stop_h"].to_numpy(float), zone), index=outings.index)
    return outings["in_bulk"].groupby([outings["hull"], day]).transform("any")
