"""Moments: times of the logs in UTC, read in the fleet's time zone where they do not say."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from corrosion.common import Refusal, after_days, midnight_before

Times = npt.NDArray[np.datetime64]
Cells = npt.NDArray[np.bool_]

# Nothing of the trade lies outside; inside, every library of the chain can calculate with a time.
FIRST_MOMENT = np.datetime64("1900-01-01T00:00:00", "us")
LAST_MOMENT = np.datetime64("2200-01-01T00:00:00", "us")

# By how much a computer's clock is put back at most: summer time, or a zone that was set wrong.
PUT_BACK = pd.Timedelta(days=1)

# Hulls from which on what a server works out is of the full hour.
MANY_HULLS = 1_000

_MOST_US = np.iinfo(np.int64).max
_UNITS_US = {"s": 1_000_000, "ms": 1_000}
_DATE = r"^\d{4}-\d{2}-\d{2}$"
_CLOCK = r"^\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}(:\d{2}([.,]\d+)?)?"
_NAIVE = _CLOCK + "$"
_ZONED = _CLOCK + r" ?(Z|z|[+-]\d{2}(:?\d{2})?)$"


@dataclass(frozen=True)
class Moments:
    """Times read from one column, shape (n,), and what had to be decided on the way.

    Attributes
    ----------
    times : datetime64[us] array, shape (n,)
        UTC, kept within `FIRST_MOMENT` and `LAST_MOMENT`; NaT where unknown or unreadable.
    unreadable : bool array, shape (n,)
        Cells that hold something that is no time.
    naive, twice, skipped, beyond : bool array, shape (n,)
        Read in the fleet's zone; on the clock twice that day (the earlier is taken); never on the
        clock that day (moved on to the next that was); outside of any calendar of the trade.
    """

    times: Times
    unreadable: Cells
    naive: Cells
    twice: Cells
    skipped: Cells
    beyond: Cells


def read_moments(column: pa.Array, zone: ZoneInfo) -> Moments:
    """Read a column of times.

    Parameters
    ----------
    column : pyarrow Array, length n
        Timestamps of any resolution and zone, dates, or ISO 8601 text, day first nowhere.
    zone : ZoneInfo
        Zone of times that carry none; a date alone is 00:00 there.

    Returns
    -------
    Moments
    """
    kind = column.type
    if pa.types.is_timestamp(kind):
        return _from_timestamps(column, zone)
    if pa.types.is_date(kind):
        # date64 counts ms and may hold a time of day, which a date does not have
        days = column.cast(pa.date32(), safe=False).cast(pa.timestamp("s"))
        return _replace_naive(_from_timestamps(days, zone), np.zeros(len(column), bool))
    if pa.types.is_string(kind):
        return _from_text(column, zone)
    nothing = np.full(len(column), np.datetime64("NaT", "us"))
    none = np.zeros(len(column), bool)
    return Moments(nothing, _known(column), none, none, none, none)


def _known(column: pa.Array) -> Cells:
    return np.asarray(column.is_valid().to_numpy(zero_copy_only=False), bool)


def _replace_naive(read: Moments, naive: Cells) -> Moments:
    return Moments(read.times, read.unreadable, naive, read.twice, read.skipped, read.beyond)


def _microseconds(column: pa.Array) -> Times:
    """Clock readings, datetime64[us], brought within the calendar's ends; zone left as it is."""
    kind = column.type
    counts = column.cast(pa.timestamp(kind.unit)).to_numpy(zero_copy_only=False)
    if kind.unit in _UNITS_US:
        most = _MOST_US // _UNITS_US[kind.unit] - 1
        raw = counts.view(np.int64)
        unknown = np.isnat(counts)
        counts = np.clip(raw, -most, most).view(counts.dtype)
        counts[unknown] = np.datetime64("NaT", "us")
    return np.asarray(counts.astype("datetime64[us]"))


def _from_timestamps(column: pa.Array, zone: ZoneInfo) -> Moments:
    given = _microseconds(column)
    beyond = (given < FIRST_MOMENT) | (given > LAST_MOMENT)
    within = np.clip(given, FIRST_MOMENT, LAST_MOMENT)
    none = np.zeros(len(given), bool)
    if column.type.tz is not None:
        return Moments(within, none, none, none, none, beyond)
    early, twice, skipped = localised(within, zone)
    return Moments(early, none, ~np.isnat(given), twice, skipped, beyond)


def localised(clock: Times, zone: ZoneInfo) -> tuple[Times, Cells, Cells]:
    """Clock readings of a zone as UTC.

    Parameters
    ----------
    clock : datetime64[us] array, shape (n,)
        What the clock on the wall showed.
    zone : ZoneInfo
        Where the clock hangs.

    Returns
    -------
    times : datetime64[us] array, shape (n,)
        UTC; the earlier one of two, and the next that exists for a reading the clock skipped.
    twice, skipped : bool array, shape (n,)
        The clock showed it twice; the clock never showed it.
    """
    column = pa.array(clock, pa.timestamp("us"))
    early = _assumed(column, zone, "earliest", "latest")
    late = _assumed(column, zone, "latest", "earliest")
    return early, late > early, late < early


def _assumed(column: pa.Array, zone: ZoneInfo, ambiguous: str, nonexistent: str) -> Times:
    try:
        placed = pc.assume_timezone(column, zone.key, ambiguous=ambiguous, nonexistent=nonexistent)
    except pa.ArrowInvalid:
        # pyarrow is quick with every pandas, but knows the system's time zones alone, and newer
        # systems leave older names out
        return assumed_by_pandas(column, zone, ambiguous, nonexistent)
    return np.asarray(placed.cast(pa.timestamp("us")).to_numpy(zero_copy_only=False))


def assumed_by_pandas(column: pa.Array, zone: ZoneInfo, ambiguous: str, nonexistent: str) -> Times:
    """Return what `pyarrow.compute.assume_timezone` does, by the time zones that Python knows."""
    clock = pd.DatetimeIndex(column.to_numpy(zero_copy_only=False))
    placed = clock.tz_localize(
        zone,
        ambiguous=np.full(len(clock), ambiguous == "earliest"),  # summer time is shown first
        nonexistent="shift_forward" if nonexistent == "latest" else "shift_backward",
    )
    return np.asarray(placed.tz_convert("UTC").tz_localize(None).as_unit("us").to_numpy())


def _from_text(column: pa.Array, zone: ZoneInfo) -> Moments:
    text = pc.utf8_trim_whitespace(column)
    text = pc.if_else(pc.equal(text, ""), pa.scalar(None, pa.string()), text)
    zoned, naive, day = (_matches(text, pattern) for pattern in (_ZONED, _NAIVE, _DATE))
    stamps = np.full(len(column), np.datetime64("NaT", "us"))
    stamps[zoned] = _parsed(text, zoned, "UTC")
    stamps[naive | day] = _parsed(text, naive | day, None)
    local = _from_timestamps(pa.array(np.where(zoned, np.datetime64("NaT", "us"), stamps)), zone)
    exact = _from_timestamps(pa.array(stamps, pa.timestamp("us", "UTC")), zone)
    return Moments(
        np.where(zoned, exact.times, local.times),
        _known(text) & np.isnat(stamps),
        naive & ~np.isnat(stamps),
        local.twice,
        local.skipped,
        exact.beyond,
    )


def _matches(text: pa.Array, pattern: str) -> Cells:
    matches = pc.fill_null(pc.match_substring_regex(text, pattern), False)
    return np.asarray(matches.to_numpy(zero_copy_only=False), bool)


def _parsed(text: pa.Array, cells: Cells, zone: str | None) -> Times:
    """Times of the chosen cells, datetime64[us]; NaT for a date that no calendar has."""
    chosen = pc.replace_substring_regex(text.filter(pa.array(cells)), " ?z$| Z$", "Z")
    chosen = pc.replace_substring_regex(chosen, r" ([+-]\d{2}(:?\d{2})?)$", r"\1")
    chosen = pc.replace_substring_regex(chosen, r"[.,](\d{1,6})\d*", r".\1")
    kind = pa.timestamp("us", zone)
    try:
        stamps = chosen.cast(kind)
    except pa.ArrowInvalid:
        stamps = pa.array([_one(value, kind) for value in chosen], kind)
    return np.asarray(stamps.cast(pa.timestamp("us")).to_numpy(zero_copy_only=False))


def _one(value: pa.Scalar, kind: pa.DataType) -> pa.Scalar | None:
    try:
        return value.cast(kind)
    except pa.ArrowInvalid:
        return None


def parse_on(text: str | date | datetime | pd.Timestamp, timezone: ZoneInfo) -> pd.Timestamp:
    """A date or time that a person wrote, as a moment.

    Parameters
    ----------
    text : str, date, datetime or Timestamp
        ISO 8601: `2031-05-02`, `2031-05-02T14:30`, `2031-05-02T14:30+02:00`. Without a zone it is
        read in the fleet's; a date alone is 00:00 there.
    timezone : ZoneInfo
        The fleet's zone.

    Returns
    -------
    Timestamp
        UTC, resolution us.

    Raises
    ------
    Refusal
        It is no date or time, or none that a fleet can have.
    """
    read = read_moments(_one_cell(text), timezone)
    if read.unreadable[0] or read.beyond[0] or np.isnat(read.times[0]):
        raise Refusal(f"{text!s} is not a date or time. Write 2031-05-02 or 2031-05-02T14:30.")
    return pd.Timestamp(read.times[0]).tz_localize("UTC")


def _one_cell(given: str | date | datetime | pd.Timestamp) -> pa.Array:
    if isinstance(given, datetime):
        moment = pd.Timestamp(given)
        if moment.tz is not None:
            utc = moment.tz_convert("UTC").to_datetime64().astype("datetime64[us]")
            return pa.array([utc]).cast(pa.timestamp("us", "UTC"))
        return pa.array([moment.to_datetime64().astype("datetime64[us]")])
    return pa.array([given], pa.date32() if isinstance(given, date) else pa.string())


def stamps(times: Times) -> pd.Series[pd.Timestamp]:
    """UTC times as a column, dtype datetime64[us, UTC]."""
    return pd.Series(pd.DatetimeIndex(times).tz_localize("UTC"))


def clock_text(moment: pd.Timestamp, zone: ZoneInfo) -> str:
    """A moment as the fleet's clock shows it, `2031-05-02 14:30`; `unknown time` without one."""
    return "unknown time" if pd.isna(moment) else f"{moment.tz_convert(zone):%Y-%m-%d %H:%M}"


def full_hour(moment: pd.Timestamp, hulls: int, timezone: ZoneInfo) -> pd.Timestamp:
    """Return the end of the hour of a moment where there are many hulls.

    What was worked out of thousands of hulls then stands until the next hour where no entry touches
    it. It never reaches into another day, so that nothing becomes due before its time.

    Parameters
    ----------
    moment : Timestamp, UTC, up to which everything is known
    hulls : int, how many the fleet has ever had
    timezone : ZoneInfo, of the fleet

    Returns
    -------
    Timestamp, UTC, microseconds; at most an hour later, and the same below `MANY_HULLS`
    """
    if hulls < MANY_HULLS:
        return moment
    tomorrow = midnight_before(after_days(moment, 1, timezone), timezone)
    return max(moment, min(moment.ceil("h"), tomorrow - pd.Timedelta(minutes=1)))
