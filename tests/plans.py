"""Pull-outs said in a line each, as a plan has them, for tests of what follows from a plan."""

from __future__ import annotations

from datetime import date

import pandas as pd

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
}


def pull(hull_id: str, day: str, **cells: object) -> dict[str, object]:
    """One pull-out; what a keyword does not say is usual."""
    return {"day": date.fromisoformat(day), "hull_id": hull_id} | PULL | cells


def pulls(*rows: dict[str, object]) -> pd.DataFrame:
    """The pull-outs of a plan, in the order said."""
    return pd.DataFrame(list(rows), columns=["day", "hull_id", *PULL])
