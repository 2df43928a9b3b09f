"""What stood last before a moment: rows of one log looked up from another, group by group."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd
from pandas.api.extensions import take
from pandas.api.types import is_extension_array_dtype

from corrosion.records.checks.evidence import Evidence
from corrosion.records.checks.watching import once

Places = npt.NDArray[np.int64]
Hours = npt.NDArray[np.float64]
UNKNOWN = np.iinfo(np.int64).min
"""The unknown moment as a whole number."""
AN_HOUR = 3_600_000_000
"""Microseconds."""


def place_before(
    rows: pd.DataFrame,
    events: pd.DataFrame,
    groups: list[str],
    at: str,
    when: str,
    *,
    strictly: bool = False,
) -> Places:
    """Place in `events` of the last row of the same group at or before each row's moment.

    Parameters
    ----------
    rows, events : DataFrame, shapes (n,), (m,)
        Both carry the columns `groups`; `rows` has the moment `at`, `events` has `when`.
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
    if events.empty or rows.empty:
        return np.full(len(rows), -1, dtype=np.int64)
    group = _group_numbers(events, rows, groups)
    event_times, row_times = microseconds(events[when]), microseconds(rows[at])
    key = _keys(group, np.concatenate([event_times, row_times]))
    there = key[: len(events)]
    sought = np.flatnonzero(event_times != UNKNOWN)
    if len(sought) < len(events):
        there = there[sought]
    # the logs are in order mostly, and sorting is most of the work
    if (there[1:] < there[:-1]).any():
        order = np.argsort(there, kind="stable")
        sought, there = sought[order], there[order]
    before = np.searchsorted(there, key[len(events) :], side="left" if strictly else "right") - 1
    places = np.append(sought, -1)[before]  # before all of them stands none
    same = (group[places] == group[len(events) :]) & (places >= 0) & (row_times != UNKNOWN)
    return np.where(same, places, -1).astype(np.int64)


def _group_numbers(events: pd.DataFrame, rows: pd.DataFrame, groups: list[str]) -> Places:
    """Number the groups of the rows of both, those of `events` first, shape (m + n,)."""
    if len(groups) == 1:
        one = [table[groups[0]] for table in (events, rows)]
        if all(pd.api.types.is_integer_dtype(column.dtype) for column in one):
            numbers = np.concatenate([column.to_numpy(dtype=np.int64) for column in one])
            return np.asarray(numbers - numbers.min())
    both = pd.concat([events[groups], rows[groups]], ignore_index=True)
    return np.asarray(both.groupby(groups, sort=False, dropna=False).ngroup(), dtype=np.int64)


def _keys(group: Places, times: Places) -> Places:
    """Return one whole number for a group and a moment, in their order; unknown moments first."""
    unknown = times == UNKNOWN
    since = times - (times.min(where=~unknown, initial=np.iinfo(np.int64).max) - 1)
    since[unknown] = 0
    span = int(since.max(initial=0)) + 1
    if span * (int(group.max(initial=0)) + 1) < np.iinfo(np.int64).max:
        return np.asarray(np.add(since, group * span, out=since))
    # too long a time for one number: ranks in place of moments
    distinct, rank = np.unique(times, return_inverse=True)
    return np.asarray(group * (len(distinct) + 1) + rank)


def place_after(
    rows: pd.DataFrame, events: pd.DataFrame, groups: list[str], at: str, when: str
) -> Places:
    """Place in `events` of the first row of the same group strictly after each row's moment."""
    turned_asked = rows.assign(**{at: _mirrored(rows[at])})
    turned_events = events.assign(**{when: _mirrored(events[when])})
    return place_before(turned_asked, turned_events, groups, at, when, strictly=True)


def values_at(column: pd.Series, places: Places) -> pd.Series:
    """Values of `column` at `places`, unknown where there is no place."""
    values = column.array if is_extension_array_dtype(column.dtype) else column.to_numpy()
    return pd.Series(take(values, places, allow_fill=True), name=column.name)


def hours_between(later: pd.Series, earlier: pd.Series) -> pd.Series:
    """Hours from `earlier` to `later`, NaN where either is unknown."""
    apart = later - earlier
    hours = apart.to_numpy("timedelta64[us]").astype(np.float64) / AN_HOUR
    return pd.Series(np.where(apart.isna(), np.nan, hours), index=apart.index, name=apart.name)


def berth_at(rows: pd.DataFrame, evidence: Evidence, at: str) -> Places:
    """Place of the berth where each hull lay then; before its first, its first; -1 without any."""
    berths = evidence["berths"]
    places = place_before(rows, berths, ["hull_no"], at, "since")
    first = berths.drop_duplicates("hull_no")
    place = pd.Series(first.index.to_numpy(), index=first["hull_no"].to_numpy())
    earliest = rows["hull_no"].map(place).fillna(-1).to_numpy(dtype=np.int64)
    return np.where(places >= 0, places, earliest).astype(np.int64)


def mooring_at(rows: pd.DataFrame, evidence: Evidence, at: str) -> pd.Series:
    """Where each hull lay then; before its first berth, where it lay first."""
    lay = values_at(evidence["berths"]["mooring_id"], berth_at(rows, evidence, at))
    lay.index = rows.index
    return lay


def water_at(rows: pd.DataFrame, evidence: Evidence, at: str) -> pd.Series:
    """Water of the mooring where each hull lay then, unknown where no berth is known."""
    return water_of_berths(evidence, berth_at(rows, evidence, at)).set_axis(rows.index)


def water_of_berths(evidence: Evidence, berth: Places) -> pd.Series:
    """Water of the mooring of each berth, by its place in the log; unknown where there is none."""
    moorings = evidence["moorings"].drop_duplicates("mooring_id").set_index("mooring_id")
    # berths are few: look the water up there, and not once a row
    return values_at(evidence["berths"]["mooring_id"].map(moorings["water"]), berth)


def layout_of(rows: pd.DataFrame, evidence: Evidence) -> pd.Series:
    """Engine and anode arrangement of each row's hull, unknown for an unknown hull."""
    hulls = evidence["hulls"].drop_duplicates("hull_id").set_index("hull_no")
    return hulls["layout"].reindex(rows["hull_no"]).set_axis(rows.index)


def engine_hours_until(rows: pd.DataFrame, evidence: Evidence, at: str) -> Hours:
    """Engine hours that each hull had logged by then; unknown hours count as none.

    A rough clock for judging readings, not the exposure that wear is fitted on.
    """
    run_h = once(evidence, "engine hours so far", _run_so_far)
    places = place_before(rows, evidence["outings"], ["hull_no"], at, "ended")
    return values_at(run_h, places).fillna(0.0).to_numpy(dtype=np.float64)


def _run_so_far(evidence: Evidence) -> pd.Series:
    """Engine hours that its hull had logged by the end of each outing."""
    outings = evidence["outings"]
    return outings["engine_hours"].fillna(0.0).groupby(outings["hull_no"]).cumsum()


def microseconds(moments: pd.Series) -> Places:
    """Moments as microseconds since 1970; the unknown one comes before all others."""
    return np.asarray(pd.DatetimeIndex(moments).as_unit("us").asi8)


def _mirrored(moments: pd.Series) -> pd.Series:
    """Moments counted backwards, so that 'after' becomes 'before'."""
    origin = pd.Timestamp("2000-01-01", tz="UTC")
    return origin - (moments - origin)
