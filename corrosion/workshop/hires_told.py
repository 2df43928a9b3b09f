"""What the desk was told of hires: kept with the plan that was issued, a row a hire that changes.

Notes
-----
* The rows go in with the plan's own, before them: hires of a plan that is not in the log are no
  plan's. How many there are stands in every line of the plan (`hires_told`), so that a plan that
  told of none differs from one of before hires were kept, and rows that are lost are missed.
* A hire is known by the name of its booking, which a correction leads on from; hull and start say
  it where the bookings come from elsewhere and their names do not stay.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Any, Final

import pandas as pd

from corrosion.records import Logbook, entry_names
from corrosion.workshop.plan import Plan

PLAN_HIRES: Final = (
    *("plan_id", "hull_id", "issued_at", "starts", "ends", "change", "to_hull_id", "mooring_id"),
    *("cost", "why", "booking", "entry_id"),
)
_ASKED: Final = ["hull_id", "starts", "change", "to_hull_id"]


def hire_rows(plan: Plan, logbook: Logbook, plan_id: str, issued_at: pd.Timestamp) -> pd.DataFrame:
    """Lay out the hires that change by a plan as rows of the log `plan_hires`.

    Parameters
    ----------
    plan : Plan
    logbook : Logbook
        For the names of the bookings.
    plan_id : str
    issued_at : Timestamp, UTC

    Returns
    -------
    DataFrame, one row a hire that is moved, cancelled or waits for a look
        Columns of the log; times in UTC, `cost` in currency.
    """
    hires = plan.hires
    names = _names_of_bookings(logbook)
    booked = [
        names.get((str(hull), starts))
        for hull, starts in zip(hires["hull_id"], hires["starts"], strict=True)
    ]
    table = hires.assign(
        plan_id=plan_id,
        issued_at=issued_at,
        to_hull_id=pd.Series([to or None for to in hires["to_hull_id"]], hires.index, object),
        booking=pd.Series(booked, hires.index, object),
        entry_id=[_entry_id(plan_id, hire) for hire in hires.to_dict("records")],
    )
    return table[list(PLAN_HIRES)].reset_index(drop=True)


def hires_of_plan(logbook: Logbook, plan_id: str) -> pd.DataFrame:
    """Give the hires that a plan told the desk of, in order of their start.

    Parameters
    ----------
    logbook : Logbook
    plan_id : str, of a plan that was issued

    Returns
    -------
    DataFrame
        Columns of the log `plan_hires`, texts never missing.
    """
    told = logbook.plan_hires
    own = told[told["plan_id"] == plan_id].sort_values(["starts", "hull_id"], kind="stable")
    texts = {name: own[name].fillna("") for name in ("to_hull_id", "mooring_id", "why")}
    return own.assign(**texts).reset_index(drop=True)


def hires_kept(plans: pd.DataFrame, plan_id: str) -> int | None:
    """Say of how many hires a plan told the desk; None where it did not keep them.

    Parameters
    ----------
    plans : DataFrame, the log `plans`
    plan_id : str
    """
    counted = plans.loc[plans["plan_id"] == plan_id, "hires_told"].dropna()
    return None if counted.empty else int(counted.iloc[0])


def told_already(rows: pd.DataFrame, logbook: Logbook, plan_id: str, on: pd.Timestamp) -> bool:
    """Say whether an issued plan told the desk the same of every hire that is still ahead.

    Parameters
    ----------
    rows : DataFrame, as `hire_rows` lays them out
    logbook : Logbook
    plan_id : str, the plan that was issued
    on : Timestamp, hires that have begun by then are no longer asked about
    """
    before = hires_kept(logbook.plans, plan_id)
    if before is None:
        return rows.empty
    known = hires_of_plan(logbook, plan_id)
    return len(known) == before and _asked_of(rows, on) == _asked_of(known, on)


def named_bookings(logbook: Logbook) -> pd.DataFrame:
    """Return the history of the bookings, each row with its `name`, by which others know it."""
    history = logbook.history["bookings"]
    return history.assign(name=entry_names("bookings", history))


def _entry_id(plan_id: str, hire: dict[Any, Any]) -> str:
    to = f"-{hire['to_hull_id']}" if hire["to_hull_id"] else ""
    return f"{plan_id}-{hire['hull_id']}-{hire['starts']:%Y%m%dT%H%M}-{hire['change']}{to}"


def _asked_of(rows: pd.DataFrame, on: pd.Timestamp) -> Collection[tuple[object, ...]]:
    ahead = rows.loc[rows["starts"] > on, _ASKED]
    ahead = ahead.assign(to_hull_id=ahead["to_hull_id"].fillna(""))
    return set(ahead.itertuples(index=False, name=None))


def _names_of_bookings(logbook: Logbook) -> dict[tuple[str, pd.Timestamp], str]:
    """Name the bookings that stand, by hull and start."""
    bookings = named_bookings(logbook)
    own = bookings.loc[bookings["standing"] == "stands", ["hull_id", "starts", "name"]]
    return {(str(hull), starts): str(name) for hull, starts, name in own.itertuples(index=False)}
