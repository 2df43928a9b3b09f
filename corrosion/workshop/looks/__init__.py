"""How seldom to look, and where: the next look at every anode, worked out in money.

In: an appraisal, and the plan whose pull-outs take looks along. Out: a date for every anode in
service with what sets it, what the look is worth and what it costs; the week's round in the order
of a walk; hulls whose wear rose without warning.

`courses` takes the spread of each course apart, `worth` weighs a look on each day ahead, `at_stake`
gathers the money, `latest` holds the dates that money may not put off, `berth_groups` the sentinels
and surprises, `schedule` puts it together; `price_of_looking` draws lives and says what looking
costs a year by how often it is done.

Notes
-----
* A look's worth is preposterior: nine readings that may come, for each the best day to replace
  anew, less replacing blindly on the best day. Of a reading on one day the others are told by what
  their spreads have in common (state, pace, lumps), taken apart by least squares from the spread
  that the forecast has over the days ahead; checked against drawn courses in
  `tests/unit/workshop/test_looks_worth.py`. One look ahead is weighed, not a chain of them: the
  schedule is asked anew every week.
* What waiting saves is the plan's own value of renewal: the anode always; its covers and the visit
  where it is among the first of its hull to be due (within 14 days). Lateness is the fleet's late
  cost. The plan's price on the tolerated risk is no cost, so here it is a wall.
* Money alone looks once or twice in a life, late. It does not know what the model does not: strays,
  a loose anode, a changed berth. Hence the latest dates: 14 days before the tolerated risk; the
  manual's interval where the register says that it binds; a cap by water; two close looks after a
  move, an engine swap or a flag. A look at an anode that may not protect tells nothing until a
  sound one would have lost some reading errors: it waits for that, six weeks at most, and is asked
  for until the doubt is gone.
* Sentinels: at each berth group one hull is looked at every week (brackish 10 days, fresh 42), in
  turn, the one that was looked at longest ago; any look there counts, so most of these are had for
  nothing. What a berth takes since some day shows on each hull whenever it was read before, so that
  turns tell more than the same hull twice. One a berth group, not one a layout: a pontoon knows no
  layouts.
* Where the hulls of a berth together seem to wear faster (`doubtful_berths`: 1.5 standard
  deviations), all of them are measured twice, a week apart: that settles it either way.
* On a surprise (wear since the last look but one, against the hull's own past) its sisters at the
  berth are measured the same week, under covers that tell it: the berth is called out by
  `corrosion.forecast.odd_ones` once three hulls show it.
"""

from corrosion.workshop.looks.price_of_looking import PriceOfLooking, price_of_looking
from corrosion.workshop.looks.schedule import LOOKS, Looks, schedule_looks

__all__ = ["LOOKS", "Looks", "PriceOfLooking", "price_of_looking", "schedule_looks"]
