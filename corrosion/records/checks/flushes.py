"""Rules for flushes: at a strange moment, ticked in bulk, or a log that fell silent."""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.records.checks.evidence import NOTE, Evidence, Flags, Rule
from corrosion.records.checks.lookback import (
    berth_at,
    hours_between,
    place_after,
    place_before,
    values_at,
    water_at,
)
from corrosion.records.logs import SALTY

BULK_HULLS = 5
"""Hulls flushed in the same minute from which on a tick says little about each."""
SILENT_H = 14 * 24.0


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
    salty = _water_of(rows, evidence).isin(SALTY)
    # numbers of the moorings, since whole numbers are quicker; -1 where none is known
    number = np.append(pd.factorize(evidence["berths"]["mooring_id"])[0], -1)
    moored = pd.DataFrame(
        {"at": number[berth_at(rows, evidence, "ended")], "ended": rows["ended"].array}
    )
    flushes = evidence["flushes"]
    flushes = pd.DataFrame(
        {
            "at": number[berth_at(flushes, evidence, "flushed_at")],
            "flushed_at": flushes["flushed_at"].array,
        }
    )
    before = _moment(flushes, place_before(moored, flushes, ["at"], "ended", "flushed_at"), rows)
    after = _moment(flushes, place_after(moored, flushes, ["at"], "ended", "flushed_at"), rows)
    # a log that never began counts from the mooring's first outing, one that stopped until now
    began = moored.groupby("at")["ended"].transform("min").where(moored["at"] >= 0)
    began.index = rows.index
    now = pd.Series(evidence.on, index=rows.index, dtype="datetime64[us, UTC]")
    silent_h = hours_between(after.fillna(now), before.fillna(began))
    return salty & (silent_h >= SILENT_H)


def _water_of(rows: pd.DataFrame, evidence: Evidence) -> pd.Series:
    """Water where the outing ran, else that of its mooring."""
    return rows["water"].where(rows["water"].notna(), water_at(rows, evidence, "ended"))


def _moment(
    flushes: pd.DataFrame, places: np.ndarray[tuple[int], np.dtype[np.int64]], rows: pd.DataFrame
) -> pd.Series:
    moments = values_at(flushes["flushed_at"], places)
    moments.index = rows.index
    return moments


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
