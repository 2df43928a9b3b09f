"""The demo fleet, appraised and planned once a process for all tests that look at it."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from corrosion.forecast import Appraisal, appraise
from corrosion.workshop.plan import Plan, make_plan

DEMO = Path(__file__).parents[1] / "demo_fleet" / "logs"


@cache
def appraised_demo() -> Appraisal:
    """Appraise the demo at its own last moment; nobody may change its tables."""
    return appraise(DEMO)


@cache
def planned_demo() -> Plan:
    """Plan its week."""
    return make_plan(appraised_demo())
