"""The week's pull-outs: which hulls come out, when and where, what is done, and why."""

from corrosion.workshop.plan.making import make_plan
from corrosion.workshop.plan.tables import LEFT_OUT, NEIGHBOURS, PULLS, Plan
from corrosion.workshop.plan.weekly import left_that_week, pulls_of_week

__all__ = [
    "LEFT_OUT",
    "NEIGHBOURS",
    "PULLS",
    "Plan",
    "left_that_week",
    "make_plan",
    "pulls_of_week",
]
