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
    FlushingReport,
    Policy,
    Verdict,
    bill_of_policy,
    judge_flushing,
    outcome_of_policy,
    report_on_flushing,
    starting_order,
)
from corrosion.comparison.moorings import (
    FEWEST_HULLS,
    STAYS,
    Curves,
    MooringStudy,
    Move,
    compare_moorings,
    move_hulls,
    study_moorings,
)
from corrosion.comparison.moorings.saying import life_in_hours, lives_apart

__all__ = [
    "DAILY",
    "FEWEST_HULLS",
    "SMALLEST_GROUP",
    "STAYS",
    "WORTHWHILE",
    "Bill",
    "Curves",
    "Evidence",
    "FlushingReport",
    "MooringStudy",
    "Move",
    "Policy",
    "Verdict",
    "bill_of_policy",
    "compare_moorings",
    "judge_flushing",
    "life_in_hours",
    "lives_apart",
    "move_hulls",
    "outcome_of_policy",
    "report_on_flushing",
    "starting_order",
    "study_moorings",
]
