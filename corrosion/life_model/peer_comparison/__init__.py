"""How fast each anode and hull wears beside its sisters, and which are surely not one of them.

Wear between looks is set beside what the usual anode of the same position and berth would have
lost in the same hours. Hulls differ by nature, and so do anodes; what is looked for is a pace that
this spread and the reading error cannot explain, or that a hull's own past cannot. Because many
anodes are looked at every week, the chance of calling one out by accident is shared out between
the looks of a month (Bonferroni's bound on the expected number of false calls), and a hull's
nature, which is drawn once, is judged once, on all its anodes so far.

`spans` lays the looks out and pools them by hull; `paces` compares, and holds the rate; `rises`
says how far a hull's wear rose some weeks ago, for berths where all do.

Notes
-----
* `peer_comparison` compares wear with the *fleet's usual clock*, recentred by the median anode of
  each position and the median hull of each berth, so that odd hulls, which the fit partly
  follows, do not hide themselves. Hulls by nature: gamma law of mean 1 with the middle hulls'
  spread (0.15 to 0.28), reading noise added by three moments (Pearson III); judged once, on all
  its anodes so far, because a nature is drawn once. Hulls whose wear *rose*: over one to three
  looks against their own past. Single anodes: against the hull's other anodes. A call must stand
  without its loudest anode or last look.
* The false-alarm rate is an expected number of false calls a month (Bonferroni's bound shared
  between the month's looks), not a share: it holds whatever the fleet's size. `FALSE_A_MONTH` 0.4
  fast, `FALSE_STILL_A_MONTH` 0.4 still, `FALSE_BY_NATURE` 0.3 hulls standing, per 40 hulls. No
  state is kept: a flag stays until a look or a change gives the sums another value.
"""

from corrosion.life_model.peer_comparison.paces import (
    FALSE_A_MONTH,
    FALSE_BY_NATURE,
    FALSE_STILL_A_MONTH,
    Paces,
    compare_paces,
    natural,
)
from corrosion.life_model.peer_comparison.spans import UNEVEN, Pace, middles

__all__ = [
    "FALSE_A_MONTH",
    "FALSE_BY_NATURE",
    "FALSE_STILL_A_MONTH",
    "UNEVEN",
    "Pace",
    "Paces",
    "compare_paces",
    "middles",
    "natural",
]
