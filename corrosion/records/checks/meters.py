"""Rules for hour meters: each is read in segments, from one event of the meter log to the next.

Notes
-----
* Hour meters are read in segments: `records/checks/meters.py` begins a segment at each event;
  zeroed and rolled over begin at zero where nobody wrote the new reading down, a replaced meter
  at an unknown one; while it is on record as stuck nothing is said.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.records.checks.evidence import NOTE, Evidence, Flags, Rule, flags_of, is_true
from corrosion.records.checks.lookback import place_before, values_at

METER_SLACK_H = 0.2
METER_APART_SHARE, METER_APART_H = 0.25, 0.5
EVENT_APART_H = 1.0
STARTS_AT_ZERO = ("zeroed", "rolled-over")


def hours_unknown(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """No engine hours were written down."""
    logged = evidence.logged["outings"].set_index("log_row")["engine_hours"]
    return rows["engine_hours"].isna() & rows["log_row"].map(logged).isna()


def meter_went_back(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """The hour meter stands lower than after an earlier outing, and no event explains it."""
    return _meter_advance_h(rows, evidence) < -METER_SLACK_H


def meter_stuck(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """The meter has not moved for three outings, though each logged engine hours."""
    still = _meter_advance_h(rows, evidence).abs() < 0.01
    idle = is_true(still & (rows["engine_hours"] > 2 * METER_SLACK_H))
    if not idle.any():
        return idle
    hull = rows["hull_no"]
    run = idle.astype("int64").groupby([hull, (~idle).groupby(hull).cumsum()]).cumsum()
    return run >= 3


def meter_against_hours(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """The meter advanced by something else than the hours logged for the outing."""
    advance_h = _meter_advance_h(rows, evidence)
    apart_h = (advance_h - rows["engine_hours"]).abs()
    allowed_h = METER_APART_H + METER_APART_SHARE * rows["engine_hours"]
    moved = (advance_h > 0.01) & flags_of(rows["engine_hours"].notna(), rows)
    return moved & (apart_h > allowed_h)


def event_against_outings(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """What the meter showed before an event is not what the last outing left on it."""
    outings = evidence["outings"]
    read = outings[outings["meter_hours"].notna()].reset_index(drop=True)
    place = place_before(rows, read, ["hull_no"], "changed_at", "ended")
    last = values_at(read["meter_hours"], place)
    last.index = rows.index
    apart = (rows["meter_before_hours"] - last).abs() > EVENT_APART_H
    return apart & ~_after_another(rows, read, place)


def _after_another(
    rows: pd.DataFrame, read: pd.DataFrame, place: np.ndarray[tuple[int], np.dtype[np.int64]]
) -> Flags:
    """Another event lies between the last outing and this one."""
    last_out = values_at(read["ended"], place)
    last_out.index = rows.index
    before = rows.groupby("hull_no", sort=False)["changed_at"].shift()
    return before > last_out


def _meter_advance_h(rows: pd.DataFrame, evidence: Evidence) -> pd.Series:
    """Hours the meter moved since it was read last, in the same segment; unknown across two.

    A segment begins with what the meter showed after the event: zero where it was zeroed or
    rolled over, unknown where nobody wrote it down. While it stands still, nothing is known.
    """
    grouped = rows.groupby("hull_no", sort=False)
    before_h, before_at = grouped["meter_hours"].shift(), grouped["ended"].shift()
    events = evidence["meters"]
    if events.empty:
        return rows["meter_hours"] - before_h
    place = place_before(rows, events, ["hull_no"], "ended", "changed_at")
    event, at, after_h = (
        _beside(events[name], place, rows) for name in ("event", "changed_at", "meter_after_hours")
    )
    after_h = after_h.fillna(pd.Series(0.0, rows.index).where(event.isin(STARTS_AT_ZERO)))
    begins = at.notna() & ~(at <= before_at)
    started_h = before_h.where(~begins, after_h).where(event != "stuck")
    return rows["meter_hours"] - started_h


def _beside(
    column: pd.Series, place: np.ndarray[tuple[int], np.dtype[np.int64]], rows: pd.DataFrame
) -> pd.Series:
    taken = values_at(column, place)
    taken.index = rows.index
    return taken


METER_RULES: tuple[Rule, ...] = (
    Rule(
        "engine-hours-unknown",
        ("outings",),
        NOTE,
        "Write the engine hours down; they are filled from the hull's usual share until then.",
        hours_unknown,
    ),
    Rule(
        "meter-went-back",
        ("outings",),
        NOTE,
        "Was the hour meter replaced, zeroed or rolled over? Write it down; hours come from the "
        "outings, not from the meter.",
        meter_went_back,
        ("meter_hours",),
    ),
    Rule(
        "meter-stuck",
        ("outings",),
        NOTE,
        "The meter stands still while hours are logged: have it looked at.",
        meter_stuck,
        ("meter_hours", "engine_hours"),
    ),
    Rule(
        "meter-against-hours",
        ("outings",),
        NOTE,
        "Meter and logged hours disagree: an outing missing, or hours mistyped?",
        meter_against_hours,
        ("meter_hours", "engine_hours"),
    ),
    Rule(
        "meter-event-apart",
        ("meters",),
        NOTE,
        "The meter showed something else after the last outing: an outing is missing, or the "
        "reading is mistyped.",
        event_against_outings,
        ("event", "meter_before_hours"),
    ),
)
