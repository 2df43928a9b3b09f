"""How much harder one mooring wears anodes than another, raw and with all else held equal."""

from corrosion.comparison.moorings.comparison import (
    FEWEST_HULLS,
    Comparison,
    Share,
    compare,
    moorings,
)
from corrosion.comparison.moorings.moving import STAYS, Move, move
from corrosion.comparison.moorings.study import Curves, Study, study

__all__ = [
    "FEWEST_HULLS",
    "STAYS",
    "Comparison",
    "Curves",
    "Move",
    "Share",
    "Study",
    "compare",
    "moorings",
    "move",
    "study",
]
