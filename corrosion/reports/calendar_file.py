"""The plan as a calendar file (iCalendar, RFC 5545): an event a pull-out or hire that changes.

Notes
-----
* A visit is a hull in a week. The UID of a calendar event is made of fleet, hull and week;
  SEQUENCE counts the plans issued before. A hull moved to another week is one event cancelled and
  one new.
* Hours are counted as they pass, in UTC, and shown by the wall clock.
* A hire that changes is tentative until the book has it so: the desk makes it so, by telling the
  customer. Of an issued plan it is what the desk was told; what the desk was told once, and is not
  asked for any more, is cancelled. Each says of which moment it is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Any, Final
from uuid import NAMESPACE_URL, uuid5

import numpy as np
import pandas as pd
from icalendar import Calendar, Event

from corrosion import CAUTION
from corrosion.common import cautions
from corrosion.records import Settings
from corrosion.reports.zone_rules import zone_rules
from corrosion.workshop import monday_of

OPENS: Final = time(8, 0)
"""When a bay opens whose hours are not in the settings (common practice, no source)."""
PRODUCT: Final = "-//corrosion//pull-outs//EN"
HIRE_SAID: Final = {
    "move": "Hire of {hull} moves to {to}",
    "cancel": "Hire of {hull} is called off",
    "look-first": "Hire of {hull} waits for a look",
}


@dataclass(frozen=True)
class Slot:
    """When one hull is out: `begins` and `ends`, in the fleet's zone."""

    begins: datetime
    ends: datetime


def calendar(
    lines: pd.DataFrame,
    earlier: Sequence[pd.DataFrame],
    settings: Settings,
    windows: pd.DataFrame,
    *,
    week: date,
    moment: pd.Timestamp,
    issued: bool,
    fleet: str = "",
    hires: pd.DataFrame | None = None,
) -> bytes:
    """Write pull-outs as a calendar, with those that earlier plans had and this one drops.

    An event keeps its UID as long as the hull comes out in the same week, so that a calendar that
    has read an earlier plan moves it; SEQUENCE counts the plans before this one.

    Parameters
    ----------
    lines : DataFrame, one row a pull-out
        `day` (date), `mooring_id`, `bay`, `hull_id`, `replace`, `measure`, `parts` (text), `hours`.
    earlier : sequence of DataFrame
        The same of every plan that was issued before, oldest first.
    settings : Settings
        For zone and opening hours.
    windows : DataFrame
        The log `slip_windows`: `mooring_id`, `opens`, `closes` (UTC).
    week : date
        Monday of the plan's first week; what earlier plans had before it is left as it is, and so
        is what they had before `moment`.
    moment : Timestamp
        When the plan was made, UTC: DTSTAMP.
    issued : bool
        True: events are confirmed; False: tentative.
    fleet : str
        What tells this fleet from others in the UIDs.
    hires : DataFrame, optional
        Hires that move, are called off or wait for a look: rows of `Plan.hires`, or the same with
        `told_at` (when the desk was told, UTC) and `status` (of the event).

    Returns
    -------
    bytes
        UTF-8, lines ending in CRLF and folded at 75 octets.
    """
    file = Calendar()
    file.add("prodid", PRODUCT)
    file.add("version", "2.0")
    file.add("method", "PUBLISH")
    status = "CONFIRMED" if issued else "TENTATIVE"
    written = set()
    for uid, line, slot in _placed(lines, settings, windows, fleet):
        written.add(uid)
        file.add_component(_event(uid, line, slot, status, len(earlier), moment))
    first = max(week, moment.tz_convert(settings.timezone).date())
    for table in reversed(earlier):  # the newest says where the event stands in calendars
        ahead = table[np.array([day >= first for day in table["day"]], dtype=bool)]
        for uid, line, slot in _placed(ahead, settings, windows, fleet):
            if uid not in written:
                written.add(uid)
                file.add_component(_event(uid, line, slot, "CANCELLED", len(earlier), moment))
    days = [day for table in (lines, *earlier) for day in table["day"]]
    for row in [] if hires is None else hires.to_dict("records"):
        file.add_component(_hire_event(row, settings.timezone, len(earlier), moment, fleet))
        days.append(row["starts"].tz_convert(settings.timezone).date())
    if days and settings.timezone.key != "UTC":
        years = min(days).year - 1, max(days).year + 1
        file.subcomponents.insert(0, zone_rules(settings.timezone, *years))
    return bytes(file.to_ical())


def slots(lines: pd.DataFrame, settings: Settings, windows: pd.DataFrame) -> list[Slot]:
    """Say when each hull is out: as the plan has it, else one after the other from the opening on.

    Parameters
    ----------
    lines : DataFrame, one row a pull-out
        `day` (date), `mooring_id`, `bay` (from 1), `hours` (h); `starts` and `ends` (UTC) where the
        plan gives half hours.
    settings : Settings
        For zone and opening hours.
    windows : DataFrame
        The log `slip_windows`; where a mooring has a window on that day, work begins inside it.

    Returns
    -------
    list of Slot, one a row
        Hours are counted as they pass, so a day on which the clocks change is no exception.
    """
    free: dict[tuple[object, ...], datetime] = {}
    laid_out = []
    for line in lines.to_dict("records"):
        day_bay, zone = (line["day"], line["mooring_id"], line["bay"]), settings.timezone
        if isinstance(starts := line.get("starts"), pd.Timestamp):
            begins = starts.to_pydatetime()
        else:
            begins = free.get(day_bay) or _opening(line, settings, windows)
        ends = begins + timedelta(minutes=_minutes(line["hours"]))
        free[day_bay] = max(ends, free.get(day_bay, ends))
        laid_out.append(Slot(begins.astimezone(zone), ends.astimezone(zone)))
    return laid_out


def _placed(
    lines: pd.DataFrame, settings: Settings, windows: pd.DataFrame, fleet: str
) -> Iterator[tuple[str, dict[Any, Any], Slot]]:
    out = slots(lines, settings, windows)
    for line, slot in zip(lines.to_dict("records"), out, strict=True):
        yield _uid(fleet, str(line["hull_id"]), line["day"]), line, slot


def _uid(fleet: str, hull_id: str, day: date) -> str:
    """Name the visit of a hull in a week, whichever day of it that is."""
    return f"{uuid5(NAMESPACE_URL, f'corrosion:{fleet}:{hull_id}:{monday_of(day)}')}@corrosion"


def _event(
    uid: str, line: dict[Any, Any], slot: Slot, status: str, sequence: int, moment: pd.Timestamp
) -> Event:
    event = Event()
    event.add("uid", uid)
    event.add("dtstamp", moment.tz_convert("UTC").to_pydatetime().replace(microsecond=0))
    event.add("dtstart", slot.begins)
    event.add("dtend", slot.ends)
    stopped = " (NOT FOR HIRE until then)" if line.get("stop") else ""
    event.add("summary", _clean(f"{line['hull_id']} out of the water{stopped}"))
    bay = "" if pd.isna(line["bay"]) else f", bay {int(line['bay'])}"
    event.add("location", _clean(f"{line['mooring_id'] or 'mooring not known'}{bay}"))
    event.add("description", "\n".join([*_work(line), cautions.IN_SHORT, CAUTION]))
    event.add("status", status)
    event.add("sequence", sequence)
    return event


def _hire_event(
    row: dict[Any, Any], zone: tzinfo, sequence: int, moment: pd.Timestamp, fleet: str
) -> Event:
    """Write a hire that changes, at its own hours, under the hull on which it is booked."""
    event, hull = Event(), str(row["hull_id"])
    name = f"corrosion:{fleet}:hire:{hull}:{row['starts'].isoformat()}"
    event.add("uid", f"{uuid5(NAMESPACE_URL, name)}@corrosion")
    event.add("dtstamp", moment.tz_convert("UTC").to_pydatetime().replace(microsecond=0))
    event.add("dtstart", row["starts"].to_pydatetime().astimezone(zone))
    event.add("dtend", row["ends"].to_pydatetime().astimezone(zone))
    said = HIRE_SAID[str(row["change"])].format(hull=hull, to=row["to_hull_id"])
    event.add("summary", _clean(said))
    event.add("location", _clean(str(row["mooring_id"])))
    when = _of_moment(row.get("told_at"), moment, zone)
    event.add("description", "\n".join([_clean(f"{row['why']}."), when, CAUTION]))
    event.add("status", row.get("status", "TENTATIVE"))
    event.add("sequence", sequence)
    return event


def _of_moment(told_at: Any, moment: pd.Timestamp, zone: tzinfo) -> str:
    """Say when the desk was told, or of which moment the plan is that would tell it."""
    if pd.isna(told_at):
        planned = f"{moment.tz_convert(zone):%Y-%m-%d %H:%M}"
        return f"As planned on {planned}; the desk tells the customer."
    return f"As the desk was told on {told_at.tz_convert(zone):%Y-%m-%d %H:%M}."


def _work(line: dict[Any, Any]) -> list[str]:
    lines = {"Replace": line["replace"], "Measure": line["measure"], "Bring": line["parts"]}
    return [_clean(f"{what}: {lines[what]}") for what in lines if lines[what]]


def _clean(text: str) -> str:
    """Leave out what RFC 5545 allows in no text: control characters."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def _minutes(hours: float) -> int:
    """Round planned work up to what a calendar shows; an hour where none is planned."""
    return 60 if pd.isna(hours) or hours <= 0 else 5 * math.ceil(round(12 * hours, 6))


def _opening(line: dict[Any, Any], settings: Settings, windows: pd.DataFrame) -> datetime:
    """Say when work can begin, UTC: when the bay opens, or when the slip can be used."""
    zone, day = settings.timezone, line["day"]
    opens, closes = _bay_hours(settings, line["mooring_id"], line["bay"])
    begin, end = _moment(day, opens, zone), _moment(day, closes, zone)
    own = windows[windows["mooring_id"] == line["mooring_id"]]
    begins, ends = own["opens"].clip(lower=begin), own["closes"].clip(upper=end)
    longest = (ends - begins).max()
    if pd.isna(longest) or longest <= pd.Timedelta(0):
        return begin
    start: pd.Timestamp = begins[(ends - begins) == longest].min()
    return start.to_pydatetime()


def _bay_hours(settings: Settings, mooring_id: object, bay: object) -> tuple[time, time]:
    own = [each for each in settings.bays if each.mooring_id == mooring_id]
    number = 1 if pd.isna(bay) else int(bay)  # type: ignore[call-overload]
    hours = own[number - 1].hours if 0 < number <= len(own) else None
    return hours if hours is not None else (OPENS, time.max)


def _moment(day: date, clock: time, zone: tzinfo) -> datetime:
    return datetime.combine(day, clock, zone).astimezone(UTC)
