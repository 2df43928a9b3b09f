"""What the manager decided otherwise than the plan: written down, and which of it still holds.

Notes
-----
* A decision's order is its entry's order: two decisions of one moment (a simulated fleet stands
  still) are told apart by `entered_at`.
"""

from __future__ import annotations

from datetime import date, timedelta, tzinfo
from pathlib import Path
from typing import Any, Final

import pandas as pd

from corrosion.common import LogRefused
from corrosion.forecast import LIFT_STOP, RELEASE
from corrosion.records import Writer, Written, append

PIN, SKIP, HIRE_OUT = "pin", "skip", "hire-out"
OF_A_DAY: Final = (PIN, LIFT_STOP)
STANDING_COLUMNS: Final = ("hull_id", "change", "day", "reason", "decided_at", "entry_id")


def monday_of(day: date) -> date:
    """Give the Monday of a day's week."""
    return day - timedelta(days=day.weekday())


def decide(
    folder: Path,
    change: str,
    hull_id: str,
    by: Writer,
    *,
    day: date | None = None,
    reason: str = "",
    entry_id: str | None = None,
    now: pd.Timestamp | None = None,
) -> Written:
    """Write a decision into the log `plan_changes`.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    change : {'pin', 'skip', 'hire-out', 'lift-stop', 'release'}
        What was decided.
    hull_id : str
        About which hull.
    by : Writer
        Who decided: a role, never a person's name, and what they may.
    day : date, optional
        Of a pin: the day. Of a lifted stop: the last day. Of a skip or a hire out: a day of the
        week; the week of `now` otherwise.
    reason : str
        Why; needed for a skip, a hire out and a lifted stop.
    entry_id : str, optional
        Name of the row; one that the log holds already is not written again.
    now : Timestamp, optional
        The moment of the decision; the computer's clock when left out.

    Returns
    -------
    Written

    Raises
    ------
    LogRefused
        A day or a reason is missing; nothing was written.
    """
    if change in (SKIP, HIRE_OUT, LIFT_STOP) and not reason.strip():
        raise LogRefused(f"plan_changes: {change} of {hull_id} has no reason. Say why.")
    if change in OF_A_DAY and day is None:
        raise LogRefused(f"plan_changes: {change} of {hull_id} has no day. Say which day.")
    moment = pd.Timestamp.now("UTC") if now is None else now
    decided_day = monday_of(day) if day is not None and change not in OF_A_DAY else day
    row = {
        "hull_id": hull_id,
        "decided_at": moment.as_unit("us"),
        "change": change,
        "day": decided_day,
        "reason": reason.strip() or None,
        "entry_id": entry_id,
    }
    return append(folder, "plan_changes", pd.DataFrame([row]), by, moment)


def standing_changes(changes: pd.DataFrame, zone: tzinfo, first_day: date) -> pd.DataFrame:
    """Say which decisions hold from a day on.

    A hull's later decision takes the place of an earlier one that it contradicts: a pin replaces
    any other pin and the skip of its week, a skip replaces the pin in its week, a release ends
    them all. A decision whose day or week is over no longer holds.

    Parameters
    ----------
    changes : DataFrame
        The log `plan_changes`, rows that stand; of two decided at one moment, the one entered
        later is the later.
    zone : tzinfo
        Zone in which its dates are dates.
    first_day : date
        Pins before this day, and skips and hires out before its week, are over.

    Returns
    -------
    DataFrame, one row a decision that holds
        `hull_id`, `change` (``pin``, ``skip``, ``hire-out``, ``lift-stop``), `day` (date: the day
        of a pin, the last day of a lifted stop, else the Monday of the week), `reason`,
        `decided_at` (UTC), `entry_id`.
    """
    held: dict[str, list[dict[Any, Any]]] = {}
    known = changes[changes["hull_id"].notna() & changes["change"].notna()]
    for row in known.sort_values(["decided_at", "entered_at"], kind="stable").to_dict("records"):
        change = row | {"day": _day_of(row, zone)}
        own = held.setdefault(str(row["hull_id"]), [])
        own[:] = [earlier for earlier in own if not _replaces(change, earlier)]
        if row["change"] != RELEASE and change["day"] is not None:
            own.append(change)
    rows = [row for own in held.values() for row in own if not _over(row, first_day)]
    return pd.DataFrame(rows, columns=list(STANDING_COLUMNS))


def _day_of(row: dict[Any, Any], zone: tzinfo) -> date | None:
    """Give the day of a pin and the Monday of everything else; a week left out is the current."""
    day = row["day"]
    if pd.isna(day):
        if row["change"] in OF_A_DAY or pd.isna(row["decided_at"]):
            return None
        day = row["decided_at"]
    local = _date_in(day, zone)
    return local if row["change"] in OF_A_DAY else monday_of(local)


def _date_in(moment: pd.Timestamp, zone: tzinfo) -> date:
    return moment.tz_convert(zone).date()


def _replaces(later: dict[Any, Any], earlier: dict[Any, Any]) -> bool:
    """Tell whether a hull's later decision ends an earlier one."""
    if later["change"] == RELEASE:
        return True
    if later["day"] is None:
        return False
    both = {later["change"], earlier["change"]}
    if LIFT_STOP in both:
        return both == {LIFT_STOP}
    same_week = monday_of(later["day"]) == monday_of(earlier["day"])
    return both == {PIN} or (same_week and (len(both) == 1 or both == {PIN, SKIP}))


def _over(row: dict[Any, Any], first_day: date) -> bool:
    day: date = row["day"]
    return day < (first_day if row["change"] in OF_A_DAY else monday_of(first_day))
