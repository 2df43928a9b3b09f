"""What the plan saves against rules of thumb on the fleet's own logs, also when it does not.

draws    seasons drawn from the forecast, with what it does not know
rules    calendar, hours, replace at half, and the plan's own rule
working  a rule worked through the seasons drawn
report   the answer

Notes
-----
* Savings are of the rule, not of the programme. The mixed-integer plan cannot be run in 120 drawn
  seasons while a page waits; `savings` works the plan's *rule* (out before the hull's risk is
  more than tolerated; neighbours due within four weeks done too) through them, beside calendar
  and hours at the ages that cost this fleet least (age replacement on the forecast's own lives)
  and replace at half. Bays, hires and stock stand in no rule's way there, so real pull-outs are
  some 10 to 15 % more and days past a few more. The whole plan, bays and book and all, is what
  `tests/known_truth/season` runs.
"""

from corrosion.workshop.plan.prices import OWN, PARTLY_OWN, TAKEN
from corrosion.workshop.savings.report import CANNOT_TELL, COSTS_MORE, SAVES, Savings, compare_rules

__all__ = [
    "CANNOT_TELL",
    "COSTS_MORE",
    "OWN",
    "PARTLY_OWN",
    "SAVES",
    "TAKEN",
    "Savings",
    "compare_rules",
]
