"""Fair comparisons: moorings with each other, flushed with unflushed, life curves.

In: an appraisal. Out: ratios and shares with intervals, raw and with all else held equal, or a
plain "cannot tell from these logs"; survival curves as people know them, as a cross-check.
"""

from corrosion.comparison.flushing import (
    DAILY,
    SMALLEST_GROUP,
    WORTHWHILE,
    Bill,
    Evidence,
    Policy,
    Report,
    Verdict,
    bill,
    flushing,
    outcome,
    report,
    starting_order,
)
from corrosion.comparison.moorings import (
    FEWEST_HULLS,
    STAYS,
    Curves,
    Move,
    Study,
    moorings,
    move,
    study,
)
from corrosion.comparison.moorings.saying import lasts, long_first

__all__ = [
    "DAILY",
    "FEWEST_HULLS",
    "SMALLEST_GROUP",
    "STAYS",
    "WORTHWHILE",
    "Bill",
    "Curves",
    "Evidence",
    "Move",
    "Policy",
    "Report",
    "Study",
    "Verdict",
    "bill",
    "flushing",
    "lasts",
    "long_first",
    "moorings",
    "move",
    "outcome",
    "report",
    "starting_order",
    "study",
]
