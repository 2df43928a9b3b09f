"""Which return was rinsed when, and how far the flush log can be believed.

A return with no row of any kind is not one that was not flushed: nobody knows. Where a mooring
keeps a log its hulls' blanks are taken for unflushed, for want of better, and are counted as
blanks; where it keeps none, its hulls are taken to be flushed as often as at other times.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.common import HOURS_A_DAY, Codes, Floats, hours_since_epoch
from corrosion.exposure.exposure_totals import hull_key
from corrosion.records import BULK_HULLS, SALTY

FLUSH_SLACK_H = 0.5
LOG_KEPT_WITHIN_H = 14 * HOURS_A_DAY
SHORT_STOP_H = 8.0
WRITTEN = ["", "yes", "no", "could-not"]
"""What the log says of a return; nothing first."""


def rinsed(outings: pd.DataFrame, flushes: pd.DataFrame, hulls: pd.Index) -> pd.DataFrame:
    """Add to each outing when its salt was rinsed and how far that can be believed.

    Parameters
    ----------
    outings : DataFrame sorted by hull and start: hull (code), start_h, stop_h, mooring (code),
        water
    flushes : DataFrame, the flush log
    hulls : Index, shape (hulls,)

    Returns
    -------
    DataFrame
        The outings with next_h (start of the hull's next), flushed_h (first flush after it, NaN
        without), written ('yes', 'no', 'could-not', or '' where the log has no row before the
        next start), minutes (of that flush, NaN where not known), in_bulk (bool: from its start to
        a day after it, the hull was ticked along with many in one minute), kept (bool: the mooring
        kept a flush log then), wet_share (how much of its salty hours to count).
    """
    table = outings.assign(next_h=outings.groupby("hull")["start_h"].shift(-1))
    rows = _rows(flushes, hulls)
    since = table["stop_h"] - FLUSH_SLACK_H
    done = rows["done"].to_numpy()
    first = _following(table, rows[done == WRITTEN.index("yes")], since)
    at = np.maximum(first["at_h"].to_numpy(float), table["stop_h"].to_numpy(float))
    table["flushed_h"], table["minutes"] = at, first["minutes"].to_numpy(float)
    ticked = _following(table, rows[rows["in_bulk"]], table["start_h"])["at_h"].to_numpy(float)
    table["in_bulk"] = ticked < table["stop_h"].to_numpy(float) + HOURS_A_DAY
    written = np.where(np.isnan(at), 0, WRITTEN.index("yes"))
    for word in ("no", "could-not"):
        at_h = _following(table, rows[done == WRITTEN.index(word)], since)["at_h"].to_numpy(float)
        written[(written == 0) & ~np.isnan(at_h)] = WRITTEN.index(word)
    table["written"] = pd.Series(np.array(WRITTEN, dtype=object)[written], dtype=object)
    table["kept"] = _kept(table, rows)
    table["wet_share"] = _share_left_wet(table)
    return table


def _rows(flushes: pd.DataFrame, hulls: pd.Index) -> pd.DataFrame:
    """Return the flush rows of known hulls in order: hull, at_h, minutes, done, in_bulk.

    What was done is a number, its place in WRITTEN, 0 where it is not known.
    """
    minute = flushes["flushed_at"].dt.floor("min")
    hull = pd.Series(hulls.get_indexer(pd.Index(flushes["hull_id"])), index=flushes.index)
    together = hull.groupby(minute).transform("nunique")
    table = pd.DataFrame(
        {
            "hull": hull.to_numpy(),
            "at_h": hours_since_epoch(flushes["flushed_at"]),
            "minutes": flushes["minutes"].to_numpy(float),
            "done": pd.Categorical(flushes["done"], categories=WRITTEN[1:]).codes + 1,
            "in_bulk": (together >= BULK_HULLS).to_numpy(bool),
        }
    )
    known = table[(table["hull"] >= 0) & table["at_h"].notna()]
    # in order, a million look-ups stay near each other in memory
    key = hull_key(known["hull"].to_numpy(np.intp), known["at_h"].to_numpy(float))
    ordered: pd.DataFrame = known.iloc[np.argsort(key, kind="stable")]
    return ordered


def _following(outings: pd.DataFrame, rows: pd.DataFrame, since_h: pd.Series) -> pd.DataFrame:
    """Return the hull's first row since a moment and before its next start: at_h, minutes.

    One row an outing, NaN where there is none.
    """
    hulls, at = rows["hull"].to_numpy(np.intp), rows["at_h"].to_numpy(float)
    hull = outings["hull"].to_numpy(np.intp)
    following = np.searchsorted(hull_key(hulls, at), hull_key(hull, since_h.to_numpy(float)))
    own = np.append(hulls, -1)[following] == hull
    moment_h = np.append(at, np.nan)[following]
    own &= ~(moment_h >= outings["next_h"].to_numpy(float))
    minutes = np.append(rows["minutes"].to_numpy(float), np.nan)[following]
    return pd.DataFrame(
        {"at_h": np.where(own, moment_h, np.nan), "minutes": np.where(own, minutes, np.nan)}
    )


def _kept(outings: pd.DataFrame, rows: pd.DataFrame) -> np.ndarray:
    """Tell for each outing whether its mooring wrote a flush row within a fortnight of it."""
    mooring, at = outings["mooring"].to_numpy(np.intp), outings["stop_h"].to_numpy(float)
    written = _rows_by_mooring(outings, rows)
    after = np.searchsorted(written, hull_key(mooring, at))
    gap_after = np.append(written, np.inf)[after] - hull_key(mooring, at)
    gap_before = hull_key(mooring, at) - np.insert(written, 0, -np.inf)[after]
    return np.asarray(np.minimum(gap_after, gap_before) <= LOG_KEPT_WITHIN_H)


def _rows_by_mooring(outings: pd.DataFrame, rows: pd.DataFrame) -> Floats:
    key = hull_key(outings["hull"].to_numpy(np.intp), outings["start_h"].to_numpy(float))
    if key.size == 0 or rows.empty:
        return np.zeros(0)
    hull, at = rows["hull"].to_numpy(np.intp), rows["at_h"].to_numpy(float)
    last: Codes = (np.searchsorted(key, hull_key(hull, at), side="right") - 1).clip(0)
    return np.sort(hull_key(outings["mooring"].to_numpy(np.intp)[last], at))


def _share_left_wet(outings: pd.DataFrame) -> Floats:
    """Return how much of each outing's salty hours to count, 1 where the flush log was kept."""
    left, log_kept = outings["flushed_h"].isna().astype(float), outings["kept"]
    # back again the same day, a hull is seldom flushed: short stops and long ones apart
    long = ~(outings["next_h"] - outings["stop_h"] < SHORT_STOP_H)
    salty = outings["water"].isin(SALTY) & log_kept
    usual = left.where(salty).groupby([outings["mooring"], long]).transform("mean")
    fleet = left.where(salty).groupby(long).transform("mean").fillna(1.0)
    return np.where(log_kept | (left == 0.0), 1.0, usual.fillna(fleet))
