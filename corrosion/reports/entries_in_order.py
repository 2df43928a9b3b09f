"""A hull's entries for paper: the past in order, everyday entries a line a day, hires ahead apart.

Nothing is left out and no row is rewritten. An outing, a flush or a hire that stands, that no check
doubts, that carries no remark and was entered on its day says little by itself: those of a day
share a line, each with its time. Everything else has a line of its own, with its name.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import tzinfo
from itertools import groupby
from typing import Any, Final

import pandas as pd

from corrosion.common import formatting
from corrosion.records import EVERYDAY

NOT_SAID: Final = "not said"


@dataclass(frozen=True)
class EntryLine:
    """One line of the history on paper.

    Attributes
    ----------
    when : str
        Day and time, or the day alone where entries of a day share the line.
    what : str
        What was written down.
    standing : str
        ``stands``, ``corrected`` or ``voided``; empty on a shared line, whose entries all stand.
    objection : str
        Rules that set it aside or doubt it; empty for none.
    entered : str
        When and by which role it was entered.
    name : str
        Its name in the log; empty on a shared line.
    """

    when: str
    what: str
    standing: str = ""
    objection: str = ""
    entered: str = ""
    name: str = ""


def lines_of_the_past(history: pd.DataFrame, on: pd.Timestamp, zone: tzinfo) -> list[EntryLine]:
    """Put what was done or seen until a moment in order, oldest first.

    Parameters
    ----------
    history : DataFrame
        As `hull_history` gives it.
    on : Timestamp
        The moment of the report, UTC.
    zone : tzinfo
        The fleet's zone.

    Returns
    -------
    list of EntryLine
        Every entry up to `on`, and those without a date; those come last.
    """
    return list(_lines(history[~(history["at"] > on)], zone))


def lines_ahead(history: pd.DataFrame, on: pd.Timestamp, zone: tzinfo) -> list[EntryLine]:
    """Put what lies ahead of a moment, mostly booked hires, in order; else as the past."""
    return list(_lines(history[history["at"] > on], zone))


def _lines(entries: pd.DataFrame, zone: tzinfo) -> Iterator[EntryLine]:
    in_order = entries.sort_values(["at", "log", "log_row"], kind="stable", na_position="last")
    for day, group in groupby(in_order.itertuples(), key=lambda row: _shared_day(row, zone)):
        of_day = list(group)
        if day and len(of_day) > 1:
            yield EntryLine(day, _together(of_day, zone), entered=_entered_that_day(of_day))
        else:
            yield from (_alone(row, zone) for row in of_day)


def _shared_day(row: Any, zone: tzinfo) -> str:
    """Say on the line of which day an entry stands; empty: on a line of its own."""
    if row.log not in EVERYDAY or row.standing != "stands" or pd.isna(row.at):
        return ""
    day = formatting.day(row.at, zone)
    late = not pd.isna(row.entered_at) and formatting.day(row.entered_at, zone) != day
    return "" if late or row.objection or _text(row.note) else day


def _entered_that_day(rows: list[Any]) -> str:
    roles = dict.fromkeys(filter(None, (_text(row.entered_by) for row in rows)))
    return f"that day by {'; '.join(roles)}" if roles else NOT_SAID


def _together(rows: list[Any], zone: tzinfo) -> str:
    """Say entries of one day in one line: what is alike once, each with its time."""
    alike: dict[str, list[str]] = {}
    for row in rows:
        head, _, rest = str(row.what).partition(", ")
        clock = f"{row.at.tz_convert(zone):%H:%M}"
        alike.setdefault(head, []).append(f"{clock} {rest}".strip())
    return "; ".join(f"{head}: {', '.join(each)}" for head, each in alike.items())


def _alone(row: Any, zone: tzinfo) -> EntryLine:
    note = _text(row.note)
    return EntryLine(
        when=formatting.moment(row.at, zone),
        what=f"{row.what} ({note})" if note else str(row.what),
        standing=str(row.standing),
        objection=str(row.objection),
        entered=_entered(row, zone),
        name=_text(row.entry_id),
    )


def _entered(row: Any, zone: tzinfo) -> str:
    role = _text(row.entered_by)
    if pd.isna(row.entered_at):
        return f"by {role}" if role else NOT_SAID
    when = formatting.moment(row.entered_at, zone)
    return f"{when} by {role}" if role else when


def _text(cell: object) -> str:
    return cell if isinstance(cell, str) else ""
