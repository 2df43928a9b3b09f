"""Parts: how many it will take, how many lie there, what to order by when.

habit    how worn an anode is when the yard replaces it; how often one is looked at
counts   distributions of how many, by week, from the forecast's chances
stock    pieces on hand, by part and mooring
orders   how many to order by when
report   the answer
"""

from corrosion.workshop.parts.habit import habit_said
from corrosion.workshop.parts.report import SPANS, Parts, parts

__all__ = ["SPANS", "Parts", "habit_said", "parts"]
