"""The returns that the comparison rests on: each hull's flushes, blanks, hours and wear."""

from __future__ import annotations

from datetime import tzinfo

import numpy as np
import pandas as pd

from corrosion.common import Floats
from corrosion.comparison.flushing.policy import last_of_day
from corrosion.exposure import Exposure, Lives
from corrosion.records import SALTY, Checked

SMALLEST_GROUP = 5
"""Fewer hulls than these are neither compared nor shown (common practice, no source)."""
OFTEN = 0.5
COUNTS = ["last_returns", "flushed", "not_flushed", "could_not", "blank", "in_bulk", "no_log"]


def salty_outings(exposure: Exposure, since_h: float, until_h: float) -> pd.DataFrame:
    """Return the outings that came back from salt or brackish water in a span of time."""
    out = exposure.outings
    salty = (out["stop_h"] >= since_h) & (out["stop_h"] <= until_h) & out["water"].isin(SALTY)
    chosen: pd.DataFrame = out[salty]
    return chosen


def last_returns(exposure: Exposure, since_h: float, until_h: float, zone: tzinfo) -> pd.DataFrame:
    """Return each hull's last return of a local day from salt or brackish water, a row each.

    Parameters
    ----------
    exposure : Exposure
    since_h, until_h : float, hours since 1970
    zone : tzinfo, the fleet's time zone

    Returns
    -------
    DataFrame, the columns of `exposure.outings`
    """
    out = salty_outings(exposure, since_h, until_h)
    last = last_of_day(exposure.outings, zone)
    chosen: pd.DataFrame = out[last[out.index]]
    return chosen


def hull_table(
    checked: Checked, exposure: Exposure, lives: Lives, returns: pd.DataFrame
) -> pd.DataFrame:
    """Return what is known of each hull with a last return from salty water.

    Parameters
    ----------
    checked : Checked
    exposure : Exposure
    lives : Lives of the engine circuit
    returns : DataFrame of `last_returns`

    Returns
    -------
    DataFrame, one row a hull: hull_id, mooring_id (of most returns), water, afloat (bool), the
    counts of COUNTS, possible (bool: a hose reached it mostly), flushed_share (of returns with or
    without a row, where a log was kept), engine_h, worn (summed over anodes, looked at twice or
    more), worn_per_100h (share of the allowance)
    """
    table = _counts(returns)
    table.insert(0, "hull_id", exposure.hull_ids.to_numpy(object)[table.index])
    mooring = _most(returns, "mooring").reindex(table.index).to_numpy(np.intp)
    table.insert(1, "mooring_id", exposure.mooring_ids.to_numpy(object)[mooring])
    table.insert(2, "water", _most(returns, "water").reindex(table.index))
    stays = checked.berths.sort_values("since").drop_duplicates("hull_id", keep="last")
    afloat = stays.set_index("hull_id")["stays"] == "afloat"
    table.insert(3, "afloat", table["hull_id"].map(afloat).fillna(False).astype(bool))
    answered = table["flushed"] + table["not_flushed"] + table["could_not"]
    table["possible"] = (table["could_not"] <= answered / 2) | (answered == 0)
    known = (table["last_returns"] - table["no_log"]).where(lambda n: n > 0)
    table["flushed_share"] = table["flushed"] / known
    wear = wear_seen(exposure, lives)
    table = table.join(wear, how="left")
    return table.reset_index(drop=True)


def _counts(returns: pd.DataFrame) -> pd.DataFrame:
    in_log, written = returns["kept"], returns["written"]
    each = pd.DataFrame(
        {
            "hull": returns["hull"],
            "last_returns": 1,
            "flushed": written == "yes",
            "not_flushed": written == "no",
            "could_not": written == "could-not",
            "blank": (written == "") & in_log,
            "in_bulk": returns["in_bulk"],
            "no_log": (written == "") & ~in_log,
        }
    )
    return each.groupby("hull")[COUNTS].sum().astype(int)


def _most(returns: pd.DataFrame, column: str) -> pd.Series:
    return returns.groupby("hull")[column].agg(lambda values: values.value_counts().index[0])


def wear_seen(exposure: Exposure, lives: Lives) -> pd.DataFrame:
    """Return each hull's engine-circuit wear between first and last look, with no model.

    Parameters
    ----------
    exposure : Exposure
    lives : Lives of the engine circuit

    Returns
    -------
    DataFrame, index hull code: worn (share of the allowance, summed over anodes), anode_h (engine
    hours, summed over the same anodes), worn_per_100h
    """
    each = anode_wear(exposure, lives)
    sums = each.groupby("hull")[["worn", "anode_h"]].sum()
    hours = sums["anode_h"].where(sums["anode_h"] > 0)
    return sums.assign(worn_per_100h=100 * sums["worn"] / hours)


def anode_wear(exposure: Exposure, lives: Lives) -> pd.DataFrame:
    """Return each engine anode's wear until its last look, one row a life.

    Returns
    -------
    DataFrame: hull (code), layout, position, worn (share of the allowance), anode_h (engine hours)
    """
    looks = lives.looks.dropna(subset=["worn"])
    last = looks.drop_duplicates("life", keep="last").set_index("life")
    table = lives.lives.loc[last.index, ["hull_id", "layout", "position", "start_h", "start_worn"]]
    hull = exposure.hull_ids.get_indexer(pd.Index(table["hull_id"]))
    start, stop = table["start_h"].to_numpy(float), last["at_h"].to_numpy(float)
    return table[["layout", "position"]].assign(
        hull=hull,
        worn=last["worn"].clip(-1, 3).to_numpy(float) - table["start_worn"].to_numpy(float),
        anode_h=engine_hours(exposure, hull, start, stop),
    )


def engine_hours(exposure: Exposure, hull: np.ndarray, from_h: Floats, to_h: Floats) -> Floats:
    """Return engine hours in any water between two moments, shape (n,)."""
    plain = exposure.between(hull, from_h, to_h).plain
    running = (exposure.cells["state"] == "running")[exposure.cells["state"] != "unflushed"]
    return np.asarray(plain[:, running.to_numpy(bool)].sum(axis=1))


def raw_saving(hulls: pd.DataFrame) -> float | None:
    """Return how much less the often-flushed hulls wore per engine hour, nothing held equal.

    Parameters
    ----------
    hulls : DataFrame of `hull_table`, or a part of it

    Returns
    -------
    float or None
        1 less the ratio of wear per engine hour, hulls flushed after at least half of their last
        returns against the others, of hulls that could be flushed; None where either group has
        fewer than `SMALLEST_GROUP` hulls.
    """
    fit = hulls[hulls["possible"] & hulls["flushed_share"].notna() & (hulls["anode_h"] > 0)]
    often = fit["flushed_share"] >= OFTEN
    if min(often.sum(), (~often).sum()) < SMALLEST_GROUP:
        return None
    sums = fit.groupby(often)[["worn", "anode_h"]].sum()
    rate = sums["worn"] / sums["anode_h"]
    return float(1 - rate[True] / rate[False]) if rate[False] > 0 else None


def raw_by_mooring(hulls: pd.DataFrame) -> pd.DataFrame:
    """Return the naive comparison within each mooring: mooring_id, raw (NaN for small groups)."""
    rows = [(m, raw_saving(part)) for m, part in hulls.groupby("mooring_id", sort=False)]
    return pd.DataFrame(rows, columns=["mooring_id", "raw"]).astype({"raw": float})


def raw_by_position(hulls: pd.DataFrame, exposure: Exposure, lives: Lives) -> pd.DataFrame:
    """Return the naive comparison at each position: layout, position, hulls, raw."""
    each = anode_wear(exposure, lives)
    each["hull_id"] = exposure.hull_ids.to_numpy(object)[each["hull"].to_numpy(int)]
    known = hulls[["hull_id", "possible", "flushed_share"]]
    rows = []
    for (layout, position), part in each.groupby(["layout", "position"]):
        sums = part.groupby("hull_id")[["worn", "anode_h"]].sum().reset_index().merge(known)
        rows.append((layout, position, len(sums), raw_saving(sums)))
    table = pd.DataFrame(rows, columns=["layout", "position", "hulls", "raw"])
    return table.astype({"raw": float})
