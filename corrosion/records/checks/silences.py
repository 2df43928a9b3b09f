"""Rules for logs that fell silent: a fleet, a mooring, a hull that nobody writes up any more.

Nothing written is not nothing done. Hires that are over with no outing on record tell a silence
from one day on; without a book, a week does in a fleet that was out on most days before.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.records.checks.evidence import NOTE, Evidence, Flags, Rule, flags_of, moments_of
from corrosion.records.checks.gaps import HIRE_SLACK
from corrosion.records.checks.lookback import microseconds
from corrosion.records.checks.watching import once

DAY = pd.Timedelta(days=1)
HIRES_DUE = 2
HULL_HIRES_DUE = 3
WORKING_DAYS, OF_DAYS = 20, 28
"""Days with an outing, of the last days on record, that make a fleet one that works."""
WEEK = 7 * DAY


def fleet_silent(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """The last outing on record, where hires went by after it or a working fleet was silent."""
    last = rows["ended"].max()
    book = evidence["bookings"]
    due = len(_over(book[(book["starts"] >= last).to_numpy(bool)], evidence))
    silent = evidence.on - last
    is_silent = silent >= DAY and due >= HIRES_DUE
    return flags_of(
        (rows["ended"] == last) & (is_silent or (silent >= WEEK and _worked(rows))), rows
    )


def mooring_silent(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Hires of a mooring's hulls went by with no outing of any, while others are written up."""
    home, last = _homes(evidence), once(evidence, "last back", _last_back)
    by_mooring = last.groupby(home.reindex(last.index).to_numpy()).max()
    mine = moments_of(by_mooring, rows["mooring_id"])
    written = evidence["outings"]["ended"].max()
    due = _over(once(evidence, "hires since", _hires_since_mooring), evidence)
    hires = rows["mooring_id"].map(due["hull_no"].map(home).value_counts()).fillna(0)
    others = written - mine >= DAY
    return flags_of(others & (evidence.on - mine >= DAY) & (hires >= HIRES_DUE), rows)


def _hires_since_mooring(evidence: Evidence) -> pd.DataFrame:
    """Return the hires since a hull of the same mooring came back last."""
    home, last = _homes(evidence), _last_back(evidence)
    by_mooring = last.groupby(home.reindex(last.index).to_numpy()).max()
    since = moments_of(by_mooring, moments_of(home, evidence["bookings"]["hull_no"]))
    return _hires_since(evidence, since, evidence["outings"]["ended"].max())


def hull_silent(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Several hires of a hull went by with no outing, while its neighbours are written up."""
    home, last = _homes(evidence), once(evidence, "last back", _last_back)
    by_mooring = last.groupby(home.reindex(last.index).to_numpy()).max()
    mine = moments_of(last, rows["hull_no"])
    hires = _over(once(evidence, "hires since", _hires_since_hull), evidence)
    due = rows["hull_no"].map(hires["hull_no"].value_counts()).fillna(0)
    neighbours = moments_of(by_mooring, moments_of(home, rows["hull_no"]))
    return flags_of((neighbours - mine >= DAY) & (due >= HULL_HIRES_DUE), rows)


def _hires_since_hull(evidence: Evidence) -> pd.DataFrame:
    """Return the hires since their hull came back last and until a neighbour did."""
    home, last, book = _homes(evidence), _last_back(evidence), evidence["bookings"]
    by_mooring = last.groupby(home.reindex(last.index).to_numpy()).max()
    beside = moments_of(by_mooring, moments_of(home, book["hull_no"]))
    return _hires_since(evidence, moments_of(last, book["hull_no"]), beside)


def _hires_since(
    evidence: Evidence, since: pd.Series, until: pd.Series | pd.Timestamp
) -> pd.DataFrame:
    """Return hires that began after a moment of their own and were over by another."""
    book = evidence["bookings"]
    ended = book["ends"] <= (until.array if isinstance(until, pd.Series) else until)
    hires: pd.DataFrame = book[ended & (book["starts"] >= since).to_numpy(bool)]
    return hires


def _over(hires: pd.DataFrame, evidence: Evidence) -> pd.DataFrame:
    """Return the hires that are over by now."""
    over: pd.DataFrame = hires[hires["ends"] + HIRE_SLACK <= evidence.on]
    return over


def _last_back(evidence: Evidence) -> pd.Series:
    """Return when each hull came back last, by its number."""
    outings = evidence["outings"]
    if outings.empty:
        return outings.set_index("hull_no")["ended"]
    hull = outings["hull_no"].to_numpy(np.int64)
    first = np.flatnonzero(np.diff(hull, prepend=hull[0] - 1))  # they stand hull by hull
    last = np.maximum.reduceat(microseconds(outings["ended"]), first)
    moments = pd.DatetimeIndex(last.view("datetime64[us]")).tz_localize("UTC")
    return pd.Series(moments, index=pd.Index(hull[first], name="hull_no"))


def _homes(evidence: Evidence) -> pd.Series:
    """Return the mooring where each hull lives now, by its number."""
    berths = evidence["berths"].drop_duplicates("hull_no", keep="last")
    home: pd.Series = berths.set_index("hull_no")["mooring_id"]
    return home


def _worked(rows: pd.DataFrame) -> bool:
    """Tell whether the fleet was out on most of its last days on record."""
    recent = rows["ended"][rows["ended"] > rows["ended"].max() - OF_DAYS * DAY]
    return int(recent.dt.floor("D").nunique()) >= WORKING_DAYS


SILENCE_RULES: tuple[Rule, ...] = (
    Rule(
        "fleet-silent",
        ("outings",),
        NOTE,
        "Nothing was entered after this outing, though hires went by or the fleet was at work: "
        "enter outings and flushes since then. Until then use is filled in and ranges are wider.",
        fleet_silent,
        ("ended",),
    ),
    Rule(
        "mooring-silent",
        ("moorings",),
        NOTE,
        "Hires of its hulls went by and no outing was entered, while others are written up: enter "
        "this dock's outings and flushes. Until then use is filled in and ranges are wider.",
        mooring_silent,
    ),
    Rule(
        "hull-silent",
        ("hulls",),
        NOTE,
        "Hires of it went by and no outing was entered, while its neighbours are written up: "
        "enter them, or strike the hires out. Until then it is taken to have lain still.",
        hull_silent,
    ),
)
