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

Notes
-----
* Flushing is judged on the engine circuit alone. The life model is fitted again to those anodes
  only: a hull's pace inside the engine is not its pace outside, and with both in one fit the
  interval was a third too narrow (z-scores with sd 1.32, against 1.07; 20 fleets).
* The share itself is the parameter. For any other rates there is one level of the unflushed rate
  that gives a share; the likelihood is climbed in all the rest (profile likelihood), with no
  prior on that level. So the interval can reach nothing. Delta methods on a logarithm cannot.
* Interval: likelihood ratio at Student's t squared (hulls less one), times the sandwich by hull
  over the model's variance where that is above 1, and times 1.5 where the log is best read
  otherwise than written.
* Verdict at 1 %, not 5 %, and twice. The boundary mixture (Self & Liang 1987) alone, at 1 %, said
  `saves` on 2 of 40 fleets where flushing does nothing: hulls that happened to wear fast happened
  to be flushed seldom. Asking the hulls' own weeks as well (each anode its own control, warmth
  held equal) left 0 of 40 on fresh seeds.
* Within-hull weeks need warmth held equal: unflushed hours per engine hour are many in winter,
  when everything wears less; without it the paired estimate was biased by a third or more.
* The flush log is read in several ways, and the looks choose. As written; 10 % and 20 % of the
  flushes done never written down (they hide among the blanks of hulls that are flushed often,
  which is where the bias comes from); bulk ticks not counted, or standing for the day's last
  return; a mooring without a log a quarter more or less flushed than the fleet; passages afloat
  that stay flooded (no drying, no saving). The interval is the hull of all readings that the
  looks do not rule out; the ones for silent moorings cannot be ruled out.
* `flush_matching` says what the log says of each return (`written`, `kept`, `in_bulk`, `minutes`,
  `wet_share`), for the exposure and for flushing alike. Where no log is kept, long stops take the
  share of long stops, short ones that of short ones.
* One set of rates at each end of the interval (`Believed`): every policy, position and mooring is
  worn by the most likely rates and by those at both ends, so all ranges agree.
* E-value (VanderWeele & Ding 2017) for the hidden cause: the ratio is wear as it was over wear
  flushed daily, the weakest that the share stands for.
* No damage rate is invented. The page says how many damages of the fleet's own `late_cost` would
  have to be prevented to pay for the minutes that the anodes do not pay.
"""

from corrosion.comparison.flushing.answer import Verdict
from corrosion.comparison.flushing.money import Bill, bill_of_policy
from corrosion.comparison.flushing.policy import DAILY, Policy
from corrosion.comparison.flushing.report import Evidence, FlushingReport, report_on_flushing
from corrosion.comparison.flushing.returns import SMALLEST_GROUP
from corrosion.comparison.flushing.trial import starting_order
from corrosion.comparison.flushing.verdict import WORTHWHILE, judge_flushing
from corrosion.comparison.flushing.whatif import Outcome, outcome_of_policy

__all__ = [
    "DAILY",
    "SMALLEST_GROUP",
    "WORTHWHILE",
    "Bill",
    "Evidence",
    "FlushingReport",
    "Outcome",
    "Policy",
    "Verdict",
    "bill_of_policy",
    "judge_flushing",
    "outcome_of_policy",
    "report_on_flushing",
    "starting_order",
]
