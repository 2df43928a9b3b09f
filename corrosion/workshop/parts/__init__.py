"""Parts: how many it will take, how many lie there, what to order by when.

habit    how worn an anode is when the yard replaces it; how often one is looked at
counts   distributions of how many, by week, from the forecast's chances
stock    pieces on hand, by part and mooring
orders   how many to order by when
report   the answer

Notes
-----
* Parts follow the fleet's own habit. An anode is taken to be replaced at a level drawn from what
  was measured when anodes came out (`parts/habit`; at the limit where fewer than 12 changes
  tell), above what its last look showed. A fleet that works by the plan will show that in its
  logs, and the count follows.
* Several in one place are counted on the same path. Wear goes on beyond 1; the n-th replacement
  comes when the wear since the last reaches the usual level. So a fast anode takes two or three
  in half a year.
* Independent given what is shared. Within a hull anodes share its rate and use; all hulls share
  the fleet's parameters and a season that strays (`Paths.fleet_sd`). The count is
  Poisson-binomial given both (Gauss-Hermite, 5 nodes each), exact by convolution, then averaged.
* Seals count looks. One seal for each time that a place is opened; what `inspect_hours` or
  `inspect_days` prescribe, else the habit of the last half year.
"""

from corrosion.workshop.parts.habit import habit_said
from corrosion.workshop.parts.report import SPANS, Parts, count_parts

__all__ = ["SPANS", "Parts", "count_parts", "habit_said"]
