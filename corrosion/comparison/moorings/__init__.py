"""How much harder one mooring wears anodes than another, raw and with all else held equal.

Notes
-----
* A mooring is compared by direct standardisation: each mooring's own weights, pace and warmth,
  put to the fleet's average hull-day (engine hours, salty wet hours as the fleet flushes, hours
  afloat) on its own mix of layouts, at the seasons of its use; both circuits added; against the
  mean over hull-days. Hulls' and anodes' own rates are left out.
* What a water lacks is carried over, with a spread of its own (`moorings/weights.py`): where all
  hulls of a lake are lifted, wear afloat there comes from the other waters by the usual ratio,
  log spread 0.5.
* Salty hours of fresh-water hulls: they leave none, so the days of hulls in salty water stand for
  all days.
* Life curves are the picture, the dashed model curve the number. Kaplan-Meier (statsmodels, late
  entry for fittings written down weeks late), Turnbull on brackets alone, log-rank, Cox clustered
  on hulls; lives of hulls that moved meanwhile are left out and counted; pulled-early ones are
  counted in the sentence that says why the solid curve is too long.
* Moves keep the hull's use and pace, and change water, warmth and the mooring's pace; pull-by
  comes from the same forecast with the berth changed from today. Magnesium into salt or brackish
  water is a stop without numbers. Wear in `pull-by` of a way of lying that nobody tried there is
  not said.
"""

from corrosion.comparison.moorings.comparison import (
    FEWEST_HULLS,
    Comparison,
    Share,
    compare,
    compare_moorings,
)
from corrosion.comparison.moorings.moving import STAYS, Move, move_hulls
from corrosion.comparison.moorings.study import Curves, MooringStudy, study_moorings

__all__ = [
    "FEWEST_HULLS",
    "STAYS",
    "Comparison",
    "Curves",
    "MooringStudy",
    "Move",
    "Share",
    "compare",
    "compare_moorings",
    "move_hulls",
    "study_moorings",
]
