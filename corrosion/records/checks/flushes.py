"""Rules for flushes: at a strange moment, ticked in bulk, or a log that fell silent."""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.records.checks.evidence import NOTE, Evidence, Flags, Rule, flags_of
from corrosion.records.checks.lookback import (
    AN_HOUR,
    UNKNOWN,
    Places,
    berth_at,
    microseconds,
    place_before,
    values_at,
    water_of_berths,
)
from corrosion.records.checks.watching import once
from corrosion.records.logs import SALTY

BULK_HULLS = 5
"""Hulls flushed in the same minute from which on a tick says little about each."""
SILENT_H = 14 * 24.0
NEVER = np.iinfo(np.int64).max


def flush_without_outing(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Rinsed, though the hull had not been out since it was rinsed last."""
    done = rows["done"].fillna("yes") == "yes"
    rinsed = rows[done]
    last_outing = place_before(rinsed, evidence["outings"], ["hull_no"], "flushed_at", "ended")
    came_back = values_at(evidence["outings"]["ended"], last_outing)
    came_back.index = rinsed.index
    before = rinsed.groupby("hull_no", sort=False)["flushed_at"].shift()
    idle = came_back.isna() | (came_back < before)
    return idle.reindex(rows.index, fill_value=False) & ~flush_during_outing(rows, evidence)


def flush_during_outing(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Rinsed while the hull was out."""
    outings = evidence["outings"]
    left = place_before(rows, outings, ["hull_no"], "flushed_at", "started", strictly=True)
    back = values_at(outings["ended"], left)
    back.index = rows.index
    return rows["flushed_at"] < back


def ticked_in_bulk(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Five hulls or more flushed in the same minute."""
    minute = rows["flushed_at"].dt.floor("min")
    return rows.groupby(minute)["hull_no"].transform("nunique") >= BULK_HULLS


def flush_log_silent(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """An outing in salt or brackish water while its mooring wrote no flush row for 14 days."""
    silent, last, ended_last = once(evidence, "flush log silences", _flush_log_silences)
    now = microseconds(pd.Series([evidence.on]))[0]
    silent = silent.copy()
    silent[last] = now - ended_last >= SILENT_H * AN_HOUR
    return flags_of(silent, rows)


def _flush_log_silences(evidence: Evidence) -> tuple[np.ndarray, Places, Places]:
    """Tell of each outing in salty water whether the log was silent then.

    Of those after which no row was written, their places and the moment of the row before, since
    for them it depends on the moment.
    """
    rows = evidence["outings"]
    berth = berth_at(rows, evidence, "ended")
    salty = _in_salty_water(rows, evidence, berth)
    # numbers of the moorings, since whole numbers are quicker; -1 where none is known
    number = np.append(pd.factorize(evidence["berths"]["mooring_id"])[0], -1)
    moored, ended = number[berth], microseconds(rows["ended"])
    flushes = evidence["flushes"]
    written_at = number[berth_at(flushes, evidence, "flushed_at")]
    written = microseconds(flushes["flushed_at"])
    silent, last = np.zeros(len(rows), dtype=bool), np.zeros(len(rows), dtype=bool)
    before = np.zeros(len(rows), dtype=np.int64)
    for mooring in np.unique(moored[salty]):
        theirs = (moored == mooring) & (ended != UNKNOWN)
        row = np.sort(written[(written_at == mooring) & (written != UNKNOWN)])
        # a log that never began counts from the mooring's first outing, one that stopped until now
        began = ended[theirs].min(initial=NEVER) if mooring >= 0 else NEVER
        moments = np.concatenate([[began], row, [NEVER]])
        asked = np.flatnonzero(theirs & salty)
        following = np.searchsorted(row, ended[asked], side="right")
        last[asked], before[asked] = following == row.size, moments[following]
        silent[asked] = moments[following + 1] - moments[following] >= SILENT_H * AN_HOUR
    return silent, np.flatnonzero(last), before[last]


def _in_salty_water(rows: pd.DataFrame, evidence: Evidence, berth: Places) -> np.ndarray:
    """Whether the water where the outing ran, else that of its mooring, is salt or brackish."""
    berths = np.arange(len(evidence["berths"]))
    lies_in = water_of_berths(evidence, np.append(berths, -1)).isin(SALTY).to_numpy(bool)
    salty = lies_in[berth]
    known = np.flatnonzero(rows["water"].notna())
    salty[known] = rows["water"].iloc[known].isin(SALTY)
    return salty


FLUSH_RULES: tuple[Rule, ...] = (
    Rule(
        "flush-without-outing",
        ("flushes",),
        NOTE,
        "Flushed without an outing since the last flush: is the outing missing, or the hull wrong?",
        flush_without_outing,
    ),
    Rule(
        "flush-during-outing",
        ("flushes",),
        NOTE,
        "Flushed while the hull was out: check hull and time.",
        flush_during_outing,
    ),
    Rule(
        "ticked-in-bulk",
        ("flushes",),
        NOTE,
        "Five hulls or more in the same minute: ask whether each was flushed, and when.",
        ticked_in_bulk,
    ),
    Rule(
        "flush-log-silent",
        ("outings",),
        NOTE,
        "No flush row of any kind at this mooring for 14 days or more: write flushes down, also "
        "those not done; missing is not counted as no.",
        flush_log_silent,
    ),
)
