"""What anode work has cost: by mooring, by hull-season and by hire hour, from what was done.

Notes
-----
* Labour is worked out, not clocked. No log says how long a job took: haul, access once for a
  group, swap by the register's minutes. Lost hire: hires booked over a visit on which the hull
  did not go out; a no-show that day counts too. What has no price is said and is in no sum; a sum
  of nothing known is not known, never nought.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import HOURS_A_DAY, WHOLE_YEAR_DAYS, Floats, hours_since_epoch
from corrosion.forecast import Appraisal

LOOK_MINUTES = 5.0
"""To measure one anode once one is there (common practice, no source)."""
PRICES = ("access_minutes", "swap_minutes", "part_cost", "seal_cost")
EVERYWHERE = "all moorings"


@dataclass(frozen=True)
class Costs:
    """What anode work has cost over a stretch of time, in the fleet's currency.

    Attributes
    ----------
    first, last : Timestamp, the stretch, in the fleet's zone; at most a year
    table : DataFrame
        One row a mooring, `EVERYWHERE` last: mooring_id, hulls, hull_seasons (hulls in service,
        one that was there half of the time counting half), hire_hours (out, from cast-off to
        back), engine_hours, visits (a hull's day on which an anode was changed), changes, looks
        (a hull's day on which anodes were only looked at), parts (anodes and seals, those of
        looks too), labour (of visits), looking (labour of looks), lost_hire, total,
        per_hull_season, per_hire_hour, per_engine_hour. Unknown where a price behind it is not
        known; `total` is what is known of it.
    visits : DataFrame
        One row a visit: day, mooring_id, hull_id, changes, hours, parts, labour, lost_hire.
    not_known : tuple of str
        What is not in the sums, and why.
    """

    first: pd.Timestamp
    last: pd.Timestamp
    table: pd.DataFrame
    visits: pd.DataFrame
    not_known: tuple[str, ...]


def add_up_costs(appraisal: Appraisal, days: float = WHOLE_YEAR_DAYS) -> Costs:
    """Add up parts, labour and lost hire of the last year, or of the logs when they are shorter.

    Labour is worked out from the register's minutes and `haul_hours`, since no log says how long
    a job took; lost hire, from hires booked over a visit on which the hull did not go out.

    Parameters
    ----------
    appraisal : Appraisal
    days : float, how far back, d

    Returns
    -------
    Costs
    """
    on_h = _hours_of(appraisal.logbook.on)
    first_h = max(on_h - days * HOURS_A_DAY, _logs_begin(appraisal, on_h))
    visits = _visits(appraisal, first_h, on_h)
    table = _by_mooring(appraisal, visits, first_h, on_h)
    zone = appraisal.logbook.settings.timezone
    first = pd.Timestamp(round(first_h * 3600.0), unit="s", tz="UTC").tz_convert(zone)
    shown = ["day", "mooring_id", "hull_id", "changes", "hours", "parts", "labour", "lost_hire"]
    changed = visits[visits["changes"] > 0].sort_values(["day", "hull_id"])
    return Costs(
        first, appraisal.logbook.on.tz_convert(zone), table,
        changed[shown].reset_index(drop=True), _not_known(appraisal, visits),
    )  # fmt: skip


def _hours_of(moment: pd.Timestamp) -> float:
    return float(hours_since_epoch(pd.DatetimeIndex([moment]))[0])


def _logs_begin(appraisal: Appraisal, on_h: float) -> float:
    outings, lives = appraisal.exposure.outings, appraisal.lives.lives
    starts = [table["start_h"].min() for table in (outings, lives) if len(table)]
    return min([float(start) for start in starts if pd.notna(start)] + [on_h])


def _events(appraisal: Appraisal, first_h: float, on_h: float) -> pd.DataFrame:
    """Anodes changed and anodes only looked at: hull_id, position, at_h, changed."""
    lives, looks = appraisal.lives.lives, appraisal.lives.looks
    ended = lives[lives["ended"].isin(["replaced", "removed"])]
    changed = ended[["hull_id", "position", "layout"]].assign(at_h=ended["stop_h"], changed=True)
    seen = lives.loc[looks["life"], ["hull_id", "position", "layout"]].reset_index(drop=True)
    seen = seen.assign(at_h=looks["at_h"].to_numpy(float), changed=False)
    table = pd.concat([part for part in (changed, seen) if len(part)] or [changed])
    table = table[table["at_h"].between(first_h, on_h)]
    register = appraisal.checked.anode_positions.drop_duplicates(["layout", "position"])
    keep = ["layout", "position", "access_group", *PRICES]
    return table.merge(register[keep], on=["layout", "position"], how="left")


def _visits(appraisal: Appraisal, first_h: float, on_h: float) -> pd.DataFrame:
    """A hull's day of anode work, one row each, looks included."""
    settings = appraisal.logbook.settings
    events = _events(appraisal, first_h, on_h)
    seconds = (events["at_h"].to_numpy(float) * 3600.0).round().astype("int64")
    moment = pd.DatetimeIndex(pd.to_datetime(seconds, unit="s", utc=True))
    events = events.assign(day=moment.tz_convert(settings.timezone).date)
    # one row an anode and day: a look at an anode that was changed is part of the change
    events = events.sort_values("changed", ascending=False, kind="stable")
    events = _worked(events.drop_duplicates([*VISIT, "position"]))
    table = events.groupby(VISIT, as_index=False).agg(
        at_h=("at_h", "min"),
        changes=("changed", "sum"),
        priced=("priced", "sum"),
        hours=("hours", "sum"),
        parts=("spent", "sum"),
        timeless=("timeless", "any"),
    )
    haul_h = np.where(table["changes"] > 0, settings.haul_hours, 0.0)
    wage = np.nan if settings.wage_per_hour is None else settings.wage_per_hour
    hours = (table["hours"] + haul_h).where(~table["timeless"].astype(bool))
    unpriced = (table["changes"] > 0) & (table["priced"] == 0)
    table = table.assign(hours=hours, labour=hours * wage, parts=table["parts"].where(~unpriced))
    table["mooring_id"] = _moorings_at(appraisal, table["hull_id"], table["at_h"].to_numpy(float))
    return table.assign(lost_hire=_lost_hire(appraisal, table))


VISIT = ["hull_id", "day"]


def _worked(events: pd.DataFrame) -> pd.DataFrame:
    """Give each anode of a day its hours and what it took in parts; access once for a group."""
    group = events["access_group"].where(events["access_group"].notna(), events["position"])
    first = ~events.assign(group=group).duplicated([*VISIT, "group"])
    access = events["access_minutes"].astype(float).where(first, 0.0)
    minutes = access + events["swap_minutes"].astype(float).where(events["changed"], LOOK_MINUTES)
    part = events["part_cost"].astype(float).where(events["changed"], 0.0)
    return events.assign(
        hours=minutes.fillna(0.0) / 60.0,
        timeless=minutes.isna(),
        spent=part.fillna(0.0) + events["seal_cost"].astype(float).fillna(0.0),
        priced=events["changed"] & part.notna(),
    )


def _moorings_at(appraisal: Appraisal, hulls: pd.Series, at_h: Floats) -> np.ndarray:
    """Where each hull lay at each hour; unknown: not known."""
    exposure = appraisal.exposure
    berths = exposure.berths.sort_values("start_h", kind="stable")
    code = exposure.hull_ids.get_indexer(pd.Index(hulls))
    hulls_then = pd.DataFrame({"hull": code, "at_h": at_h, "row": np.arange(len(hulls))})
    hulls_then = hulls_then.astype({"hull": berths["hull"].dtype}).sort_values(
        "at_h", kind="stable"
    )
    berths = berths.assign(start_h=berths["start_h"].astype(float))
    berthed = pd.merge_asof(hulls_then, berths, left_on="at_h", right_on="start_h", by="hull")
    mooring = berthed.sort_values("row")["mooring"].fillna(-1).astype(int).to_numpy()
    names = np.array([*exposure.mooring_ids, None], dtype=object)
    return np.asarray(names[mooring])


def _lost_hire(appraisal: Appraisal, visits: pd.DataFrame) -> Floats:
    """Value of hires that a change stood in the way of, by visit; NaN where no hire has a value."""
    book = appraisal.checked.bookings
    if not book["hire_value"].notna().any():
        return np.full(len(visits), np.nan)
    usual = float(book["hire_value"].median())
    book = book.assign(
        start_h=hours_since_epoch(book["starts"]),
        end_h=hours_since_epoch(book["ends"]),
        value=book["hire_value"].fillna(usual),
    )
    changed = visits[visits["changes"] > 0]
    work = changed.assign(row=changed.index, until_h=changed["at_h"] + changed["hours"].fillna(0.0))
    met = work[["hull_id", "row", "at_h", "until_h"]].merge(
        book[["hull_id", "start_h", "end_h", "value"]], on="hull_id"
    )
    met = met[(met["start_h"] < met["until_h"]) & (met["end_h"] > met["at_h"])]
    met = met[~_sailed(appraisal, met)]
    lost = met.groupby("row")["value"].sum()
    return lost.reindex(visits.index).fillna(0.0).to_numpy(float)


def _sailed(appraisal: Appraisal, hires: pd.DataFrame) -> pd.Series:
    """Mark the hires during which the hull went out after all."""
    exposure = appraisal.exposure
    code = exposure.hull_ids.get_indexer(pd.Index(hires["hull_id"]))
    spans = hires[["start_h", "end_h"]].assign(hull=code, hire=hires.index)
    outings = exposure.outings[["hull", "start_h", "stop_h"]]
    both = spans.merge(outings.rename(columns={"start_h": "out_h"}), on="hull")
    out = both[(both["out_h"] < both["end_h"]) & (both["stop_h"] > both["start_h"])]
    return pd.Series(hires.index.isin(out["hire"]), index=hires.index)


def _by_mooring(
    appraisal: Appraisal, visits: pd.DataFrame, first_h: float, on_h: float
) -> pd.DataFrame:
    """Sum up by mooring, and everywhere."""
    use = _use(appraisal, first_h, on_h)
    places = [visits["mooring_id"] == name for name in use["mooring_id"][:-1]]
    places.append(pd.Series(True, index=visits.index))
    done = pd.DataFrame([_summed(visits[here]) for here in places], columns=SUMS)
    table = pd.concat([use, done], axis=1)
    known = table[["parts", "labour", "looking", "lost_hire"]]
    total = known.sum(axis=1, min_count=1)
    # where all that was done has no price, the noughts of what was not done are no total
    total = total.where((total > 0) | known.notna().all(axis=1))
    return table.assign(
        total=total,
        per_hull_season=_per(total, table["hull_seasons"]),
        per_hire_hour=_per(total, table["hire_hours"]),
        per_engine_hour=_per(total, table["engine_hours"]),
    )


SUMS = ["visits", "changes", "looks", "parts", "labour", "looking", "lost_hire"]


def _summed(visits: pd.DataFrame) -> tuple[float, ...]:
    changed, looked = visits[visits["changes"] > 0], visits[visits["changes"] == 0]
    return (
        len(changed),
        int(changed["changes"].sum()),
        len(looked),
        _known_sum(visits["parts"]),
        _known_sum(changed["labour"]),
        _known_sum(looked["labour"]),
        _known_sum(changed["lost_hire"]),
    )


def _known_sum(values: pd.Series) -> float:
    """Sum what is known; nothing known of something that was done: not known."""
    return float(values.sum()) if values.notna().any() or values.empty else float("nan")


def _per(total: pd.Series, of: pd.Series) -> pd.Series:
    return total / of.where(of > 0)


def _use(appraisal: Appraisal, first_h: float, on_h: float) -> pd.DataFrame:
    """Hulls, hull-seasons, hire hours and engine hours of each mooring, and everywhere."""
    exposure = appraisal.exposure
    berths = exposure.berths
    left, came = berths["stop_h"].clip(upper=on_h), berths["start_h"].clip(lower=first_h)
    berths = berths.assign(here_h=left - came)
    berths = berths[berths["here_h"] > 0]
    out = exposure.outings
    out = out[out["stop_h"].between(first_h, on_h)]
    out = out.assign(hire_h=out["stop_h"] - out["start_h"])
    codes = np.arange(len(exposure.mooring_ids))
    stayed, went = berths.groupby("mooring"), out.groupby("mooring")
    span = max(on_h - first_h, 1.0)
    table = pd.DataFrame(
        {
            "mooring_id": exposure.mooring_ids.to_numpy(object),
            "hulls": stayed["hull"].nunique().reindex(codes).fillna(0).astype(int),
            "hull_seasons": stayed["here_h"].sum().reindex(codes).fillna(0.0) / span,
            "hire_hours": went["hire_h"].sum().reindex(codes).fillna(0.0),
            "engine_hours": went["engine_h"].sum().reindex(codes).fillna(0.0),
        }
    )
    every = table.drop(columns=["mooring_id", "hulls"]).sum()
    last = {"mooring_id": EVERYWHERE, "hulls": berths["hull"].nunique(), **every}
    return pd.concat([table, pd.DataFrame([last])], ignore_index=True)


def _not_known(appraisal: Appraisal, visits: pd.DataFrame) -> tuple[str, ...]:
    """Say what is not in the sums."""
    sentences = []
    settings, changes = appraisal.logbook.settings, int(visits["changes"].sum())
    unpriced = changes - int(visits["priced"].sum())
    if unpriced:
        sentences.append(
            f"The part's price is not known for {unpriced} of {changes} changes: "
            "enter part_cost in anode_positions."
        )
    if settings.wage_per_hour is None:
        sentences.append("Labour is not known: enter wage_per_hour in fleet.toml.")
    timeless = int(visits["hours"].isna().sum())
    if timeless:
        sentences.append(
            f"The time it took is not known for {timeless} of {len(visits)} days of work: enter "
            "access_minutes and swap_minutes in anode_positions."
        )
    if visits["lost_hire"].isna().any():
        sentences.append("Lost hire is not known: no booking has a hire_value.")
    nowhere = int((visits["mooring_id"].isna() & (visits["changes"] > 0)).sum())
    if nowhere:
        sentences.append(
            f"{nowhere} visits of hulls without a berth on record are in the last row alone."
        )
    return tuple(sentences)
