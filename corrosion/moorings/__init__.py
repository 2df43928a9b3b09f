"""How much harder one mooring wears anodes than another, raw and with all else held equal."""

from .comparison import FEWEST_HULLS, Comparison, compare, moorings

__all__ = ["FEWEST_HULLS", "Comparison", "compare", "moorings"]
