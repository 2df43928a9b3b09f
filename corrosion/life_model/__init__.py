"""How anodes wear: the survival model of anode life, fitted to every look.

In: lives with their looks, and hours by state. Out: a fitted wear clock (`Fit`, `LifeResults`:
parameters, covariance, summary, as statsmodels gives them), each hull's and anode's own pace, what
each operating state costs. It knows the past alone; what comes is the forecast's.

Notes
-----
* Readings drive the forecast, worn-out days do not. Anodes are changed early because a reading
  shows them nearly spent; a life model on worn-out events alone takes those for chance and says
  lives are too long. Survival curves are kept as the picture that people know and as a
  cross-check.
* Time is exposure. Engine hours, salty wet hours and hours afloat wear anodes, not the calendar.
* The likelihood is exact, not of differences. Two neighbouring differences share a reading error,
  so a scalar Kalman filter per anode whitens looks and wear clock alike (`kalman`), and the
  hull's and the anode's own rate are integrated out in closed form (`likelihood`). The gradient
  is exact; the mode is climbed to in coordinates in which it is round. `AnodeLife` is a
  statsmodels `GenericLikelihoodModel`.
* The drying time constant is a parameter, interpolated over a grid of seven, so that its doubt is
  in every interval.
* No single look pulls the fit far. What stands three standard deviations off has its variance
  raised until it stands just there. A last look that shows *more* wear than was due is believed
  as a jump (a hot berth); one that shows less is not. An early build threw such looks away, and
  called a bracket at its limit half worn.
* Verdicts and by-eye ranges are looks. A verdict is worth the normal look that it leaves behind
  (expectation propagation).
* The alloy that was fitted counts (`clock_terms`): another one than is listed has its own pace by
  water, guessed from capacity and potential until looks tell.
* Flooded passages are let in by the looks. Hours afloat act on engine circuits only where a score
  test asks for it (likelihood ratio above 12).
* Habits are at 15 C, per drying hour for `unflushed`, averaged over the positions of the hulls
  that spent the hours.
* A fit that lands far from its priors climbs from them too (`life._highest`): one wild look in a
  fleet of six hulls had led to a lesser top.
* Hours behind the looks are packed (`packed_hours`): cells that hold none are left out, looks of
  one visit since one start share a row. The same sums, in a third of the time on 4,000 hulls.
* A thousand hulls or more: a sample drawn by a stated rule climbs first (`hull_sample`), all hulls
  take the last steps. On 4,000 hulls it took 14 s of the processor in place of 69; with 30 of 90
  hulls first, no parameter ended a tenth of a standard error from where all 90 ended alone.
* And what they share rests for a day (`hull_sample.looks_that_speak`): looks taken or written down
  since the last midnight speak for their own anodes and hulls alone, so that nobody waits for a
  climb between two entries.
  Twenty looks of 7,360 that rested moved no parameter by a fifth of a standard error.
* `habits`: low is 0 unless the state's likelihood ratio against no wear (its own prior left out)
  is above 5.41 (boundary mixture, 1 %).
"""

from corrosion.life_model import peer_comparison
from corrosion.life_model.between_looks import Between, worn_between_looks
from corrosion.life_model.by_part import LooksOfPart, fit_of_hulls, looks_by_part, marks_of_hulls
from corrosion.life_model.clock_terms import (
    ACTS_ON,
    FLOODED,
    Columns,
    Terms,
    acting_cells,
    wearing_columns,
)
from corrosion.life_model.clusters import Clustered, clustered
from corrosion.life_model.design import (
    NO_CRUST,
    RANGE_EDGE,
    VERDICT_ERROR,
    Design,
    build_design,
)
from corrosion.life_model.fitting import Fit, fit_life, read_alike
from corrosion.life_model.habits import warmth, wear_of_states
from corrosion.life_model.life import (
    ADDED_UP_BY,
    AnodeLife,
    LifeResults,
    Sums,
    added_up_here,
    climb,
)
from corrosion.life_model.likelihood import Evaluation, evaluate
from corrosion.life_model.packed_hours import PackedHours, pack
from corrosion.life_model.peer_comparison import UNEVEN, Paces, compare_paces
from corrosion.life_model.priors import SURFACE_MM_PER_H
from corrosion.life_model.robust_weights import Effects, pace_effects
from corrosion.life_model.surface import (
    COLDEST,
    WARMEST,
    Rates,
    Surface,
    layout_of,
    surface_lost,
    take_apart,
    wear_of_cells,
)
from corrosion.life_model.wear_acceleration import bent_back, slope, straightened

__all__ = [
    "ACTS_ON",
    "ADDED_UP_BY",
    "COLDEST",
    "FLOODED",
    "NO_CRUST",
    "RANGE_EDGE",
    "SURFACE_MM_PER_H",
    "UNEVEN",
    "VERDICT_ERROR",
    "WARMEST",
    "AnodeLife",
    "Between",
    "Clustered",
    "Columns",
    "Design",
    "Effects",
    "Evaluation",
    "Fit",
    "LifeResults",
    "LooksOfPart",
    "Paces",
    "PackedHours",
    "Rates",
    "Sums",
    "Surface",
    "Terms",
    "acting_cells",
    "added_up_here",
    "bent_back",
    "build_design",
    "climb",
    "clustered",
    "compare_paces",
    "evaluate",
    "fit_life",
    "fit_of_hulls",
    "layout_of",
    "looks_by_part",
    "marks_of_hulls",
    "pace_effects",
    "pack",
    "peer_comparison",
    "read_alike",
    "slope",
    "straightened",
    "surface_lost",
    "take_apart",
    "warmth",
    "wear_of_cells",
    "wear_of_states",
    "wearing_columns",
    "worn_between_looks",
]
