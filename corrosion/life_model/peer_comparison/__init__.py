"""How fast each anode and hull wears beside its sisters, and which are surely not one of them.

Wear between looks is set beside what the usual anode of the same position and berth would have
lost in the same hours. Hulls differ by nature, and so do anodes; what is looked for is a pace that
this spread and the reading error cannot explain, or that a hull's own past cannot. Because many
anodes are looked at every week, the chance of calling one out by accident is shared out between
the looks of a month (Bonferroni's bound on the expected number of false calls), and a hull's
nature, which is drawn once, is judged once, on all its anodes so far.

`spans` lays the looks out and pools them by hull; `paces` compares, and holds the rate.
"""

from corrosion.life_model.peer_comparison.paces import (
    FALSE_A_MONTH,
    FALSE_BY_NATURE,
    FALSE_STILL_A_MONTH,
    Paces,
    natural,
    paces,
)
from corrosion.life_model.peer_comparison.spans import Pace, middles

__all__ = [
    "FALSE_A_MONTH",
    "FALSE_BY_NATURE",
    "FALSE_STILL_A_MONTH",
    "Pace",
    "Paces",
    "middles",
    "natural",
    "paces",
]
