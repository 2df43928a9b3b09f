"""Rules for the same thing written down twice."""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.records.checks.evidence import (
    DOUBTFUL,
    SET_ASIDE,
    Evidence,
    Flags,
    Rule,
    flags_of,
    key_numbers,
    said_columns,
    tied_rows,
)
from corrosion.records.checks.lookback import hours_between

READING_APART_H = 15 / 60
OUTING_APART_H = 5 / 60
FLUSH_APART_H = 1 / 60
FITTING_APART_H = 15 / 60
FITTING_AGAIN_H = 1.0
LOOK_COLUMNS = ["size_mm", "size_low_mm", "size_high_mm", "verdict"]


def exact_duplicate(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Says exactly what a row before it says (who entered it when does not count)."""
    # rows that are equal are equal in their keys: compare only those
    tied = tied_rows(key_numbers(rows, evidence.log))
    twice = rows[tied].duplicated(said_columns(rows))
    return twice.reindex(rows.index, fill_value=False)


def reading_twice(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """The same look at the same anode within a quarter of an hour."""
    close = _soon_after(rows, "spot_no", "read_at", READING_APART_H)
    # other looks may lie between the two: compare each with the last that said the same
    near = rows[close | close.shift(-1, fill_value=False)]
    last = near.assign(**_rounded_look(near)).groupby(["spot_no", *LOOK_COLUMNS], dropna=False)
    again = hours_between(near["read_at"], last["read_at"].shift()) <= READING_APART_H
    return _but_for_duplicates(again.reindex(rows.index, fill_value=False), rows, evidence)


def outing_twice(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Started and ended within five minutes of the outing before it."""
    starts = _soon_after(rows, "hull_no", "started", OUTING_APART_H)
    # the end may also lie before the other's end
    apart_h = hours_between(rows["ended"], rows["ended"].shift()).abs()
    return _but_for_duplicates(starts & (apart_h <= OUTING_APART_H), rows, evidence)


def flush_twice(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """The same hull flushed within the same minute, with the same outcome."""
    close = _soon_after(rows, "hull_no", "flushed_at", FLUSH_APART_H, strictly=True)
    # texts are slow to compare, and hardly any rows are close
    place = np.flatnonzero(close)
    done = rows["done"].to_numpy(object)
    this, before = (pd.Series(done[at]).fillna("yes").to_numpy() for at in (place, place - 1))
    again = np.zeros(len(rows), dtype=bool)
    again[place] = this == before
    return _but_for_duplicates(flags_of(again, rows), rows, evidence)


def _but_for_duplicates(flags: Flags, rows: pd.DataFrame, evidence: Evidence) -> Flags:
    return flags & ~exact_duplicate(rows, evidence) if flags.any() else flags


def fitting_twice(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """The same fitting within a quarter of an hour."""
    close = _soon_after(rows, "spot_no", "fitted_at", FITTING_APART_H)
    return close & ~exact_duplicate(rows, evidence)


def fitted_again(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Another new anode within an hour of the last one."""
    return _soon_after(rows, "spot_no", "fitted_at", FITTING_AGAIN_H)


def berths_at_once(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A second berth from the same moment on."""
    return _soon_after(rows, "hull_no", "since", 0.0)


def outings_overlap(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Started more than five minutes before an earlier outing of the hull had ended."""
    lasted_h = hours_between(rows["ended"], rows["started"])
    # an outing over a day is doubted itself and may not accuse those after it
    return _starts_inside(rows, "started", rows["ended"].where(lasted_h <= 24.0))


def bookings_overlap(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Begins more than five minutes before an earlier hire of the hull ends."""
    return _starts_inside(rows, "starts", rows["ends"])


def _starts_inside(rows: pd.DataFrame, start: str, ends: pd.Series) -> Flags:
    hull = rows["hull_no"]
    latest_end = ends.groupby(hull).cummax().groupby(hull).ffill()
    before = latest_end.groupby(hull).shift()
    return hours_between(before, rows[start]) > OUTING_APART_H


def _soon_after(
    rows: pd.DataFrame, group: str, when: str, apart_h: float, *, strictly: bool = False
) -> Flags:
    """Rows that follow another of the same group within `apart_h` hours."""
    before = rows.groupby(group, sort=False)[when].shift()
    gap_h = hours_between(rows[when], before)
    close = gap_h < apart_h if strictly else gap_h <= apart_h
    # the shift inside the group and the shift of the table meet only where rows are neighbours
    neighbours = rows[group] == rows[group].shift()
    return close & neighbours


def _rounded_look(rows: pd.DataFrame) -> dict[str, pd.Series]:
    """Sizes to a hundredth of a millimetre, below what a caliper shows."""
    return {column: rows[column].round(2) for column in LOOK_COLUMNS if column != "verdict"}


ALL_EVENTS = (
    "berths",
    "water_samples",
    "outings",
    "flushes",
    "fittings",
    "readings",
    "bookings",
    "meters",
    "engine_swaps",
    "stock_moves",
)

DUPLICATE_RULES: tuple[Rule, ...] = (
    Rule(
        "exact-duplicate",
        ALL_EVENTS,
        SET_ASIDE,
        "The same row is in the log twice (a file copied in again?); the first one counts.",
        exact_duplicate,
    ),
    Rule(
        "double-entry",
        ("readings",),
        SET_ASIDE,
        "The same look was entered again within 15 minutes; the first one counts. Void the other.",
        reading_twice,
        ("size_mm", "size_low_mm", "size_high_mm", "verdict"),
    ),
    Rule(
        "double-entry",
        ("outings",),
        SET_ASIDE,
        "The same outing was entered again; the first one counts. Void the other.",
        outing_twice,
        ("started", "engine_hours"),
    ),
    Rule(
        "double-entry",
        ("flushes",),
        SET_ASIDE,
        "The same flush was entered again; the first one counts. Void the other.",
        flush_twice,
    ),
    Rule(
        "double-entry",
        ("fittings",),
        SET_ASIDE,
        "The same fitting was entered again; the first one counts. Void the other.",
        fitting_twice,
        ("size_mm",),
    ),
)

OVERLAP_RULES: tuple[Rule, ...] = (
    Rule(
        "fitted-twice",
        ("fittings",),
        DOUBTFUL,
        "Two new anodes in one place within an hour: check the position, or void one.",
        fitted_again,
        ("size_mm",),
    ),
    Rule(
        "berths-at-once",
        ("berths",),
        DOUBTFUL,
        "Two berths from the same moment: void the wrong one.",
        berths_at_once,
        ("mooring_id", "stays"),
    ),
    Rule(
        "outings-overlap",
        ("outings",),
        DOUBTFUL,
        "The hull can't be out twice at once: check hull and times of both.",
        outings_overlap,
        ("started", "ended"),
    ),
    Rule(
        "bookings-overlap",
        ("bookings",),
        DOUBTFUL,
        "The hull is booked twice at once: move one, its hours would count double.",
        bookings_overlap,
        ("ends",),
    ),
)
