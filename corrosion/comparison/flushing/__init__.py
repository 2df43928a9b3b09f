"""What flushing saves in wear, and whether these logs can tell.

engine        the life model of the engine circuit alone
returns       the returns behind the comparison, hull by hull, and the naive comparison
policy        who is flushed when
estimand      the fleet's own hours, as they were and flushed, worn by any rates
log_readings  how the flush log may be read where it does not say what happened
profile       the likelihood of a share saved, and whether nothing saved fits as well
within        the same hull in its flushed and its unflushed weeks
verdict       one verdict with its interval
answer        the form of that verdict
whatif        what a policy would have saved, hull by hull
parts_of_fleet  the share saved on a part of the fleet, with an interval of its own
money         its minutes and money
dose          how soon and how long, as far as the log carries
hidden        how strong a hidden cause would have to be
trial         a trial that would tell
report        all of it at once
"""

from corrosion.comparison.flushing.answer import Verdict
from corrosion.comparison.flushing.money import Bill, bill
from corrosion.comparison.flushing.policy import DAILY, Policy
from corrosion.comparison.flushing.report import Evidence, Report, report
from corrosion.comparison.flushing.returns import SMALLEST_GROUP
from corrosion.comparison.flushing.trial import starting_order
from corrosion.comparison.flushing.verdict import WORTHWHILE, flushing
from corrosion.comparison.flushing.whatif import Outcome, outcome

__all__ = [
    "DAILY",
    "SMALLEST_GROUP",
    "WORTHWHILE",
    "Bill",
    "Evidence",
    "Outcome",
    "Policy",
    "Report",
    "Verdict",
    "bill",
    "flushing",
    "outcome",
    "report",
    "starting_order",
]
