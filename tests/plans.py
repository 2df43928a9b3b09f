"""Pull-outs said in a line each, as a plan has them, for tests of what follows from a plan."""

from __future__ import annotations

from datetime import date

import pandas as pd

from corrosion.workshop.plan import LEFT_OUT, NEIGHBOURS, Plan

PULL = {
    "mooring_id": "E",
    "bay": 1,
    "replace": (),
    "measure": (),
    "hours": 1.5,
    "parts": {},
    "seals": {},
    "part_cost": 0.0,
    "work_cost": 0.0,
    "lost_hire": 0.0,
    "risk_now": 0.3,
    "risk_after": 0.02,
    "slip_cost": 10.0,
    "why": "pencil near its limit",
    "would_change": "a reading above 8 mm",
    "pinned": False,
    "kind": "swap",
    "pull_by": date(2031, 6, 7),
    "slip": "A week later costs EUR 10 more.",
    "slip_risk": 0.5,
    "slip_risk_after": 0.02,
}


def pull(hull_id: str, day: str, **cells: object) -> dict[str, object]:
    """One pull-out; what a keyword does not say is usual."""
    return {"day": date.fromisoformat(day), "hull_id": hull_id} | PULL | cells


def pulls(*rows: dict[str, object]) -> pd.DataFrame:
    """The pull-outs of a plan, in the order said."""
    return pd.DataFrame(list(rows), columns=["day", "hull_id", *PULL])


def left(hull_id: str, reason: str = "not due", **cells: object) -> dict[str, object]:
    """One hull that stays, with its reason."""
    usual = {"mooring_id": "E", "risk_now": 0.01, "pull_by": date(2031, 8, 1)}
    return {"hull_id": hull_id, "reason": reason} | usual | cells


def a_plan(
    *rows: dict[str, object],
    stay: tuple[dict[str, object], ...] = (),
    on: str = "2031-06-02 05:30",
    week: str = "2031-06-02",
    **other: object,
) -> Plan:
    """A plan with these pull-outs and hulls left where they are."""
    usual: dict[str, object] = {
        "weeks": 6,
        "proven": True,
        "gap": 0.0,
        "seconds": 0.1,
        "conflict": "",
        "neighbours": pd.DataFrame(columns=list(NEIGHBOURS)),
        "costs": pd.DataFrame({"item": ["total"], "amount": [100.0]}),
    }
    return Plan(
        on=pd.Timestamp(on, tz="UTC"),
        week=date.fromisoformat(week),
        pulls=pulls(*rows),
        left_out=pd.DataFrame(list(stay), columns=list(LEFT_OUT)),
        **(usual | other),  # type: ignore[arg-type]
    )
