"""Small fleets of every kind, drawn once, for quick tests."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from tests.known_truth.simulator import KINDS, TrueFleet, simulate

SMALL = replace(KINDS["standard"], hulls=6, days=120, tail_days=60)


@cache
def small(kind: str, seed: int = 1) -> TrueFleet:
    plan = KINDS[kind]
    days = min(plan.days, SMALL.days)
    return simulate(kind, seed, replace(plan, hulls=SMALL.hulls, days=days, tail_days=60))
