"""What the plan saves against rules of thumb on the fleet's own logs, also when it does not.

draws    seasons drawn from the forecast, with what it does not know
rules    calendar, hours, replace at half, and the plan's own rule
working  a rule worked through the seasons drawn
report   the answer
"""

from corrosion.workshop.savings.report import CANNOT_TELL, COSTS_MORE, SAVES, Savings, savings

__all__ = ["CANNOT_TELL", "COSTS_MORE", "SAVES", "Savings", "savings"]
