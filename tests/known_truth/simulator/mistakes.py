"""Mistakes put into clean logs on purpose, and where each of them was put.

Shares are those seen in the trade (common practice, no source).
"""

from __future__ import annotations

import numpy as np
import pandas as pd

INCH_SHARE = 0.04
UNRECORDED_SHARE = 0.04
LOST_FLUSH_SHARE = 0.2
NEGATIVE_SHARE = 0.005
TWICE_SHARE = {"readings": 0.02, "outings": 0.01, "flushes": 0.01}
TIME = {"readings": "read_at", "outings": "ended", "flushes": "flushed_at"}
NOTHING_PLANTED = pd.DataFrame(columns=["log", "row", "mistake"])

Tables = dict[str, pd.DataFrame]


def spoil(tables: Tables, rng: np.random.Generator) -> tuple[Tables, pd.DataFrame]:
    """Spoil the logs; the logs as they are written, and the mistakes planted.

    Planted mistakes have `log`, `row` (place in the log as written) and `mistake`: `inches`,
    `negative`, `twice` (both rows of a pair) or `unrecorded` (the first look at a new anode whose
    fitting nobody wrote down). Lost rinses leave no row to point at.
    """
    spoilt = {
        log: table.assign(mistake="") if log in TIME else table for log, table in tables.items()
    }
    spoilt = _forget_changes(spoilt, rng)
    spoilt["flushes"] = _lose_flushes(spoilt["flushes"], rng)
    spoilt["readings"] = _type_inches(spoilt["readings"], rng)
    spoilt["outings"] = _turn_negative(spoilt["outings"], rng)
    for log, share in TWICE_SHARE.items():
        spoilt[log] = _enter_twice(spoilt[log], share, TIME[log], rng)
    planted = pd.concat([_planted(log, spoilt[log]) for log in TIME], ignore_index=True)
    written = {log: table.drop(columns="mistake", errors="ignore") for log, table in spoilt.items()}
    return written, planted


def _planted(log: str, table: pd.DataFrame) -> pd.DataFrame:
    wrong = np.flatnonzero(table["mistake"] != "")
    return pd.DataFrame({"log": log, "row": wrong, "mistake": table["mistake"].to_numpy()[wrong]})


def _forget_changes(tables: Tables, rng: np.random.Generator) -> Tables:
    """Changes that nobody wrote down: neither the new anode, nor that the old one came out."""
    fittings, readings = tables["fittings"], tables["readings"]
    later = fittings.duplicated(["hull_id", "position"])
    lost = later & (rng.random(len(fittings)) < UNRECORDED_SHARE)
    gone = fittings[lost]
    came_out = pd.MultiIndex.from_arrays(
        [gone["hull_id"], gone["position"], gone["fitted_at"].dt.floor("D")]
    )
    looked = pd.MultiIndex.from_arrays(
        [readings["hull_id"], readings["position"], readings["read_at"].dt.floor("D")]
    )
    removed = readings["removed"] & ~looked.isin(came_out)
    seen = _first_looks_after(readings, gone)
    return tables | {
        "fittings": fittings[~lost].reset_index(drop=True),
        "readings": readings.assign(
            removed=removed, mistake=readings["mistake"].mask(seen, "unrecorded")
        ),
    }


def _first_looks_after(readings: pd.DataFrame, gone: pd.DataFrame) -> pd.Series:
    """Which readings are the first of a new anode that nobody wrote down."""
    anode_key = ["hull_id", "position"]
    looks = readings[[*anode_key, "read_at"]].reset_index(names="row")
    pairs = gone.merge(looks, on=anode_key).query("read_at > fitted_at")
    first = pairs.drop_duplicates([*anode_key, "fitted_at"])["row"]
    return pd.Series(readings.index.isin(first), index=readings.index)


def _lose_flushes(flushes: pd.DataFrame, rng: np.random.Generator) -> pd.DataFrame:
    lost = (flushes["done"] == "yes") & (rng.random(len(flushes)) < LOST_FLUSH_SHARE)
    return flushes[~lost].reset_index(drop=True)


def _type_inches(readings: pd.DataFrame, rng: np.random.Generator) -> pd.DataFrame:
    sound = readings["size_mm"].notna() & (readings["mistake"] == "")
    wrong = sound & (rng.random(len(readings)) < INCH_SHARE)
    inches = (readings["size_mm"] / 25.4).round(3)
    return readings.assign(
        size_mm=readings["size_mm"].mask(wrong, inches),
        mistake=readings["mistake"].mask(wrong, "inches"),
    )


def _turn_negative(outings: pd.DataFrame, rng: np.random.Generator) -> pd.DataFrame:
    wrong = pd.Series(rng.random(len(outings)) < NEGATIVE_SHARE, index=outings.index)
    return outings.assign(
        engine_hours=outings["engine_hours"].mask(wrong, -outings["engine_hours"]),
        mistake=outings["mistake"].mask(wrong, "negative"),
    )


def _enter_twice(
    table: pd.DataFrame, share: float, time: str, rng: np.random.Generator
) -> pd.DataFrame:
    """Some sound rows stand in the log twice, alike to the last digit."""
    again = (table["mistake"] == "") & (rng.random(len(table)) < share)
    table = table.assign(mistake=table["mistake"].mask(again, "twice"))
    return pd.concat([table, table[again]]).sort_values(time, kind="stable", ignore_index=True)
