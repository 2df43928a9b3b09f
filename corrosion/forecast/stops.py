"""Which hulls must not be hired out until somebody acts, why, since when, and what lifts it.

A stop is lifted by a change, by a look that clears it, or by the owner's written word (a row
``lift-stop`` in the log `plan_changes`, with a reason and a last day). The first two need no rule
of their own: a stop is worked out anew from the logs each time, anode by anode, so that a visit
that leaves one of two stopped anodes in place leaves the hull stopped.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
import pandas as pd

from corrosion.common import formatting
from corrosion.forecast.alloys import against_water
from corrosion.forecast.protection import PROBABLY
from corrosion.records import Checked

READ, LIKELY = "past-limit-read", "past-limit-likely"
ALLOY, UNPROTECTED = "alloy-against-water", "not-protected"
REASONS: Final = (READ, LIKELY, ALLOY, UNPROTECTED)
LIFT, RELEASE = "lift-stop", "release"
BELIEVED: Final = 0.05
"""A look past the limit counts as believed where the fit gives the anode at least this chance of
being there: a radius typed for a diameter does not stop a hull, a doubtful look does."""
WORDS: Final = {
    READ: "was read at or past its limit",
    LIKELY: "is probably past its limit",
    ALLOY: "is of an alloy that does not suit its water",
    UNPROTECTED: "probably does not protect",
}
LIFTED_BY: Final = {
    READ: "change it",
    LIKELY: "measure it, or change it",
    ALLOY: "change it for an alloy that suits the water",
    UNPROTECTED: "look at it: paint, fastening, seat, crust, contact",
}


def stops_of_anodes(
    anodes: pd.DataFrame, chance_now: np.ndarray, checked: Checked, alloys: pd.DataFrame,
    water: pd.Series,
) -> pd.Series:  # fmt: skip
    """Say of each anode why it stops its hull, several reasons joined by commas, empty for none.

    Parameters
    ----------
    anodes : DataFrame, k rows: hull_id, position, last_worn, last_verdict, not_protecting
    chance_now : ndarray, shape (k,), chance that the limit is reached; NaN where never seen
    checked : Checked
    alloys : DataFrame, as `corrosion.records.alloys_in_place`
    water : Series, k rows, the water that each hull lies in
    """
    chance = np.nan_to_num(chance_now, nan=0.0)
    past = (anodes["last_worn"].to_numpy(float) >= 1.0) | (
        anodes["last_verdict"].to_numpy(object) == "worn"
    )
    own = anodes[["hull_id", "position"]].merge(alloys, on=["hull_id", "position"], how="left")
    flags = {
        READ: past & (chance >= BELIEVED),
        LIKELY: chance >= checked.logbook.settings.stop_chance,
        ALLOY: against_water(own["alloy"], own["listed"], water),
        UNPROTECTED: np.nan_to_num(anodes["not_protecting"].to_numpy(float)) >= PROBABLY,
    }
    code = np.zeros(len(anodes), dtype=np.intp)
    for n, reason in enumerate(REASONS):
        code += np.asarray(flags[reason], dtype=bool) * (1 << n)
    joined = [
        ",".join(reason for n, reason in enumerate(REASONS) if each >> n & 1)
        for each in range(1 << len(REASONS))
    ]
    return pd.Series(np.array(joined, dtype=object)[code], index=anodes.index, dtype=object)


def stops_of_hulls(
    anodes: pd.DataFrame, hulls: pd.DataFrame, chance_now: np.ndarray, checked: Checked
) -> pd.DataFrame:
    """Put the stops of a hull's anodes together, and take off those that the owner lifted.

    Parameters
    ----------
    anodes : DataFrame: hull_id, position, stop, last_read_at
    hulls : DataFrame, i rows: hull_id
    chance_now : ndarray, shape (i,), chance that any anode of the hull is past its limit
    checked : Checked

    Returns
    -------
    DataFrame, row by row as `hulls`
        `stop` (reasons joined by commas; empty: may sail, as far as this goes), `stop_why`
        (anodes and reasons in words), `stop_since` (UTC: the oldest look that says so, else the
        moment of the report), `stop_lifted` (the owner's reason and last day, empty for none).
    """
    lifts = lifted_stops(checked)
    told = ["hull_id", "position", "stop", "last_read_at"]
    own = anodes.loc[anodes["stop"] != "", told]
    of_hull = {str(hull): rows for hull, rows in own.groupby("hull_id")}
    likely = chance_now >= checked.logbook.settings.stop_chance
    rows = [
        _hull_stop(of_hull.get(str(hull)), bool(any_past), lifts.get(str(hull)), checked)
        for hull, any_past in zip(hulls["hull_id"], likely, strict=True)
    ]
    table = pd.DataFrame(
        rows, columns=["stop", "stop_why", "stop_since", "stop_lifted"], index=hulls.index
    )
    return table.assign(stop_since=pd.to_datetime(table["stop_since"], utc=True))


def _hull_stop(
    anodes: pd.DataFrame | None, any_past: bool, lift: dict[Any, Any] | None, checked: Checked
) -> tuple[str, str, Any, str]:
    settings, on = checked.logbook.settings, checked.logbook.on
    reasons: set[str] = set()
    words: list[str] = []
    since: Any = pd.NaT
    for row in [] if anodes is None else anodes.to_dict("records"):
        own = str(row["stop"]).split(",")
        reasons |= set(own)
        words.append(f"{row['position']} {formatting.listed([WORDS[each] for each in own])}")
        if READ in own:
            since = row["last_read_at"] if pd.isna(since) else min(since, row["last_read_at"])
    if any_past and not reasons & {READ, LIKELY}:
        reasons.add(LIKELY)
        words.append("one of its anodes is probably past its limit")
    if not reasons:
        return "", "", pd.NaT, ""
    since, why = (on if pd.isna(since) else since), "; ".join(words)
    if lift is not None and not _newer_look(anodes, lift):
        last = formatting.day(lift["day"], settings.timezone)
        return "", why, since, f"let sail by the owner until {last}: {lift['reason']}"
    return ",".join(each for each in REASONS if each in reasons), why, since, ""


def _newer_look(anodes: pd.DataFrame | None, lift: dict[Any, Any]) -> bool:
    """Say whether an anode was read past its limit after the owner's word, who did not know it."""
    if anodes is None:
        return False
    read = anodes["stop"].str.contains(READ)
    return bool((read & (anodes["last_read_at"] > lift["decided_at"])).any())


def lifted_stops(checked: Checked) -> dict[str, dict[Any, Any]]:
    """Return the owner's word on each hull that still holds: the row of the log, by hull."""
    changes, on = checked.logbook.plan_changes, checked.logbook.on
    zone = checked.logbook.settings.timezone
    today = on.tz_convert(zone).date()
    held: dict[str, dict[Any, Any]] = {}
    known = changes[changes["hull_id"].notna() & changes["change"].isin([LIFT, RELEASE])]
    for row in known.sort_values(["decided_at", "entered_at"], kind="stable").to_dict("records"):
        hull = str(row["hull_id"])
        if row["change"] == RELEASE:
            held.pop(hull, None)
        elif pd.notna(row["day"]) and str(row["reason"] or "").strip():
            held[hull] = row
    return {hull: row for hull, row in held.items() if row["day"].tz_convert(zone).date() >= today}


def stops_in_words(hulls: pd.DataFrame) -> tuple[str, ...]:
    """Say who must not sail, hull by hull, and what the owner let sail; empty where nobody."""
    said = ["hull_id", "stop_why", "stop_lifted"]
    stopped = hulls.loc[hulls["stop"] != "", said].to_dict("records")
    let_sail = hulls.loc[hulls["stop_lifted"] != "", said].to_dict("records")
    return (
        *(f"STOP {row['hull_id']}, not for hire: {row['stop_why']}." for row in stopped),
        *(f"{row['hull_id']}: {row['stop_lifted']} ({row['stop_why']})." for row in let_sail),
    )


def what_lifts(stop: str) -> str:
    """Say what lifts a stop: one sentence over its reasons."""
    steps = dict.fromkeys(LIFTED_BY[reason] for reason in stop.split(",") if reason)
    return "; ".join(steps)
