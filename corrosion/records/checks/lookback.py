"""What stood last before a moment: rows of one log looked up from another, group by group."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from corrosion.records.checks.evidence import Evidence

Places = npt.NDArray[np.int64]
Hours = npt.NDArray[np.float64]


def place_before(
    asked: pd.DataFrame,
    events: pd.DataFrame,
    groups: list[str],
    at: str,
    when: str,
    *,
    strictly: bool = False,
) -> Places:
    """Place in `events` of the last row of the same group at or before each moment asked.

    Parameters
    ----------
    asked, events : DataFrame, shapes (n,), (m,)
        Both carry the columns `groups`; `asked` has the moment `at`, `events` has `when`.
    groups : list of str
        Columns that must agree.
    at, when : str
        Time columns.
    strictly : bool
        Only rows before the moment, not at it.

    Returns
    -------
    integer array, shape (n,)
        Positions in `events`, -1 where there is none.

    """
    if events.empty or asked.empty:
        return np.full(len(asked), -1, dtype=np.int64)
    both = pd.concat([events[groups], asked[groups]], ignore_index=True)
    group = both.groupby(groups, sort=False, dropna=False).ngroup().to_numpy()
    # ranks instead of moments: group and moment in one whole number can't overflow
    times = np.concatenate([microseconds(events[when]), microseconds(asked[at])])
    distinct, rank = np.unique(times, return_inverse=True)
    key = group.astype(np.int64) * (len(distinct) + 1) + rank
    known = events[when].notna().to_numpy()
    sought = np.flatnonzero(known)
    order = sought[np.argsort(key[sought], kind="stable")]
    found = (
        np.searchsorted(key[order], key[len(events) :], side="left" if strictly else "right") - 1
    )
    places = np.where(found >= 0, order[np.maximum(found, 0)] if len(order) else -1, -1)
    same = (places >= 0) & (group[np.maximum(places, 0)] == group[len(events) :])
    return np.where(same & asked[at].notna().to_numpy(), places, -1).astype(np.int64)


def place_after(
    asked: pd.DataFrame, events: pd.DataFrame, groups: list[str], at: str, when: str
) -> Places:
    """Place in `events` of the first row of the same group strictly after each moment asked."""
    turned_asked = asked.assign(**{at: _mirrored(asked[at])})
    turned_events = events.assign(**{when: _mirrored(events[when])})
    return place_before(turned_asked, turned_events, groups, at, when, strictly=True)


def values_at(column: pd.Series, places: Places) -> pd.Series:
    """Values of `column` at `places`, unknown where there is no place."""
    taken = column.reset_index(drop=True).reindex(places)
    return taken.reset_index(drop=True)


def hours_between(later: pd.Series, earlier: pd.Series) -> pd.Series:
    """Hours from `earlier` to `later`, NaN where either is unknown."""
    return (later - earlier).dt.total_seconds() / 3600.0


def mooring_at(asked: pd.DataFrame, evidence: Evidence, at: str) -> pd.Series:
    """Where each hull lay then; before its first berth, where it lay first."""
    berths = evidence["berths"]
    places = place_before(asked, berths, ["hull_no"], at, "since")
    first = berths.drop_duplicates("hull_no").set_index("hull_no")["mooring_id"]
    lay = values_at(berths["mooring_id"], places)
    lay.index = asked.index
    return lay.where(lay.notna(), asked["hull_no"].map(first))


def water_at(asked: pd.DataFrame, evidence: Evidence, at: str) -> pd.Series:
    """Water of the mooring where each hull lay then, unknown where no berth is known."""
    moorings = evidence["moorings"].drop_duplicates("mooring_id").set_index("mooring_id")
    return mooring_at(asked, evidence, at).map(moorings["water"])


def layout_of(asked: pd.DataFrame, evidence: Evidence) -> pd.Series:
    """Engine and anode arrangement of each row's hull, unknown for an unknown hull."""
    hulls = evidence["hulls"].drop_duplicates("hull_id").set_index("hull_id")
    return asked["hull_id"].map(hulls["layout"])


def engine_hours_until(asked: pd.DataFrame, evidence: Evidence, at: str) -> Hours:
    """Engine hours that each hull had logged by then; unknown hours count as none.

    A rough clock for judging readings, not the exposure that wear is fitted on.
    """
    outings = evidence["outings"]
    run_h = outings["engine_hours"].fillna(0.0).groupby(outings["hull_no"]).cumsum()
    places = place_before(asked, outings, ["hull_no"], at, "ended")
    return values_at(run_h, places).fillna(0.0).to_numpy(dtype=np.float64)


def microseconds(moments: pd.Series) -> Places:
    """Moments as microseconds since 1970; the unknown one comes before all others."""
    return np.asarray(moments.to_numpy(dtype="datetime64[us]")).astype(np.int64)


def _mirrored(moments: pd.Series) -> pd.Series:
    """Moments counted backwards, so that 'after' becomes 'before'."""
    origin = pd.Timestamp("2000-01-01", tz="UTC")
    return origin - (moments - origin)
