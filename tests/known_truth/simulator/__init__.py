"""Fleets made up in the form of the contract, whose truth is known.

The physics here is not the model's: wear grows by gamma increments, warmth acts by an
exponential or by Arrhenius' law, hulls differ by skewed effects, circuit by circuit. Nothing of
the program under test is imported.
"""

from .answers import habit_rates, mooring_ratios, share_saved
from .make import simulate, write
from .plans import KINDS, Plan
from .truth import TrueFleet

__all__ = [
    "KINDS",
    "Plan",
    "TrueFleet",
    "habit_rates",
    "mooring_ratios",
    "share_saved",
    "simulate",
    "write",
]
