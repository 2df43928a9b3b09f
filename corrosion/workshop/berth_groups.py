"""Hulls that lie alike: who stands sentinel for them, and where wear rose without warning."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from corrosion.common import Floats
from corrosion.forecast import Appraisal, felt_rises, surest_rise

SENTINEL_DAYS = {"salt": 7.0, "brackish": 10.0, "fresh": 42.0}
"""Days between two looks at a berth, at one hull each (a choice; common practice looks at all,
every 14 to 28 days)."""
LEAST_TURNS = 4
"""Where fewer hulls than so many lie, each is looked at no more often than if they were so many."""
RISE_RATIO, RISE_SD, KNOWN_SD = 1.35, 1.8, 0.8
"""A hull's wear since its last look but one is a surprise where it rose so far beyond the hull's
own past, and stands so many standard deviations off: looking again is cheap, so one look in thirty
may call for it without reason. A pace that is known no better than the third tells nothing."""
CLEARLY_FAST = 1.2
"""A hull that wears no more than so many times the usual one only caught up with its sisters."""
DOUBT_SD = 1.5
"""A berth is in doubt where the mean of its hulls' wear rose by so many standard deviations."""
DRIFT = 0.15
"""By how much a hull's pace may stray from its own past for no reason."""
SURPRISE_DAYS = 35.0
"""A surprise is news for so long."""
MANY_RISEN, MOST_FASTER = 2, 3.0
"""Where so many hulls of a berth show it, all its hulls are taken to wear faster, by so much at
most."""


@dataclass(frozen=True)
class Surprise:
    """A hull whose wear rose.

    Attributes
    ----------
    hull_id : str
    group : str, its berth group
    outside : bool, the anodes wetted by the water the hull lies in show it
    read_at : Timestamp, UTC, of the look that showed it
    ratio : float, wear against its own past
    """

    hull_id: str
    group: str
    outside: bool
    read_at: pd.Timestamp
    ratio: float


def berth_groups(appraisal: Appraisal) -> pd.DataFrame:
    """Say how each hull in service lies.

    Parameters
    ----------
    appraisal : Appraisal

    Returns
    -------
    DataFrame
        Index `hull_id`: `group` (mooring, and pontoon where the berths say it), `afloat` (bool;
        not known: afloat), `since` (UTC, from when on), `water` (of the mooring).
    """
    berths = appraisal.checked.berths
    berths = berths[berths["since"] <= appraisal.forecast.on].sort_values("since", kind="stable")
    last = berths.drop_duplicates("hull_id", keep="last").set_index("hull_id")
    place = [name for name in ("mooring_id", "pontoon") if name in last]
    water = pd.Series(appraisal.exposure.waters).reindex(last["mooring_id"]).to_numpy(object)
    return pd.DataFrame(
        {
            "group": last[place].fillna("").astype(str).agg(" ".join, axis=1).str.strip(),
            "afloat": last["stays"].ne("lifted"),
            "since": last["since"],
            "water": water,
        }
    )


def feel_the_berth(anodes: pd.DataFrame, groups: pd.DataFrame) -> npt.NDArray[np.bool_]:
    """Tell which anodes the water at the berth wets: those outside, of hulls afloat, shape (k,).

    Parameters
    ----------
    anodes : DataFrame, k rows: hull_id, circuit
    groups : DataFrame, as `berth_groups`
    """
    afloat = anodes["hull_id"].map(groups["afloat"]).eq(True)
    return (afloat & anodes["circuit"].eq("hull")).to_numpy(bool)


def surprises(appraisal: Appraisal, groups: pd.DataFrame) -> list[Surprise]:
    """Name the hulls whose wear rose at their last look, by their own past.

    Parameters
    ----------
    appraisal : Appraisal
    groups : DataFrame, as `berth_groups`

    Returns
    -------
    list of Surprise
    """
    forecast = appraisal.forecast
    fresh = forecast.on - pd.Timedelta(days=SURPRISE_DAYS)
    read = forecast.anodes.groupby(["hull_id", "circuit"])["last_read_at"].max()
    whole = forecast.anodes.groupby("hull_id")["last_read_at"].max()
    surprised = []
    for name, row in forecast.sisters.iterrows():
        hull_id = str(name)
        if hull_id not in groups.index or hull_id not in whole.index:
            continue
        outside_at = read.get((hull_id, "hull"), pd.NaT)
        for at, outside in ((outside_at, True), (whole.loc[hull_id], False)):
            ratio = _risen(row, "_outside" if outside else "")
            if pd.notna(at) and at > fresh and ratio is not None:
                group = str(groups.at[hull_id, "group"])
                surprised.append(Surprise(hull_id, group, outside, pd.Timestamp(at), ratio))
                break
    return surprised


def doubtful_berths(appraisal: Appraisal, groups: pd.DataFrame) -> frozenset[str]:
    """Name the berth groups whose hulls together seem to wear faster than they did.

    It is no call yet: a round of looks there settles it.

    Parameters
    ----------
    appraisal : Appraisal
    groups : DataFrame, as `berth_groups`

    Returns
    -------
    frozenset of str
    """
    rises = felt_rises(appraisal.forecast.rises, ~groups["afloat"])
    of_group = rises.groupby(rises["hull_id"].map(groups["group"]))
    return frozenset(
        str(group) for group, rows in of_group if surest_rise(rows, DOUBT_SD, 1) is not None
    )


def _risen(row: pd.Series, part: str) -> float | None:
    now, before, sd = (row[f"{name}_latest{part}" if name != "latest" else f"latest{part}"]
                       for name in ("latest", "before", "sd"))  # fmt: skip
    if not np.isfinite([now, before, sd]).all() or before <= 0:
        return None
    if sd >= KNOWN_SD or now < CLEARLY_FAST:
        return None
    ratio, noise = now / before, float(np.hypot(sd / before, DRIFT))
    return float(ratio) if ratio > RISE_RATIO and ratio - 1 > RISE_SD * noise else None


def risen_pace(anodes: pd.DataFrame, groups: pd.DataFrame, surprised: list[Surprise]) -> Floats:
    """Say how many times faster anodes are taken to wear since a look that showed it, shape (k,).

    The forecast follows a pace that rose slowly; the look that showed it is believed here. 1 where
    nothing rose.

    Parameters
    ----------
    anodes : DataFrame, k rows: hull_id, circuit
    groups : DataFrame, as `berth_groups`
    surprised : list of Surprise
    """
    hull, outside = anodes["hull_id"], anodes["circuit"].eq("hull")
    faster = np.ones(len(anodes))
    for each in surprised:
        same = (hull == each.hull_id) & (outside | (not each.outside))
        if sum(other.group == each.group for other in surprised) >= MANY_RISEN:
            same |= hull.map(groups["group"]).eq(each.group) & outside & each.outside
        faster = np.where(same, np.maximum(faster, min(each.ratio, MOST_FASTER)), faster)
    return faster


def risen_since(
    anodes: pd.DataFrame, groups: pd.DataFrame, surprised: list[Surprise], on: pd.Timestamp
) -> Floats:
    """Return for how many days, at the least, each berth is known to wear faster, shape (k,).

    Parameters
    ----------
    anodes : DataFrame, k rows: hull_id, last_read_at
    groups : DataFrame, as `berth_groups`
    surprised : list of Surprise
    on : Timestamp, UTC

    Returns
    -------
    ndarray
        Days since the anode's last look, and no more than since the first surprise at its berth.
    """
    first: dict[str, float] = {}
    for each in surprised:
        ago = (on - each.read_at).total_seconds() / 86400.0
        first[each.group] = max(first.get(each.group, 0.0), ago)
    berth = anodes["hull_id"].map(groups["group"]).map(first).to_numpy(float)
    looked = (on - anodes["last_read_at"]).dt.total_seconds().to_numpy(float) / 86400.0
    return np.asarray(np.nan_to_num(np.fmin(looked, berth), nan=0.0).clip(min=0.0), float)


def sentinels(anodes: pd.DataFrame, groups: pd.DataFrame, tells: Floats) -> pd.DataFrame:
    """Choose, for each berth group, the hull that is looked at next for all of them.

    It is the one that was looked at longest ago, so that the hulls take turns: what a berth takes
    since some day shows on each hull of it, and on one that was read long before no less. A hull
    that lies afloat goes before one on land, which feels no pontoon. Any look at the berth counts.

    Parameters
    ----------
    anodes : DataFrame, k rows: hull_id, position, circuit, last_read_at
    groups : DataFrame, as `berth_groups`
    tells : ndarray, shape (k,), wear expected in a month over the error of a reading

    Returns
    -------
    DataFrame
        One row an anode: `row` (of `anodes`), `group`, `due_at` (UTC). Of the sentinel all that
        feel the water it lies in (of a hull on land the one that tells most).
    """
    table = anodes[["hull_id", "circuit", "last_read_at"]].assign(
        row=np.arange(len(anodes)), tells=tells
    )
    table["feels"] = feel_the_berth(anodes, groups)
    table = table.join(groups, on="hull_id").dropna(subset=["group", "last_read_at"])
    if table.empty:  # nothing was ever looked at
        never = pd.to_datetime(pd.Series([], dtype=object), utc=True)
        return table[["row", "group"]].assign(due_at=never).reset_index(drop=True)
    # where any hull of the berth feels the water, only such tell of it
    table = table[table["feels"] | ~table.groupby("group")["feels"].transform("any")]
    table["read_at"] = table.groupby("hull_id")["last_read_at"].transform("max")
    table = table.sort_values(
        ["group", "read_at", "tells", "hull_id", "row"], ascending=[True, True, False, True, True]
    )
    first = table.drop_duplicates("group").set_index("group")
    of_group = table.groupby("group")
    # in unknown water as often as in salt: what is not known is not taken to be harmless
    days = first["water"].map(SENTINEL_DAYS).fillna(SENTINEL_DAYS["salt"])
    turns = np.maximum(days, LEAST_TURNS * days / of_group["hull_id"].nunique())
    due = of_group["last_read_at"].max() + pd.to_timedelta(turns, unit="D")
    is_first = table["group"].map(first["hull_id"]) == table["hull_id"]
    tells_most = table["group"].map(first["row"]) == table["row"]
    chosen = table[is_first & (table["feels"] | tells_most)]
    return chosen[["row", "group"]].assign(due_at=chosen["group"].map(due)).reset_index(drop=True)
