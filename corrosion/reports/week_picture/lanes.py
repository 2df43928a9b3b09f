"""What lies when on which hull in one week: hires, visits, looks, stops, pull-by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo

import numpy as np
import pandas as pd

from corrosion.common import formatting, moment_at
from corrosion.forecast import Appraisal
from corrosion.workshop import Plan, pulls_of_week

WEEK_H = 168.0
MOST_HULLS = 16


@dataclass(frozen=True)
class Bar:
    """One thing on a hull's line.

    Attributes
    ----------
    kind : {'hire', 'moved-away', 'moved-here', 'cancelled', 'visit', 'look-first', 'stop',
        'pull-by'}
    start_h, end_h : float, local hours since Monday 00:00, within the week
    label : str, a word or two beside it
    says : str, the whole of it
    """

    kind: str
    start_h: float
    end_h: float
    label: str
    says: str


@dataclass(frozen=True)
class Lane:
    """One hull: its bars, by start."""

    hull_id: str
    mooring_id: str
    stopped: bool
    bars: tuple[Bar, ...]


@dataclass(frozen=True)
class WeekLanes:
    """The week.

    Attributes
    ----------
    week : date, its Monday
    lanes : tuple of Lane, by mooring, stopped hulls first
    closed : mapping of mooring_id to flags, shape (7,), days on which no bay works there
    now_h : float, local hours since Monday 00:00, maybe outside the week
    left_away : int, hulls that matter and are not among the lanes
    """

    week: date
    lanes: tuple[Lane, ...]
    closed: dict[str, tuple[bool, ...]]
    now_h: float
    left_away: int


def week_lanes(
    plan: Plan, bays: pd.DataFrame, appraisal: Appraisal, most: int = MOST_HULLS
) -> WeekLanes:
    """Lay the week out: hulls that come out, ought to, must not sail, or whose hires change.

    Parameters
    ----------
    plan : Plan
    bays : DataFrame, as `corrosion.reports.week_papers.bay_days` gives it
    appraisal : Appraisal
    most : int, so many hulls at most, the gravest; a hull that nobody may hire before any other

    Returns
    -------
    WeekLanes
    """
    zone, pulls = appraisal.logbook.settings.timezone, pulls_of_week(plan)
    hulls = appraisal.forecast.hulls
    start = moment_at(datetime.combine(plan.week, time()), zone)
    changes = _this_week(plan.hires, start)
    booked = _this_week(appraisal.checked.bookings, start)
    names = _that_matter(plan, pulls, hulls, changes)
    table = hulls[hulls["hull_id"].isin(names)]
    gravest = table.assign(free=table["stop"] == "", low=-table["risk"]).sort_values(
        ["free", "low", "hull_id"], kind="stable"
    )
    order = gravest.head(most).sort_values("mooring_id", kind="stable")
    lanes = [
        Lane(
            str(row["hull_id"]), str(row["mooring_id"]), bool(row["stop"]),
            _bars(row, pulls, plan.week, appraisal, booked, changes, start),
        )
        for row in order.to_dict("records")
    ]  # fmt: skip
    now_h = _hours(appraisal.forecast.on, start, zone)
    return WeekLanes(
        plan.week, tuple(lanes), _closed(plan.week, bays), now_h, len(gravest) - len(lanes)
    )


def _that_matter(
    plan: Plan, pulls: pd.DataFrame, hulls: pd.DataFrame, changes: pd.DataFrame
) -> set[str]:
    moved = changes["to_hull_id"].astype(str)
    return {
        *pulls["hull_id"].astype(str), *hulls.loc[hulls["stop"] != "", "hull_id"],
        *plan.obstacles["hull_id"].astype(str), *changes["hull_id"].astype(str),
        *moved[moved != ""],
    }  # fmt: skip


def _this_week(hires: pd.DataFrame, start: pd.Timestamp) -> pd.DataFrame:
    if hires.empty:
        return hires
    end = start + pd.Timedelta(days=7)
    return hires[(hires["ends"] > start) & (hires["starts"] < end)]


def _hours(moment: pd.Timestamp, start: pd.Timestamp, zone: tzinfo) -> float:
    """Return local hours since Monday 00:00, by the clock."""
    wall, monday = (m.tz_convert(zone).tz_localize(None) for m in (moment, start))
    return float((wall - monday) / pd.Timedelta(hours=1))


def _bars(
    hull: dict[object, object], pulls: pd.DataFrame, week: date, appraisal: Appraisal,
    booked: pd.DataFrame, changes: pd.DataFrame, start: pd.Timestamp,
) -> tuple[Bar, ...]:  # fmt: skip
    name, zone = str(hull["hull_id"]), appraisal.logbook.settings.timezone
    bars = _hires(name, booked, changes, start, zone)
    ends = WEEK_H
    for pull in pulls[pulls["hull_id"] == name].to_dict("records"):
        begins, ends = _visit_hours(pull, week, start, zone)
        clock = formatting.moment(pull["starts"], zone) if pd.notna(pull["starts"]) else "that day"
        bars.append(
            Bar("visit", begins, ends, str(pull["bay"]), f"out at {clock}, bay {pull['bay']}")
        )
    if hull["stop"]:
        now = max(_hours(appraisal.forecast.on, start, zone), 0.0)
        why = str(hull["stop_why"])
        bars.append(Bar("stop", now, max(ends, now), "not for hire", f"not for hire: {why}"))
    day = hull["pull_by"]
    if isinstance(day, date) and 0 <= (day - week).days < 7:
        at = 24.0 * (day - week).days
        bars.append(Bar("pull-by", at, at + 24.0, "", f"pull by {day:%Y-%m-%d}"))
    inside = [bar for bar in bars if bar.end_h >= 0 and bar.start_h <= WEEK_H]
    return tuple(sorted(inside, key=lambda bar: (bar.start_h, bar.kind)))


def _visit_hours(
    pull: dict[object, object], week: date, start: pd.Timestamp, zone: tzinfo
) -> tuple[float, float]:
    if isinstance(pull["starts"], pd.Timestamp) and isinstance(pull["ends"], pd.Timestamp):
        return _hours(pull["starts"], start, zone), _hours(pull["ends"], start, zone)
    day = pull["day"]
    assert isinstance(day, date)  # every pull-out has a day
    begins = 24.0 * (day - week).days + 8.0
    return begins, begins + float(str(pull["hours"]))


def _hires(
    name: str, booked: pd.DataFrame, changes: pd.DataFrame, start: pd.Timestamp, zone: tzinfo
) -> list[Bar]:
    own = booked[booked["hull_id"] == name]
    changed = {
        (row["hull_id"], row["starts"], row["ends"]): row for row in changes.to_dict("records")
    }
    bars = []
    for row in own.to_dict("records"):
        span = _hours(row["starts"], start, zone), _hours(row["ends"], start, zone)
        change = changed.get((name, row["starts"], row["ends"]))
        if change is None:
            bars.append(Bar("hire", *span, "", "hire"))
        elif change["change"] == "move":
            to = change["to_hull_id"]
            bars.append(Bar("moved-away", *span, f"to {to}", f"hire moves to {to}"))
        elif change["change"] == "cancel":
            bars.append(Bar("cancelled", *span, "", f"hire cancelled: {change['why']}"))
        else:
            bars.append(Bar("hire", *span, "", "hire"))
            bars.append(Bar("look-first", span[0], span[0], "look first", str(change["why"])))
    came = changes[changes["to_hull_id"] == name] if len(changes) else changes
    for row in came.to_dict("records"):
        span = _hours(row["starts"], start, zone), _hours(row["ends"], start, zone)
        label = f"from {row['hull_id']}"
        bars.append(Bar("moved-here", *span, label, f"hire moved here {label}"))
    return bars


def _closed(week: date, bays: pd.DataFrame) -> dict[str, tuple[bool, ...]]:
    days = [week + timedelta(days=n) for n in range(7)]
    shut: dict[str, tuple[bool, ...]] = {}
    for mooring, own in bays.groupby("mooring_id", sort=True):
        works = set(own.loc[own["closed"] == "", "day"])
        shut[str(mooring)] = tuple(day not in works for day in days)
    return shut


def hours_shown(lanes: Sequence[Lane]) -> tuple[float, float]:
    """Return the hours of the clock between which anything lies, whole hours, at least 8 to 18."""
    spans = [
        (bar.start_h % 24, min(bar.end_h - 24 * np.floor(bar.start_h / 24), 24.0))
        for lane in lanes
        for bar in lane.bars
        if bar.kind not in ("stop", "pull-by")
    ]
    first = min([8.0, *(np.floor(a) for a, _ in spans)])
    last = max([18.0, *(np.ceil(b) for _, b in spans)])
    return float(first), float(last)
