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

    What the hulls of a mooring share is gathered from all of them: whether a log was kept there,
    and how often a return is left unflushed. Where hulls lie with several workers, each `matched`
    its own, and what is shared is put together in between (`corrosion.spread`).

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
    table, written = matched(outings, flushes, hulls)
    table = log_kept(table, written)
    return left_wet(table, unflushed_counts(table))


def matched(
    outings: pd.DataFrame, flushes: pd.DataFrame, hulls: pd.Index
) -> tuple[pd.DataFrame, Floats]:
    """Match each outing with the flush rows of its own hull.

    Parameters
    ----------
    outings, flushes : DataFrame
    hulls : Index
        As `rinsed` takes them.

    Returns
    -------
    DataFrame
        What `rinsed` returns but for kept and wet_share.
    ndarray
        Where and when flush rows were written: `hull_key` of mooring and moment, ascending; the
        first and the last of each mooring and day alone, which is all that a fortnight asks for.
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
    return table, first_and_last_of_days(_rows_by_mooring(table, rows))


def first_and_last_of_days(written: Floats) -> Floats:
    """Leave of ascending keys of mooring and moment the first and the last of each day."""
    day = np.floor(written / HOURS_A_DAY)
    return np.asarray(written[np.diff(day, prepend=-1) + np.diff(day, append=np.inf) > 0])


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


def log_kept(outings: pd.DataFrame, written: Floats) -> pd.DataFrame:
    """Tell for each outing whether its mooring wrote a flush row within a fortnight of it.

    Parameters
    ----------
    outings : DataFrame, as `matched` returns it
    written : ndarray, ascending, as `matched` returns it, of all hulls of the moorings

    Returns
    -------
    DataFrame, with kept (bool)
    """
    mooring, at = outings["mooring"].to_numpy(np.intp), outings["stop_h"].to_numpy(float)
    after = np.searchsorted(written, hull_key(mooring, at))
    gap_after = np.append(written, np.inf)[after] - hull_key(mooring, at)
    gap_before = hull_key(mooring, at) - np.insert(written, 0, -np.inf)[after]
    return outings.assign(kept=np.minimum(gap_after, gap_before) <= LOG_KEPT_WITHIN_H)


def _rows_by_mooring(outings: pd.DataFrame, rows: pd.DataFrame) -> Floats:
    key = hull_key(outings["hull"].to_numpy(np.intp), outings["start_h"].to_numpy(float))
    if key.size == 0 or rows.empty:
        return np.zeros(0)
    hull, at = rows["hull"].to_numpy(np.intp), rows["at_h"].to_numpy(float)
    last: Codes = (np.searchsorted(key, hull_key(hull, at), side="right") - 1).clip(0)
    return np.sort(hull_key(outings["mooring"].to_numpy(np.intp)[last], at))


def unflushed_counts(outings: pd.DataFrame) -> pd.DataFrame:
    """Count salty returns where a flush log was kept, and those of them left unflushed.

    Parameters
    ----------
    outings : DataFrame, as `log_kept` returns it

    Returns
    -------
    DataFrame, one row a mooring (code) and long (bool, a long stop): sum, count; counts of several
    workers add up
    """
    left, long = outings["flushed_h"].isna().astype(float), _is_long(outings)
    salty = outings["water"].isin(SALTY) & outings["kept"]
    group = [outings["mooring"], long.rename("long")]
    return left.where(salty).groupby(group).agg(["sum", "count"])


def left_wet(outings: pd.DataFrame, counts: pd.DataFrame) -> pd.DataFrame:
    """Say how much of each outing's salty hours to count, 1 where the flush log was kept.

    Parameters
    ----------
    outings : DataFrame, as `log_kept` returns it
    counts : DataFrame, as `unflushed_counts` returns it, of all hulls

    Returns
    -------
    DataFrame, with wet_share
    """
    left, long = outings["flushed_h"].isna(), _is_long(outings)
    by_length = counts.groupby("long").sum()
    fleet = long.map(by_length["sum"] / by_length["count"]).fillna(1.0)
    at = pd.MultiIndex.from_arrays([outings["mooring"], long])
    usual = pd.Series((counts["sum"] / counts["count"]).reindex(at).to_numpy(float), outings.index)
    share = np.where(outings["kept"] | ~left, 1.0, usual.fillna(fleet))
    return outings.assign(wet_share=share)


def _is_long(outings: pd.DataFrame) -> pd.Series:
    """Tell long stops: back again the same day, a hull is seldom flushed."""
    return ~(outings["next_h"] - outings["stop_h"] < SHORT_STOP_H)
