"""The odd ones: anodes, hulls and berths that ask for a look, with the evidence and what to do.

Nothing here is a diagnosis. What wears too fast or not at all is told by
`corrosion.life_model.peer_comparison`, which holds a stated rate of false calls; the rest is read
off the logs.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
import pandas as pd
from scipy.special import expit

from corrosion.chemistry import advise
from corrosion.common import YEAR_H, formatting
from corrosion.forecast.appraisal import Appraisal
from corrosion.forecast.berth_rises import felt_rises, surest_rise
from corrosion.forecast.protection import PROBABLY, RARE_LOG_ODDS
from corrosion.forecast.stops import ALLOY
from corrosion.records import alloys_in_place

COLUMNS: Final = (
    *("kind", "hull_id", "mooring_id", "position", "since", "evidence", "what_to_do", "stop"),
)
ELECTRICIAN: Final = "Have the berth tested by a qualified marine electrician"
CHECKLIST: Final = (
    "painted over?", "loose?", "insulated by sealant?", "crusted (passive)?", "dry at the berth?",
    "wrong alloy?", "changed, and nobody wrote it down?",
)  # fmt: skip
"""What to look for where an anode does not wear in salt water (common practice, no source)."""
UNCONNECTED_MM_PER_YEAR: Final = 0.08
"""Wear in salt water below which an anode is not connected (common practice, no source)."""
LEAST_YEARS: Final = 0.35
MOVED_DAYS: Final = 120
BERTH_RISEN_SD, BERTH_RISEN_HULLS = 3.0, 3
"""A berth is called out where the wear of so many of its hulls rose beyond their own past, and
their mean stands so many standard deviations off, since one of several days ago."""
DO: Final = {
    "not-wearing": "An alarm, not a saving. Look for: " + " ".join(CHECKLIST),
    "wearing-fast": f"{ELECTRICIAN}; check bonding and what else is wired to this hull.",
    "hot-berth": f"{ELECTRICIAN}. Nobody enters the water near energised docks.",
    "grew": "Metal does not grow: clean it, measure again; if it was changed, enter the fitting.",
    "unread": "Measure it: its chance rests on its sisters alone.",
    "moved": "Its forecast was re-opened by the move: measure every anode once in the new water.",
    "impossible": "No current takes metal that fast: measure again; if it is true, stop and have "
    "the berth tested by a qualified marine electrician.",
}


def odd_ones(appraisal: Appraisal) -> pd.DataFrame:
    """List the odd anodes, hulls and berths, those that stop a hull first.

    Parameters
    ----------
    appraisal : Appraisal

    Returns
    -------
    DataFrame
        One row an oddity: `kind` (``alloy-against-water``, ``hot-berth``, ``not-wearing``,
        ``wearing-fast``, ``impossible``, ``moved``, ``grew``, ``unread``), `hull_id` and
        `position` (empty where it is about more), `mooring_id`, `since` (UTC, where known),
        `evidence`, `what_to_do`, `stop` (bool: not to be hired out like that).
    """
    parts = [
        _alloys(appraisal),
        _berths(appraisal),
        _flagged(appraisal, "not-wearing"),
        _idle(appraisal),
        _unconnected(appraisal),
        _flagged(appraisal, "wearing-fast"),
        _impossible(appraisal),
        _moved(appraisal),
        _flagged(appraisal, "grew"),
        _flagged(appraisal, "unread"),
    ]
    table = pd.DataFrame([row for part in parts for row in part], columns=COLUMNS)
    table["since"] = pd.to_datetime(table["since"], utc=True)
    table = table.drop_duplicates(["kind", "hull_id", "mooring_id", "position"])
    return table.sort_values("stop", ascending=False, kind="stable", ignore_index=True)


def _row(kind: str, anode: Any, evidence: str, **other: Any) -> dict[str, Any]:
    since = other.get("since", getattr(anode, "odd_since", pd.NaT))
    return {
        "kind": kind,
        "hull_id": anode.hull_id,
        "mooring_id": anode.mooring_id,
        "position": other.get("position", getattr(anode, "position", "")),
        "since": since,
        "evidence": evidence,
        "what_to_do": other.get("what_to_do", DO.get(kind, "")),
        "stop": other.get("stop", False),
    }


def _flagged(appraisal: Appraisal, flag: str) -> list[dict[str, Any]]:
    anodes = appraisal.forecast.anodes
    # an anode at its limit is flagged for that first; its pace stays as odd as it is
    kind = "pace_flag" if flag in ("not-wearing", "wearing-fast") else "flag"
    salty = ~_lies_in(appraisal).eq("fresh").to_numpy() | (flag != "not-wearing")
    rows = anodes[(anodes[kind] == flag) & salty].itertuples()
    return [_row(flag, anode, _evidence(anode, flag, appraisal)) for anode in rows]


def _idle(appraisal: Appraisal) -> list[dict[str, Any]]:
    """Name anodes that probably give no current, by their looks alone."""
    anodes = appraisal.forecast.anodes
    odds = anodes["idle_log_odds"].to_numpy(float) + RARE_LOG_ODDS
    salty = ~_lies_in(appraisal).eq("fresh").to_numpy()
    idle = salty & (np.nan_to_num(expit(odds)) >= PROBABLY)
    return [
        _row("not-wearing", anode, str(anode.protection_evidence))
        for anode in anodes[idle].itertuples()
    ]


def _lies_in(appraisal: Appraisal) -> pd.Series:
    """Return the water of each anode in service."""
    return pd.Series(appraisal.exposure.waters).reindex(appraisal.forecast.anodes["mooring_id"])


def _evidence(anode: Any, flag: str, appraisal: Appraisal) -> str:
    settings = appraisal.logbook.settings
    if flag in ("grew", "unread"):
        return str(anode.why)
    since = formatting.day(anode.odd_since, settings.timezone)
    ratio = formatting.number(max(float(anode.beside_sisters), 0.0))
    own = formatting.number(float(anode.hull_beside_sisters))
    if flag == "not-wearing":
        return (
            f"wears {ratio} times what its sisters would since {since}; the hull's other anodes "
            f"wear {own} times"
        )
    who = "the whole hull does" if anode.by_hull else f"the hull's others {own} times"
    return f"wears {ratio} times what its sisters do since {since}; {who}"


def _alloys(appraisal: Appraisal) -> list[dict[str, Any]]:
    """Set each anode's alloy against the water its hull lies in."""
    checked = appraisal.checked
    alloys = alloys_in_place(checked.hulls, checked.anode_positions, checked.fittings)
    anodes = appraisal.forecast.anodes.merge(alloys, on=["hull_id", "position"], how="left")
    water = pd.Series(appraisal.exposure.waters).reindex(anodes["mooring_id"]).to_numpy(object)
    rows = []
    for anode, lies_in in zip(anodes.itertuples(), water, strict=True):
        if not isinstance(anode.alloy, str) or not isinstance(lies_in, str):
            continue
        advice = advise(anode.alloy, lies_in)
        if advice.verdict in ("suits", "sources disagree", "watch"):
            continue
        stop = ALLOY in str(anode.stop)
        do = (
            f"{'Stop. ' if stop else ''}{advice.caution} "
            "See the manual for the alloy in this water."
        )
        left = _left(anode)
        evidence = f"{anode.alloy} in {lies_in} water: {advice.why}; to its limit: {left}"
        rows.append(_row("alloy-against-water", anode, evidence, what_to_do=do, stop=stop))
    return rows


def _left(anode: Any) -> str:
    return formatting.days_left(anode.days_left_10, anode.days_left_50, anode.days_left_90)


def _unconnected(appraisal: Appraisal) -> list[dict[str, Any]]:
    """Name anodes in salt water that lost less than 0.08 mm a year, however usual their hull."""
    anodes, on = appraisal.forecast.anodes, appraisal.forecast.on
    salt = pd.Series(appraisal.exposure.waters).reindex(anodes["mooring_id"]).eq("salt").to_numpy()
    fitted = anodes["fitted_at"]
    years = (anodes["last_read_at"] - fitted).dt.total_seconds() / (YEAR_H * 3600)
    lost_mm = anodes["new_size_mm"] - anodes["last_size_mm"]
    error_mm = float(appraisal.fit.evaluation.rates.reading_mm)
    allowed = UNCONNECTED_MM_PER_YEAR * years - error_mm
    # the fleet's usual anode must have lost several reading errors over that time
    due_mm = (anodes["worn"] / anodes["beside_sisters"].abs().clip(lower=0.05)).clip(upper=1.0)
    due_mm = due_mm * (anodes["new_size_mm"] - anodes["limit_size_mm"])
    wrong = salt & (lost_mm < allowed) & (years > LEAST_YEARS) & (due_mm > 4 * error_mm)
    unit = appraisal.logbook.settings.length_unit
    return [
        _row(
            "not-wearing", anode,
            f"lost {formatting.size(max(lost, 0.0), unit)} in {formatting.number(12 * year)} "
            "months in salt "
            f"water, as of {formatting.day(on, appraisal.logbook.settings.timezone)}",
        )
        for anode, lost, year in zip(
            anodes[wrong].itertuples(), lost_mm[wrong], years[wrong], strict=True
        )
    ]  # fmt: skip


def _impossible(appraisal: Appraisal) -> list[dict[str, Any]]:
    """Name anodes whose last reading no current could explain (Faraday's law)."""
    objections = appraisal.checked.objections
    rows = objections.loc[
        (objections["log"] == "readings") & (objections["rule"] == "too-fast"), "log_row"
    ]
    readings = appraisal.checked.readings
    wrong = readings[readings["log_row"].isin(rows)]
    anodes = appraisal.forecast.anodes.merge(
        wrong[["hull_id", "position", "read_at"]], on=["hull_id", "position"]
    )
    anodes = anodes[anodes["read_at"] >= anodes["last_read_at"]]
    reason = (
        "lost more since the look before than 100 A/m2 would take (about 13 mm a month of zinc)"
    )
    return [_row("impossible", each, reason, since=each.read_at) for each in anodes.itertuples()]


def _moved(appraisal: Appraisal) -> list[dict[str, Any]]:
    """Name hulls that came to another water and have not been measured there."""
    on, anodes = appraisal.forecast.on, appraisal.forecast.anodes
    berths = appraisal.checked.berths.sort_values(["hull_id", "since"], kind="stable")
    berths = berths[berths["since"] <= on]
    water = pd.Series(appraisal.exposure.waters).reindex(berths["mooring_id"]).to_numpy(object)
    berths = berths.assign(water=water)
    berths["before"] = berths.groupby("hull_id")["water"].shift()
    last = berths.drop_duplicates("hull_id", keep="last")
    late = last["since"] > on - pd.Timedelta(days=MOVED_DAYS)
    moved = last[late & last["before"].notna() & (last["before"] != last["water"])]
    read = anodes.groupby("hull_id")["last_read_at"].max()
    zone = appraisal.logbook.settings.timezone
    gone: list[Any] = list(moved.itertuples())
    measured: dict[Any, Any] = read.to_dict()
    return [
        _row(
            "moved", each, f"from {each.before} to {each.water} water on "
            f"{formatting.day(each.since, zone)}; not measured since",
            position="", since=each.since,
        )
        for each in gone
        if each.hull_id in measured and not measured[each.hull_id] > each.since
    ]  # fmt: skip


def _berths(appraisal: Appraisal) -> list[dict[str, Any]]:
    """Name moorings, or pontoons where the berths say them, whose hulls all wear faster lately."""
    berths = appraisal.checked.berths.sort_values("since", kind="stable")
    last = berths.drop_duplicates("hull_id", keep="last").set_index("hull_id")
    rises = appraisal.forecast.rises
    rises = rises[rises["hull_id"].isin(appraisal.forecast.hulls["hull_id"])]
    rises = felt_rises(rises, last["stays"].eq("lifted"))
    if rises.empty:
        return []
    known_columns = [c for c in ("mooring_id", "pontoon") if c in last]
    where = last[known_columns].reindex(rises["hull_id"]).fillna("").astype(str)
    rows: list[dict[str, Any]] = []
    # a pontoon that explains it is named in the mooring's place
    for key in reversed(known_columns):
        names = (
            where[known_columns[: known_columns.index(key) + 1]].agg(" ".join, axis=1).str.strip()
        )
        moorings = where["mooring_id"].to_numpy(object)
        for name, at in rises.groupby(names.to_numpy(object)).indices.items():
            mooring = str(moorings[at[0]])
            if mooring not in {row["mooring_id"] for row in rows if key == "mooring_id"}:
                rows += _hot(str(name), mooring, rises.iloc[at])
    return rows


def _hot(name: str, mooring: str, rises: pd.DataFrame) -> list[dict[str, Any]]:
    rise = surest_rise(rises, BERTH_RISEN_SD, BERTH_RISEN_HULLS)
    if rise is None:
        return []
    evidence = (
        f"wear{' of the anodes outside' if rise.outside else ''} at {name} rose to "
        f"{formatting.number(rise.ratio)} times what it was, since {rise.days} days ago; "
        f"{rise.risen} of {formatting.count(rise.hulls, 'hull')} there"
    )
    row: dict[str, Any] = dict.fromkeys(COLUMNS, "")
    row |= {"kind": "hot-berth", "mooring_id": mooring, "position": name, "evidence": evidence}
    return [row | {"what_to_do": DO["hot-berth"], "since": pd.NaT, "stop": False}]
